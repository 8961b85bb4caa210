"""`manage.py start`, as its owner types it: real processes, folders and ports."""

import http.client
import os
import signal
import sqlite3
import subprocess
import sys
import urllib.parse
from pathlib import Path

import pytest

from shop.keeping import network
from tests.shop.keeping.running_shop import PROFILE, ROOT, RunningShop, command

pytestmark = [pytest.mark.processes, pytest.mark.sqlite]


def sentence(done: subprocess.CompletedProcess[str]) -> str:
    """Return the one sentence of a command that was refused."""
    assert done.returncode == 1, done
    lines = done.stderr.strip().splitlines()
    assert len(lines) == 1, done.stderr
    assert lines[0].endswith(".")
    return lines[0]


def test_from_an_empty_folder_to_an_owner_at_the_bench(tmp_path: Path) -> None:
    data = tmp_path / "book"
    with RunningShop(data) as shop:
        assert "There is no owner yet." in "\n".join(shop.said)
        assert data.stat().st_mode & 0o777 == 0o700
        assert (data / "secret-key").stat().st_mode & 0o777 == 0o600
        assert (data / "book.sqlite3").stat().st_mode & 0o077 == 0
        address, _page = shop.send(shop.link, **PROFILE)
        assert address == f"{shop.origin}/bench/"
        assert shop.status(shop.link) == 410
        assert shop.stop() == 0
    with RunningShop(data) as shop:
        assert "set-up" not in "\n".join(shop.said)
        address, _page = shop.send(
            "/sign-in", username="turner", password="a plain ash bowl", next="/shop/"
        )
        assert address == f"{shop.origin}/shop/"
        assert shop.stop(signal.SIGINT) == 0
        assert shop.complained == []


def test_a_new_start_prints_a_new_link_and_the_old_one_closes(tmp_path: Path) -> None:
    with RunningShop(tmp_path / "book") as shop:
        old = shop.link
    with RunningShop(tmp_path / "book") as shop:
        assert shop.status(old.split("/", 3)[3].join(["/", ""])) == 410
        assert shop.status(shop.link) == 200


def test_a_second_server_on_the_same_folder_is_refused(tmp_path: Path) -> None:
    with RunningShop(tmp_path / "book") as shop:
        second = command("start", "--data", str(tmp_path / "book"), "--port", "0")
        assert "Another Bolebook is running on" in sentence(second)
        assert shop.status("/sign-in") == 200


def test_after_a_kill_it_starts_again_and_the_book_is_sound(tmp_path: Path) -> None:
    data = tmp_path / "book"
    with RunningShop(data) as shop:
        shop.send(shop.link, **PROFILE)
        shop.stop(signal.SIGKILL)
    with RunningShop(data) as shop:
        assert "set-up" not in "\n".join(shop.said)
        assert shop.status("/sign-in") == 200
    with sqlite3.connect(data / "book.sqlite3") as book:
        assert book.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert book.execute("SELECT username FROM maker_user").fetchall() == [("turner",)]


def test_a_port_in_use_is_refused(tmp_path: Path) -> None:
    with network.listen("127.0.0.1", 0) as taken:
        port = taken.getsockname()[1]
        done = command("start", "--data", str(tmp_path / "book"), "--port", str(port))
    assert sentence(done) == (
        f"Port {port} is in use by another program: choose another with --port."
    )


def test_a_folder_that_cannot_be_used_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    done = command("start", "--data", str(tmp_path / "file" / "book"))
    assert "cannot be written to" in sentence(done)
    done = command("start", "--data", str(tmp_path))
    assert "holds other things" in sentence(done)


@pytest.mark.skipif(os.name != "posix", reason="permissions are POSIX's")
def test_a_read_only_folder_is_refused(tmp_path: Path) -> None:
    if os.geteuid() == 0:  # root may write anywhere, so another user must try
        tmp_path.chmod(0o755)
        for parent in tmp_path.parents[:3]:
            parent.chmod(0o755)
    (tmp_path / "book").mkdir(mode=0o555)
    code = (
        "import os, sys\n"
        "from pathlib import Path\n"
        "from shop.keeping import folder\n"
        "if os.geteuid() == 0: os.setgid(65534); os.setuid(65534)\n"
        "try: folder.prepare(Path(sys.argv[1]), demo=False)\n"
        "except folder.FolderRefused as error: print(error)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "book")],
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
    )
    assert "cannot be written to" in done.stdout, done


def test_a_book_from_a_newer_version_is_refused_and_left_alone(tmp_path: Path) -> None:
    data = tmp_path / "book"
    with RunningShop(data):
        pass
    with sqlite3.connect(data / "book.sqlite3") as book:
        book.execute("INSERT INTO django_migrations VALUES (NULL, 'pieces', '9000_later', '2030')")
    before = (data / "book.sqlite3").read_bytes()
    assert "by a newer Bolebook" in sentence(command("start", "--data", str(data)))
    assert (data / "book.sqlite3").read_bytes() == before


