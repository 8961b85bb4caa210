"""A book moves between SQLite and PostgreSQL by a backup, and nothing is lost on the way."""

import os
import secrets
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest

from shop.keeping import archive
from tests.shop.keeping.running_shop import PROFILE, ROOT, RunningShop, bare_environment, command
from tests.shop.keeping.test_backup import WRITER, dangling, rows

pytestmark = [pytest.mark.processes, pytest.mark.postgresql]
WORD = {"username": "turner", "password": "a plain ash bowl", "next": "/health/"}


@pytest.fixture
def empty_database() -> Iterator[str]:
    """The URL of a database on the test's server that holds nothing."""
    url, name = os.environ["DATABASE_URL"], f"moving_{secrets.token_hex(4)}"
    with psycopg.connect(url, autocommit=True) as server:
        server.execute(f"CREATE DATABASE {name}")
        yield url.rsplit("/", 1)[0] + f"/{name}"
        server.execute(f"DROP DATABASE {name} WITH (FORCE)")


def fill(data: Path, url: str) -> None:
    """Start and set up a shop, and write four trees with photos."""
    with RunningShop(data, DATABASE_URL=url) as shop:
        shop.send(shop.link, **PROFILE)
    writer = WRITER.replace("range(10_000)", "range(4)")
    environment = bare_environment(BOLEBOOK_DATA=str(data), DATABASE_URL=url)
    subprocess.run([sys.executable, "-c", writer, "1"], check=True, cwd=ROOT, env=environment)


def counts_in(file: Path) -> dict[str, int]:
    with archive.opened(file) as opened:
        return archive.read_manifest(opened).counts


def test_from_postgresql_to_sqlite(tmp_path: Path, empty_database: str) -> None:
    data, back, file = tmp_path / "book", tmp_path / "back", tmp_path / "backup.zip"
    fill(data, empty_database)
    done = command("backup", str(file), "--data", str(data), DATABASE_URL=empty_database)
    assert "4 photos, read again and sound" in done.stdout, done
    assert command("restore", str(file), "--data", str(back)).returncode == 0
    found, counts = rows(back / "book.sqlite3"), counts_in(file)
    assert counts["trees_tree"] == 4
    assert {name: found[name] for name in counts} == counts
    assert dangling(back) == []
    with RunningShop(back) as shop:
        assert shop.send("/sign-in", **WORD)[0].endswith("/health/")


def test_from_sqlite_to_postgresql(tmp_path: Path, empty_database: str) -> None:
    data, back, file = tmp_path / "book", tmp_path / "back", tmp_path / "backup.zip"
    fill(data, "")
    plain = tmp_path / "plain.zip"
    command("backup", str(plain), "--data", str(data))
    done = command("restore", str(plain), "--data", str(back), DATABASE_URL=empty_database)
    assert "make a backup with --portable" in done.stderr
    command("backup", str(file), "--data", str(data), "--portable")
    done = command("restore", str(file), "--data", str(back), DATABASE_URL=empty_database)
    assert done.returncode == 0, done
    with psycopg.connect(empty_database) as database:
        for table, count in counts_in(file).items():
            found = database.execute(f'SELECT count(*) FROM "{table}"').fetchone()  # noqa: S608
            assert found == (count,), table
    with RunningShop(back, DATABASE_URL=empty_database) as shop:
        assert shop.send("/sign-in", **WORD)[0].endswith("/health/")
    again = command(
        "restore", str(file), "--data", str(tmp_path / "third"), DATABASE_URL=empty_database
    )
    assert "holds a book already" in again.stderr


def test_a_damaged_backup_leaves_the_database_empty(tmp_path: Path, empty_database: str) -> None:
    data, file = tmp_path / "book", tmp_path / "backup.zip"
    fill(data, "")
    command("backup", str(file), "--data", str(data), "--portable")
    cut = tmp_path / "cut.zip"
    with archive.opened(file) as opened:
        manifest = archive.read_manifest(opened)
        archive.extract(opened, tmp_path / "out")
    records = tmp_path / "out" / archive.RECORDS
    lines = records.read_text(encoding="utf-8").splitlines(keepends=True)
    records.write_text("".join(lines[:-1]), encoding="utf-8")
    files = [(archive.RECORDS, records)]
    about = {
        "version": manifest.version,
        "made_at": manifest.made_at,
        "migrations": manifest.migrations,
        "counts": manifest.counts,
    }
    archive.write(cut, files, about)
    back = tmp_path / "back"
    done = command("restore", str(cut), "--data", str(back), DATABASE_URL=empty_database)
    assert "some of its records are missing" in done.stderr
    assert not back.exists()
    whole = command("restore", str(file), "--data", str(back), DATABASE_URL=empty_database)
    assert whole.returncode == 0, whole
