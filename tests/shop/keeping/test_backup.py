"""Backups: whole while the shop is in use, and brought back row for row, picture for picture."""

import io
import json
import shutil
import sqlite3
import subprocess
import sys
import threading
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pypdf
import pytest
from django.test import Client

from provenance.maker.models import User
from shop.keeping import archive, backup
from shop.keeping.archive import ArchiveRefused
from tests.shop.keeping.running_shop import ROOT, RunningShop, bare_environment, command

AT = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
# What the next test's writers run: a tree after the other, each with a photo, until told to stop.
WRITER = """
import io, os, sys
os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"
import django
django.setup()
from django.conf import settings
from PIL import Image
from provenance.maker.models import User
from provenance.record import album
from provenance.record.scribe import Scribe
from provenance.trees import register
number, stop = int(sys.argv[1]), settings.DATA / "stop"
scribe = Scribe.now(User.objects.get())
for turn in range(10_000):
    if stop.exists():
        break
    tree = register.register_tree(
        scribe, species_words="ash", certainty="sure", public_place=f"Hollin Ferry {number}-{turn}"
    )
    picture = io.BytesIO()
    Image.new("RGB", (40, 30), (number * 20, turn % 256, turn // 256)).save(picture, "PNG")
    picture.seek(0)
    album.add_photo(tree.journal, picture, scribe)
print(turn)
"""


# A finished piece, and a printed card of it.
CARD = """
import os
os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"
import django
django.setup()
from provenance.cards import printing
from tests import factories
scribe = factories.a_scribe()
piece = factories.a_piece("finished", diameter_mm=292, height_mm=108)
run = printing.prepare("card", [piece], scribe)
printing.issue(run, scribe, with_codes=False)
print(f"/print/{run.pk}/sheet.pdf")
"""


def card_text(shop: RunningShop, address: str) -> str:
    """Return the words on a printed sheet of cards."""
    pages = pypdf.PdfReader(io.BytesIO(shop.fetch(address))).pages
    return "\n".join(page.extract_text() for page in pages)


def rows(book: Path) -> dict[str, int]:
    """Return the rows by table."""
    with sqlite3.connect(book) as opened:
        return backup.sqlite_counts(opened)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The folder of a shop that was started, set up, and stopped."""
    with RunningShop(tmp_path / "book") as shop:
        shop.get(shop.link)
    code = (
        "import os; os.environ['DJANGO_SETTINGS_MODULE'] = 'shop.settings'\n"
        "import django; django.setup()\n"
        "from provenance.maker.models import Shop, User\n"
        "Shop.objects.create(name='Saltmarsh Lane Turnery')\n"
        "User.objects.create_user('turner', password='a plain ash bowl')"
    )
    subprocess.run(
        [sys.executable, "-c", code],
        check=True,
        cwd=ROOT,
        env=bare_environment(BOLEBOOK_DATA=str(tmp_path / "book")),
    )
    return tmp_path / "book"


def dangling(data: Path) -> list[str]:
    """Return the photos that a folder's book names and its photo folder lacks."""
    with sqlite3.connect(data / "book.sqlite3") as opened:
        named = opened.execute("SELECT token, extension FROM record_photo").fetchall()
    names = [f"{token}.{extension}" for token, extension in named]
    return [name for name in names if not (data / "photos" / "originals" / name).is_file()]


@pytest.mark.processes
@pytest.mark.sqlite
def test_a_backup_under_eight_writers_is_whole_and_comes_back(tmp_path: Path, book: Path) -> None:
    environment = bare_environment(BOLEBOOK_DATA=str(book))
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(number)],
            cwd=ROOT,
            env=environment,
            stdout=subprocess.PIPE,
            text=True,
        )
        for number in range(8)
    ]
    try:
        until = threading.Event()
        while rows(book / "book.sqlite3")["record_photo"] < 16:
            until.wait(0.2)
        done = command("backup", str(tmp_path / "first.zip"), "--data", str(book))
        assert "read again and sound" in done.stdout, done
    finally:
        (book / "stop").touch()
        turns = [int(writer.communicate(timeout=120)[0]) for writer in writers]
    assert min(turns) > 0
    back = command("restore", str(tmp_path / "first.zip"), "--data", str(tmp_path / "back"))
    assert back.returncode == 0, back
    with archive.opened(tmp_path / "first.zip") as opened:
        counts = archive.read_manifest(opened).counts
    assert rows(tmp_path / "back" / "book.sqlite3") == counts
    assert counts["record_photo"] >= 16
    assert dangling(tmp_path / "back") == []


@pytest.mark.processes
@pytest.mark.sqlite
@pytest.mark.parametrize("option", [[], ["--portable"]])
def test_a_restored_shop_starts_with_all_it_had(
    tmp_path: Path, book: Path, option: list[str]
) -> None:
    (book / "stop").touch()
    subprocess.run(
        [
            sys.executable,
            "-c",
            WRITER.replace("range(10_000)", "range(3)").replace("break", "pass"),
            "1",
        ],
        check=True,
        cwd=ROOT,
        env=bare_environment(BOLEBOOK_DATA=str(book)),
    )
    printed = subprocess.run(
        [sys.executable, "-c", CARD],
        check=True,
        cwd=ROOT,
        env=bare_environment(BOLEBOOK_DATA=str(book)),
        capture_output=True,
        text=True,
    ).stdout.strip()
    with RunningShop(book) as shop:  # while it runs
        shop.send("/sign-in", username="turner", password="a plain ash bowl", next="/health/")
        card = card_text(shop, printed)
        assert "A storm brought it down" in " ".join(card.split())
        file = tmp_path / "backup.zip"
        assert command("backup", str(file), "--data", str(book), *option).returncode == 0
    shutil.rmtree(book)  # the laptop fell into the lathe
    back = tmp_path / "elsewhere"
    assert command("restore", str(file), "--data", str(back)).returncode == 0
    assert not (back / "secret-key").exists()
    with RunningShop(back) as shop:
        assert "set-up" not in "\n".join(shop.said)
        address, _page = shop.send(
            "/sign-in", username="turner", password="a plain ash bowl", next="/health/"
        )
        assert address == f"{shop.origin}/health/"
        assert card_text(shop, printed) == card
    with archive.opened(file) as opened:
        counts = archive.read_manifest(opened).counts
    found = rows(back / "book.sqlite3")
    kept = {
        name: count for name, count in counts.items() if not name.startswith(("django_", "axes_"))
    }
    assert {name: found[name] for name in kept} == kept
    assert (counts["trees_tree"], counts["record_photo"], counts["pieces_piece"]) == (4, 3, 1)
    assert dangling(back) == []
    assert sum(1 for _ in (back / "photos" / "originals").iterdir()) == 3


