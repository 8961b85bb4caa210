"""How photo files are kept: whole or not at all, and found by their token alone."""

from pathlib import Path

import pytest

from provenance.record import photos
from provenance.record.photos import PhotoMissing, PhotoStore, derive
from tests.provenance.record.crafted_pictures import (
    plank,
    private_jpeg,
    saved,
    taken,
)


@pytest.fixture
def store(tmp_path: Path) -> PhotoStore:
    return PhotoStore(tmp_path / "photos")


def files_below(root: Path) -> list[str]:
    return sorted(str(path.relative_to(root)) for path in root.rglob("*") if path.is_file())


def test_original_and_derived_files_are_kept_under_one_random_token(store: PhotoStore) -> None:
    photo = taken(private_jpeg())

    token = store.keep(photo)

    assert len(token) == 22
    assert files_below(store.root) == sorted(
        [f"originals/{token}.jpg", f"derived/{token}-480.webp", f"derived/{token}-1600.webp"]
    )
    assert store.original_path(token, "jpg").read_bytes() == photo.content
    assert store.derived_path(token, 480).read_bytes() == derive(photo.content, 480)
    assert store.keep(photo) != token


@pytest.mark.skipif(not hasattr(photos.os, "getuid"), reason="Windows has no such modes")
def test_files_are_the_owners_alone(store: PhotoStore) -> None:
    store.keep(taken(private_jpeg()))

    paths = [store.root, *store.root.rglob("*")]
    assert {path.stat().st_mode & 0o777 for path in paths if path.is_file()} == {0o600}
    assert {path.stat().st_mode & 0o077 for path in paths if path.is_dir()} == {0}


@pytest.mark.parametrize("extension", ["jpg", "png", "webp"])
def test_a_missing_derived_file_is_made_again(store: PhotoStore, extension: str) -> None:
    kinds = {"jpg": "JPEG", "png": "PNG", "webp": "WEBP"}
    token = store.keep(taken(saved(plank(), kinds[extension])))
    before = store.derived_path(token, 1600).read_bytes()
    store.derived_path(token, 1600).unlink()

    assert store.derived_path(token, 1600).read_bytes() == before


@pytest.mark.parametrize(
    "token",
    ["", "..", "../../etc/passwd", "a" * 21, "a" * 23, "a" * 21 + "/", "a" * 22 + "\n", "é" * 22],
)
def test_only_a_token_leads_to_a_file(store: PhotoStore, token: str) -> None:
    store.keep(taken(private_jpeg()))

    for ask in (
        lambda: store.original_path(token, "jpg"),
        lambda: store.derived_path(token, 480),
    ):
        with pytest.raises(PhotoMissing):
            ask()


def test_unknown_tokens_extensions_and_widths_lead_nowhere(store: PhotoStore) -> None:
    token = store.keep(taken(private_jpeg()))

    for ask in (
        lambda: store.original_path("a" * 22, "jpg"),
        lambda: store.original_path(token, "png"),
        lambda: store.original_path(token, "jpg/../../x"),
        lambda: store.derived_path("a" * 22, 480),
        lambda: store.derived_path(token, 481),
    ):
        with pytest.raises(PhotoMissing, match="no such picture"):
            ask()


def test_the_backup_hears_of_originals_only(store: PhotoStore) -> None:
    assert store.names_of_originals() == []
    first, second = (store.keep(taken(private_jpeg())) for _ in range(2))
    (store.originals / "notes.txt").write_text("not ours")
    (store.originals / f".{first}.jpg").write_text("a system's own file")

    assert store.names_of_originals() == sorted([f"{first}.jpg", f"{second}.jpg"])


@pytest.mark.parametrize("fails", ["fsync", "replace"])
def test_no_half_file_gets_a_final_name(
    store: PhotoStore, monkeypatch: pytest.MonkeyPatch, fails: str
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(*{"fsync": (photos.os, "fsync"), "replace": (Path, "replace")}[fails], full)
    with pytest.raises(OSError, match="No space"):
        store.keep(taken(private_jpeg()))

    assert files_below(store.root) == []


def test_a_killed_process_leaves_only_what_is_cleared_at_the_next_start(
    store: PhotoStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    def killed(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(Path, "replace", killed)
        patched.setattr(Path, "unlink", lambda *_, **__: None)  # nobody is left to tidy up
        with pytest.raises(KeyboardInterrupt):
            store.keep(taken(private_jpeg()))

    assert [name.split("/")[0] for name in files_below(store.root)] == ["arriving"]
    assert store.names_of_originals() == []
    assert store.clear_arriving() == 1
    assert store.clear_arriving() == 0
    assert files_below(store.root) == []


def test_nothing_is_written_when_no_page_picture_can_be_made(
    store: PhotoStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo = taken(private_jpeg())
    monkeypatch.setattr(photos, "derive", lambda *_: 1 / 0)

    with pytest.raises(ZeroDivisionError):
        store.keep(photo)
    assert not store.root.exists()


def test_files_are_flushed_before_they_get_their_name_and_folders_after(
    store: PhotoStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[str] = []
    fsync, replace = photos.os.fsync, Path.replace

    def noting_fsync(handle: int) -> None:
        done.append("flush")
        fsync(handle)

    def noting_replace(path: Path, target: Path) -> Path:
        done.append("name")
        return replace(path, target)

    monkeypatch.setattr(photos.os, "fsync", noting_fsync)
    monkeypatch.setattr(Path, "replace", noting_replace)
    monkeypatch.setattr(photos, "_CAN_FLUSH_FOLDERS", True)
    store.keep(taken(private_jpeg()))
    assert done == ["flush", "name", "flush"] * 3

    done.clear()
    monkeypatch.setattr(photos, "_CAN_FLUSH_FOLDERS", False)
    store.keep(taken(private_jpeg()))
    assert done == ["flush", "name"] * 3
