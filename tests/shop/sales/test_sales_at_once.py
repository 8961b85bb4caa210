"""One piece, one receipt, one number, however many sell at once and however the server ends.

Runs on whichever database the suite runs on: SQLite in a folder of the test's own, PostgreSQL in a
database of the test's own on the same server.
"""

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import urlencode
from uuid import uuid4

import pytest

from tests.provenance.pieces.own_book import ROOT, Environment, own_book, run
from tests.shop.keeping.running_shop import RunningShop

HERE = Path(__file__).parent
BUYERS, SECOND_PRESSES = 100, 8
WORKERS, WANTED = 6, 30
TILLS, DEEDS = 4, 60
KILLS, CLIENTS, BLANKS = 25, 8, 800

pytestmark = pytest.mark.processes

#: Prints each receipt, after asking whether it is whole, and whether the book is sound.
ASK = """
import django
django.setup()
from django.db import connection
from provenance.pieces.models import Piece
from provenance.record.models import Counter
from shop.sales.models import Holding, Owing, Receipt
receipts = Receipt.objects.order_by("pk").prefetch_related("lines__holding", "payments")
for receipt in receipts.prefetch_related("lines__piece__custody", "lines__custody"):
    [line], [payment] = receipt.lines.all(), receipt.payments.all()
    assert line.paid_minor == receipt.total_minor == payment.amount_minor == 10_000, receipt
    assert line.holding.piece == line.piece and line.piece.custody == line.custody, receipt
    assert line.custody.kind == "buyer", receipt
    print(receipt.code, line.piece.code)
assert Holding.objects.count() == len(receipts) and not Owing.objects.exists()
assert Piece.objects.filter(custody__kind="buyer").count() == len(receipts)
last = Counter.objects.filter(kind="receipt").values_list("last", flat=True)
assert sum(last) == len(receipts), last
if connection.vendor == "sqlite":
    with connection.cursor() as cursor:
        assert cursor.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
"""


@dataclass
class Market:
    """A shop ready to sell: its book's environment, the owner's cookies, its blanks."""

    env: Environment
    session: str
    blanks: list[str]

    def form(self, piece: str, token: str) -> str:
        """Return the form of a sale of one piece at $100, as a browser sends it."""
        return urlencode(
            {
                "csrfmiddlewaretoken": CSRF,
                "token": token,
                "lines-TOTAL_FORMS": 1,
                "lines-INITIAL_FORMS": 0,
                "lines-0-piece": piece,
                "lines-0-price": "100",
                "channel": "booth",
                "tax": "none",
                "prices": "added",
                "sold_on": datetime.now(UTC).date().isoformat(),
                "payments-TOTAL_FORMS": 1,
                "payments-INITIAL_FORMS": 0,
                "payments-0-kind": 1,
            }
        )

    @property
    def cookies(self) -> str:
        return f"bolebook={self.session}; bolebook-form={CSRF}"

    @property
    def folder(self) -> Path:
        return Path(self.env["BOLEBOOK_DATA"])

    def held(self, blanks: list[str]) -> dict[str, str]:
        """Return which of these blanks stands on which receipt; ask whether the book is sound."""
        lines = run(self.env, "-c", ASK).splitlines()
        found = {line.split()[0]: line.split()[1] for line in lines}
        year = f"{datetime.now(UTC).year % 100:02}"
        assert list(found) == [f"R{year}-{number:03}" for number in range(1, len(found) + 1)]
        assert len(set(found.values())) == len(found)
        return {receipt: piece for receipt, piece in found.items() if piece in blanks}


#: Any 32 letters: the cookie and the field of a form need only agree.
CSRF = "x" * 32


@pytest.fixture(scope="module")
def busy(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Market]:
    """One shop for these tests: each takes blanks of its own."""
    with own_book(tmp_path_factory.mktemp("busy")) as env:
        env |= {"BOLEBOOK_SECRET_KEY": "an invented secret for the tests of a busy market" * 2}
        count = 2 + WANTED + BLANKS
        session, *codes = run(env, str(HERE / "busy_book.py"), str(count)).split()
        yield Market(env, session, codes)


# Buyers at the same moment


def sent_at_once(port: int, cookies: str, forms: list[str]) -> list[tuple[int, str | None, str]]:
    """Send each form from a process of its own, all at the same moment; return the answers."""
    barrier, opened = os.pipe()
    clients = [
        subprocess.Popen(
            [sys.executable, "-I", "-S", HERE / "sale_client.py", str(port), cookies, form],
            stdin=barrier,
            stdout=subprocess.PIPE,
            text=True,
        )
        for form in forms
    ]
    os.close(barrier)
    for client in clients:
        assert client.stdout is not None
        assert client.stdout.readline() == "ready\n"
    os.close(opened)  # the end of everybody's input
    answers = []
    for client in clients:
        told, _ = client.communicate(timeout=120)
        assert client.returncode == 0
        answers.append(tuple(json.loads(told)))
    return answers