def test_a_damaged_book_is_named(tmp_path: Path) -> None:
    data = tmp_path / "book"
    with RunningShop(data):
        pass
    (data / "book.sqlite3").write_bytes(b"this is no database" * 500)
    assert "is damaged or not a book" in sentence(command("start", "--data", str(data)))


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("BOLEBOOK_DEBUG", "perhaps", "BOLEBOOK_DEBUG must be yes or no."),
        ("BOLEBOOK_SECRET_KEY", "hush", "BOLEBOOK_SECRET_KEY must be at least 50"),
        ("PUBLIC_URL", "bowls", "PUBLIC_URL must be an origin"),
        ("DATABASE_URL", "mysql://x/y", "DATABASE_URL must begin with postgresql://"),
        ("DATABASE_URL", "postgresql://x:y@127.0.0.1:9/book", "does not answer"),
    ],
)
def test_a_wrong_variable_stops_the_start(
    tmp_path: Path, name: str, value: str, words: str
) -> None:
    done = command("start", "--data", str(tmp_path / "book"), "--port", "0", **{name: value})
    assert words in sentence(done)


def test_an_older_book_is_copied_before_it_is_brought_up_to_date(tmp_path: Path) -> None:
    data = tmp_path / "book"
    with RunningShop(data) as shop:
        shop.send(shop.link, **PROFILE)
    with sqlite3.connect(data / "book.sqlite3") as book:  # as it was before axes had this table
        book.execute("DROP TABLE axes_accesslog")
        for row in book.execute("SELECT id FROM django_migrations WHERE app = 'axes'").fetchall():
            book.execute("DELETE FROM django_migrations WHERE id = ?", row)
        tables = "SELECT name FROM sqlite_master WHERE type = 'table' AND name LIKE 'axes_%'"
        for (table,) in book.execute(tables).fetchall():
            book.execute(f"DROP TABLE {table}")
    with RunningShop(data) as shop:
        copy = Path(shop.found(r"as it was before: (\S+)"))
        assert shop.status("/sign-in") == 200
    with sqlite3.connect(copy) as before:
        assert before.execute("SELECT name FROM maker_shop").fetchone() == (PROFILE["name"],)


def test_the_local_network_gets_an_address_a_code_and_a_warning(tmp_path: Path) -> None:
    with RunningShop(tmp_path / "book", "--lan") as shop:
        said = "\n".join(shop.said)
        lan = network.lan_address()
        port = shop.origin.rsplit(":", 1)[1]
        assert f"http://{lan}:{port}/set-up/" in said
        assert "█" in said
        assert "This is plain HTTP: whoever shares the network can read along" in said
        shop.origin = f"http://{lan}:{port}"
        assert shop.status("/sign-in") == 200


def test_without_lan_the_network_gets_nothing(tmp_path: Path) -> None:
    with RunningShop(tmp_path / "book") as shop:
        assert shop.origin.startswith("http://127.0.0.1:")
        assert "HTTP:" not in "\n".join(shop.said)


def test_a_host_that_was_not_named_is_refused(tmp_path: Path) -> None:
    with RunningShop(tmp_path / "book", BOLEBOOK_HOSTS="bench.example.org") as shop:
        for host, status in (("bench.example.org", 200), ("other.example.org", 400)):
            connection = http.client.HTTPConnection(shop.origin.removeprefix("http://"))
            connection.request("GET", "/sign-in", headers={"Host": host})
            assert connection.getresponse().status == status
            connection.close()


def test_all_of_the_style_is_served(tmp_path: Path) -> None:
    with RunningShop(tmp_path / "book") as shop:
        sheet = shop.get("/sign-in").split('rel="stylesheet" href="')[1].split('"')[0]
        font = shop.get(sheet).split("url(")[1].split(")")[0].strip("\"'")
        with shop.browser.open(urllib.parse.urljoin(shop.origin + sheet, font)) as answer:
            assert answer.read(4) == b"\x00\x01\x00\x00"  # TrueType's first four bytes
            assert "max-age=315360000" in answer.headers["Cache-Control"]


def test_shortened_arguments_are_not_guessed_at(tmp_path: Path) -> None:
    done = command("start", "--dat", str(tmp_path / "book"))
    assert done.returncode == 2
    assert "unrecognized arguments: --dat" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_without_its_packages_it_says_how_to_get_them() -> None:
    done = subprocess.run(
        [sys.executable, "-S", "manage.py", "start"],
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
    )
    assert 'The package "django" is missing: install Bolebook' in sentence(done)