@pytest.mark.processes
@pytest.mark.sqlite
def test_no_session_and_no_secret_goes_into_a_backup(tmp_path: Path, book: Path) -> None:
    with RunningShop(book) as shop:
        shop.send("/sign-in", username="turner", password="a plain ash bowl", next="/health/")
    with sqlite3.connect(book / "book.sqlite3") as opened:
        (session,) = opened.execute("SELECT session_key FROM django_session").fetchone()
    command("backup", str(tmp_path / "backup.zip"), "--data", str(book))
    with zipfile.ZipFile(tmp_path / "backup.zip") as made:
        content = b"".join(made.read(name) for name in made.namelist())
    assert b"Saltmarsh Lane Turnery" in content
    assert session.encode() not in content
    assert (book / "secret-key").read_bytes() not in content


def refused(*arguments: str) -> str:
    """Return the one sentence with which a command is refused."""
    done = command(*arguments)
    assert done.returncode == 1, done
    assert len(done.stderr.strip().splitlines()) == 1, done.stderr
    return done.stderr


@pytest.mark.processes
@pytest.mark.sqlite
def test_a_backup_goes_over_nothing_and_needs_a_book(tmp_path: Path, book: Path) -> None:
    (tmp_path / "there.zip").write_text("keep me", encoding="utf-8")
    assert "is there already" in refused("backup", str(tmp_path / "there.zip"), "--data", str(book))
    assert (tmp_path / "there.zip").read_text(encoding="utf-8") == "keep me"
    nowhere = str(tmp_path / "no" / "folder.zip")
    assert "There is no folder" in refused("backup", nowhere, "--data", str(book))
    assert "holds no book" in refused("backup", str(tmp_path / "x.zip"), "--data", str(tmp_path))
    assert not (tmp_path / "x.zip").exists()


@pytest.mark.processes
@pytest.mark.sqlite
def test_a_restore_goes_over_nothing_and_a_damaged_one_leaves_nothing(
    tmp_path: Path, book: Path
) -> None:
    file = tmp_path / "backup.zip"
    command("backup", str(file), "--data", str(book))
    before = (book / "book.sqlite3").read_bytes()
    assert "is not empty" in refused("restore", str(file), "--data", str(book))
    assert (book / "book.sqlite3").read_bytes() == before

    with zipfile.ZipFile(file) as made, zipfile.ZipFile(tmp_path / "bad.zip", "w") as bad:
        for name in made.namelist():
            content = made.read(name)
            bad.writestr(name, content[:-1] + b"!" if name == archive.BOOK else content)
    assert "is not what it was" in refused(
        "restore", str(tmp_path / "bad.zip"), "--data", str(tmp_path / "new")
    )
    assert not (tmp_path / "new").exists()
    (tmp_path / "empty").mkdir()
    assert refused("restore", str(tmp_path / "bad.zip"), "--data", str(tmp_path / "empty"))
    assert list((tmp_path / "empty").iterdir()) == []

    with zipfile.ZipFile(file) as made, zipfile.ZipFile(tmp_path / "later.zip", "w") as later:
        for name in made.namelist():
            content = made.read(name)
            if name == archive.MANIFEST:
                manifest = json.loads(content)
                manifest["migrations"].append(["pieces", "9000_later"])
                content = json.dumps(manifest).encode()
            later.writestr(name, content)
    assert "made by a newer Bolebook" in refused(
        "restore", str(tmp_path / "later.zip"), "--data", str(tmp_path / "new")
    )
    assert not (tmp_path / "new").exists()


def test_the_last_backup_is_remembered(tmp_path: Path) -> None:
    assert backup.last_backup(tmp_path) is None
    (tmp_path / backup.LAST).write_text("{", encoding="utf-8")
    assert backup.last_backup(tmp_path) is None
    told = {"at": AT.isoformat(), "file": "/mnt/stick/book.zip"}
    (tmp_path / backup.LAST).write_text(json.dumps(told), encoding="utf-8")
    assert backup.last_backup(tmp_path) == backup.LastBackup(at=AT, file="/mnt/stick/book.zip")


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_on_postgresql_a_backup_holds_records(
    tmp_path: Path, data_folder: Path, owner: User, client: Client
) -> None:
    manifest = backup.back_up(tmp_path / "backup.zip", data_folder, at=AT)
    assert list(manifest.files) == [archive.RECORDS]
    assert manifest.counts["maker_user"] == 1


def test_a_target_in_no_folder_is_refused_before_anything_is_copied(
    tmp_path: Path, data_folder: Path
) -> None:
    with pytest.raises(ArchiveRefused, match="There is no folder"):
        backup.back_up(tmp_path / "no" / "backup.zip", data_folder, at=AT)
    assert list(data_folder.iterdir()) == []