def test_of_a_hundred_who_buy_one_piece_at_once_one_gets_it(busy: Market) -> None:
    wanted, other = busy.blanks[:2]
    with RunningShop(busy.folder, **also_named(busy.env)) as shop:
        port = int(shop.origin.rpartition(":")[2])
        forms = [busy.form(wanted, str(uuid4())) for _ in range(BUYERS)]
        answers = sent_at_once(port, busy.cookies, forms)
        sold = [answer for answer in answers if answer[0] == 302]
        refused = [answer for answer in answers if answer[0] == 200]
        assert (len(sold), len(refused)) == (1, BUYERS - 1), {answer[0] for answer in answers}
        for _status, _address, page in refused:
            assert "is sold already, on receipt R" in page
            assert "void or refund it there first." in page
        # The same form sent eight times at once, as a finger may do that does not wait.
        form = busy.form(other, str(uuid4()))
        pressed = sent_at_once(port, busy.cookies, [form] * SECOND_PRESSES)
        assert {answer[0] for answer in pressed} == {302}
        assert len({answer[1] for answer in pressed}) == 1
        assert pressed[0][1] != sold[0][1]
        assert shop.complained == []
    assert sorted(busy.held([wanted, other]).values()) == [wanted, other]


def also_named(env: Environment) -> dict[str, str]:
    """Return what a shop started on this book must be told besides its folder."""
    return {name: env[name] for name in ("BOLEBOOK_SECRET_KEY", "DATABASE_URL") if name in env}


# Workers at the same pieces


def told_at_once(env: Environment, calls: list[list[str]]) -> list[int]:
    """Run a worker for each call, all at once; return the numbers that they tell."""
    workers = [
        subprocess.Popen(
            [sys.executable, *call],
            cwd=ROOT,
            env=env,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for call in calls
    ]
    for worker in workers:
        assert worker.stdin is not None
        worker.stdin.write("\n")
        worker.stdin.flush()
    told = [worker.communicate(timeout=120) for worker in workers]
    assert [worker.returncode for worker in workers] == [0] * len(calls), told
    return [int(number) for number, _complaint in told]


def test_each_of_thirty_pieces_that_six_sell_at_once_is_sold_once(busy: Market) -> None:
    wanted = busy.blanks[2 : 2 + WANTED]
    sold = told_at_once(busy.env, [[str(HERE / "sales_worker.py"), *wanted]] * WORKERS)
    assert sum(sold) == WANTED
    assert sorted(busy.held(wanted).values()) == wanted


def test_tills_that_sell_and_take_back_the_same_things_at_once_never_block(tmp_path: Path) -> None:
    till = str(HERE / "random_till.py")
    with own_book(tmp_path) as env:
        run(env, till, "begin")
        done = told_at_once(env, [[till, f"till {nth}", str(DEEDS)] for nth in range(TILLS)])
        assert min(done) > 0
        run(env, till, "add-up")


# A server that is killed


class Clients:
    """Sell piece after piece, each with a form of its own, sent until it is answered."""

    def __init__(self, busy: Market, port: int) -> None:
        self.busy, self.port = busy, port
        self.blanks = iter(busy.blanks[-BLANKS:])
        self.told: dict[str, str] = {}
        self.odd: list[object] = []
        self.is_over = self.are_dropped = False
        self.lock = threading.Lock()
        self.threads = [threading.Thread(target=self._sell) for _ in range(CLIENTS)]

    def finish(self) -> None:
        """Let each client end with the sale it is at."""
        self.is_over = True
        for thread in self.threads:
            thread.join(60)
            assert not thread.is_alive()

    def _sell(self) -> None:
        while not (self.is_over or self.odd or self.are_dropped):
            with self.lock:
                piece = next(self.blanks)
            form = self.busy.form(piece, str(uuid4()))
            while (receipt := self._sent(form)) is None and not (self.odd or self.are_dropped):
                time.sleep(0.01)
            if receipt:
                self.told[piece] = receipt

    def _sent(self, form: str) -> str | None:
        """Return the number that the shop told; None where it broke off."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        headers = {
            "Cookie": self.busy.cookies,
            "Content-Type": "application/x-www-form-urlencoded",
        }
        try:
            connection.request("POST", "/sales/new/", form, headers)
            answer = connection.getresponse()
            answer.read()
        except (OSError, http.client.HTTPException):
            return None
        finally:
            connection.close()
        if answer.status != 302:
            self.odd.append((answer.status, form))
            return None
        return (answer.headers["Location"] or "").strip("/").rpartition("/")[2]


def test_a_server_killed_in_the_middle_loses_nothing_it_told(busy: Market) -> None:
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    servers = subprocess.Popen(
        [sys.executable, HERE / "server_worker.py", str(port)],
        cwd=ROOT,
        env=busy.env,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert servers.stdin is not None
    assert servers.stdout is not None
    clients = Clients(busy, port)
    for client in clients.threads:
        client.start()
    try:
        for kill in range(KILLS + 1):
            servers.stdin.write("\n")
            servers.stdin.flush()
            server, told = int(servers.stdout.readline()), len(clients.told)
            until = time.monotonic() + 60
            while len(clients.told) < told + 2:
                assert clients.odd == []
                assert time.monotonic() < until, f"nothing was sold after {kill} kills"
                time.sleep(0.002)
            # It is at work: now at a moment of its own.
            if kill < KILLS:
                time.sleep(0.013 * (kill % 7))
                os.kill(server, signal.SIGKILL)
        clients.finish()
    finally:
        clients.are_dropped = True
        with suppress(ProcessLookupError):
            os.kill(server, signal.SIGKILL)
        servers.communicate(timeout=30)
    assert clients.odd == []
    assert len(clients.told) > KILLS
    # Whoever got no answer asked again: what they were told in the end is all that there is.
    assert {receipt: piece for piece, receipt in clients.told.items()} == busy.held(
        busy.blanks[-BLANKS:]
    )
