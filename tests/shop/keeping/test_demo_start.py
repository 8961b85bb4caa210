"""`start --demo`: an invented shop in a folder of its own, all of it or nothing."""

import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from provenance.maker.models import Shop
from shop.keeping import demo, opening
from tests.shop.keeping.running_shop import ROOT, RunningShop, bare_environment, command


def test_a_demo_that_breaks_off_leaves_nothing_and_is_built_anew(
    db: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    def half() -> None:
        Shop.objects.create(name="Half a shop")
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(demo, "build", half)
        with pytest.raises(KeyboardInterrupt):
            opening.build_demo(lambda words: None)
    assert not Shop.objects.exists()
    monkeypatch.setattr(demo, "build", lambda: Shop.objects.create(name="A whole shop"))
    opening.build_demo(lambda words: None)
    assert Shop.current().name == "A whole shop"


def test_a_demo_that_is_there_is_left_as_it_is(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    Shop.objects.create(name="As the visitor left it")
    monkeypatch.setattr(demo, "build", lambda: pytest.fail("built again"))
    said: list[str] = []
    opening.build_demo(said.append)
    assert said == []


@pytest.mark.processes
@pytest.mark.sqlite
@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGINT])
def test_a_demo_stopped_half_way_holds_nothing(tmp_path: Path, number: int) -> None:
    with subprocess.Popen(
        [sys.executable, "manage.py", "start", "--demo", "--data", str(tmp_path), "--port", "0"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env=bare_environment(),
        # Whoever runs the tests in the background has them ignore Ctrl-C, and what they start.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    ) as shop:
        assert shop.stdout is not None
        assert "Writing the invented shop" in shop.stdout.readline()
        time.sleep(0.5)
        shop.send_signal(number)
        try:
            _said, complained = shop.communicate(timeout=30)
        finally:
            shop.kill()
    assert complained in ("", "Broken off: nothing is half done, start it again.\n")
    with sqlite3.connect(tmp_path / "book.sqlite3") as book:
        assert book.execute("SELECT count(*) FROM maker_shop").fetchone() == (0,)
        assert book.execute("SELECT count(*) FROM trees_tree").fetchone() == (0,)


@pytest.mark.processes
@pytest.mark.sqlite
def test_the_visitor_is_signed_in_by_the_printed_link(tmp_path: Path) -> None:
    with RunningShop(tmp_path / "demo", "--demo") as shop:
        page = shop.get(shop.link)
        assert "This is the demo: an invented shop." in page
        assert "Saltmarsh Lane Turnery" in page
        assert shop.status("/sign-in") == 200
    with sqlite3.connect(tmp_path / "demo" / "book.sqlite3") as book:
        assert book.execute("SELECT count(*) FROM maker_shop").fetchone() == (1,)
    with RunningShop(tmp_path / "demo", "--demo") as again:
        assert "Writing the invented shop" not in "\n".join(again.said)
        assert again.get(again.link)
    done = command("start", "--data", str(tmp_path / "demo"))
    assert done.returncode == 1
    assert "holds the demo: add --demo" in done.stderr


@pytest.mark.processes
@pytest.mark.sqlite
def test_the_demo_stays_out_of_the_real_book(tmp_path: Path) -> None:
    real = tmp_path / "book"
    with RunningShop(real):
        pass
    before = (real / "book.sqlite3").read_bytes()
    done = command("start", "--demo", "--data", str(real))
    assert done.returncode == 1
    assert "a real book, which the demo never touches" in done.stderr
    assert (real / "book.sqlite3").read_bytes() == before
