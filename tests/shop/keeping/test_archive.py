"""The backup's file: whole or refused."""

import json
import zipfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.keeping import archive
from shop.keeping.archive import ArchiveRefused, Manifest

ABOUT: dict[str, Any] = {
    "version": "0.1.0",
    "made_at": "2026-11-25T09:30:00+00:00",
    "migrations": [("maker", "0001_initial")],
    "counts": {"maker_shop": 1},
    "missing": [],
}
PHOTO = "photos/originals/abcdefghijklmnopqrstuv.jpg"


@pytest.fixture
def made(tmp_path: Path) -> Path:
    """A sound archive of a database and one photo."""
    (tmp_path / "db").write_bytes(b"a database" * 500)
    (tmp_path / "photo").write_bytes(bytes(range(256)) * 40)
    files = [(archive.BOOK, tmp_path / "db"), (PHOTO, tmp_path / "photo")]
    archive.write(tmp_path / "backup.zip", files, ABOUT)
    return tmp_path / "backup.zip"


def rewritten(made: Path, **changes: bytes | None) -> Path:
    """Return a copy of the archive with files changed, added, or (None) left out."""
    target = made.with_name("changed.zip")
    with zipfile.ZipFile(made) as old, zipfile.ZipFile(target, "w") as new:
        kept = {name: old.read(name) for name in old.namelist()}
        for name, content in {**kept, **changes}.items():
            if content is not None:
                new.writestr(name, content)
    return target


def refused(file: Path, folder: Path) -> str:
    """Return the sentence with which an archive is refused."""
    with pytest.raises(ArchiveRefused) as caught, archive.opened(file) as opened:
        archive.extract(opened, folder)
    return str(caught.value)


def test_what_goes_in_comes_out(made: Path, tmp_path: Path) -> None:
    with archive.opened(made) as opened:
        manifest = archive.extract(opened, tmp_path / "out")
    assert (tmp_path / "out" / archive.BOOK).read_bytes() == b"a database" * 500
    assert (tmp_path / "out" / PHOTO).read_bytes() == bytes(range(256)) * 40
    assert manifest.counts == {"maker_shop": 1}
    assert manifest.migrations == [("maker", "0001_initial")]
    assert sorted(manifest.files) == [archive.BOOK, PHOTO]


def test_the_file_is_private_and_leaves_nothing_beside_it(made: Path) -> None:
    assert made.stat().st_mode & 0o077 == 0
    assert sorted(path.name for path in made.parent.iterdir()) == ["backup.zip", "db", "photo"]


def test_an_archive_never_takes_anothers_place(made: Path, tmp_path: Path) -> None:
    before = made.read_bytes()
    with pytest.raises(ArchiveRefused, match="is there already"):
        archive.write(made, [(archive.BOOK, tmp_path / "db")], ABOUT)
    assert made.read_bytes() == before
    assert not list(tmp_path.glob(".*"))


def test_a_file_that_vanishes_leaves_no_archive(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        archive.write(tmp_path / "backup.zip", [(archive.BOOK, tmp_path / "gone")], ABOUT)
    assert list(tmp_path.iterdir()) == []


@given(where=st.floats(0, 1, exclude_max=True), bit=st.integers(0, 7))
def test_no_flipped_bit_gets_through(
    where: float, bit: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("flipped")
    (folder / "db").write_bytes(b"a database")
    (folder / "photo").write_bytes(bytes(range(64)))
    files = [(archive.BOOK, folder / "db"), (PHOTO, folder / "photo")]
    target = folder / "backup.zip"
    archive.write(target, files, ABOUT)
    content = bytearray(target.read_bytes())
    content[int(where * len(content))] ^= 1 << bit
    target.write_bytes(content)
    try:
        with archive.opened(target) as opened:
            manifest = archive.extract(opened, folder / "out")
    except ArchiveRefused as error:
        assert str(error).endswith(".")
    else:  # a bit in a time stamp or the like: nothing of what counts has changed
        assert (folder / "out" / archive.BOOK).read_bytes() == b"a database"
        assert (folder / "out" / PHOTO).read_bytes() == bytes(range(64))
        assert manifest.counts == {"maker_shop": 1}


@pytest.mark.parametrize("method", [zipfile.ZIP_STORED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA, 98])
def test_another_way_of_packing_than_was_used_is_damage(
    made: Path, tmp_path: Path, method: int
) -> None:
    content = bytearray(made.read_bytes())
    manifests_entry = content.rindex(b"PK\x01\x02")
    content[manifests_entry + 10] = method
    made.write_bytes(content)
    assert "damaged" in refused(made, tmp_path / "out")


def test_a_changed_photo_is_named(made: Path, tmp_path: Path) -> None:
    changed = rewritten(made, **{PHOTO: b"other"})
    assert f"{PHOTO} is not what it was" in refused(changed, tmp_path / "out")


def test_a_missing_file_is_noticed(made: Path, tmp_path: Path) -> None:
    changed = rewritten(made, **{PHOTO: None})
    assert "other files than its manifest says" in refused(changed, tmp_path / "out")


@pytest.mark.parametrize(
    "name", ["../evil", "/etc/evil", "photos/originals/../../evil.jpg", "evil"]
)
def test_no_file_gets_out_of_the_folder(made: Path, tmp_path: Path, name: str) -> None:
    with zipfile.ZipFile(made) as old:
        manifest = json.loads(old.read(archive.MANIFEST))
    manifest["files"][name] = manifest["files"][PHOTO]
    with zipfile.ZipFile(made) as old:
        content = old.read(PHOTO)
    changed = rewritten(made, **{name: content, archive.MANIFEST: json.dumps(manifest).encode()})
    assert "files that belong elsewhere" in refused(changed, tmp_path / "a" / "out")
    assert not list(tmp_path.rglob("evil*"))


@pytest.mark.parametrize("text", [b"", b"[]", b"{}", b"nonsense", b'{"format": 1, "files": 3}'])
def test_a_manifest_that_cannot_be_read(made: Path, tmp_path: Path, text: bytes) -> None:
    changed = rewritten(made, **{archive.MANIFEST: text})
    assert "its manifest cannot be read" in refused(changed, tmp_path / "out")


def test_a_later_format_is_left_to_a_later_version() -> None:
    with pytest.raises(ArchiveRefused, match="made by a newer Bolebook"):
        Manifest.from_json(b'{"format": 2}')


def test_other_files_are_no_backups(made: Path, tmp_path: Path) -> None:
    assert "it has no manifest" in refused(rewritten(made, **{archive.MANIFEST: None}), tmp_path)
    (tmp_path / "text.zip").write_text("not a zip", encoding="utf-8")
    assert "damaged, or not a backup" in refused(tmp_path / "text.zip", tmp_path)
    assert "There is no file" in refused(tmp_path / "nowhere.zip", tmp_path)
    assert "cannot be read" in refused(tmp_path, tmp_path / "out")


def test_what_unpacks_to_more_than_it_says_stops_there(made: Path, tmp_path: Path) -> None:
    swollen = rewritten(made, **{PHOTO: bytes(20 * archive.CHUNK)})
    assert f"{PHOTO} is not what it was" in refused(swollen, tmp_path / "out")
    assert (tmp_path / "out" / PHOTO).stat().st_size <= 2 * archive.CHUNK
