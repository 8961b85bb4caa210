"""The data folder: private, marked, held by one."""

import multiprocessing
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from shop.keeping import folder
from shop.keeping.folder import FolderRefused

POSIX = pytest.mark.skipif(os.name != "posix", reason="modes are POSIX's")


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@POSIX
def test_a_new_folder_is_for_its_owner_alone(tmp_path: Path) -> None:
    folder.prepare(tmp_path / "a" / "book", demo=False)
    assert mode(tmp_path / "a" / "book") == 0o700


def test_preparing_twice_changes_nothing(tmp_path: Path) -> None:
    folder.prepare(tmp_path / "book", demo=False)
    (tmp_path / "book" / "kept").touch()
    folder.prepare(tmp_path / "book", demo=False)
    assert sorted(path.name for path in (tmp_path / "book").iterdir()) == ["bolebook.json", "kept"]


def test_a_folder_of_other_things_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "letters").touch()
    with pytest.raises(FolderRefused, match="holds other things"):
        folder.prepare(tmp_path, demo=False)
    assert [path.name for path in tmp_path.iterdir()] == ["letters"]


def test_demo_and_book_never_share_a_folder(tmp_path: Path) -> None:
    folder.prepare(tmp_path / "book", demo=False)
    with pytest.raises(FolderRefused, match="a real book, which the demo never touches"):
        folder.prepare(tmp_path / "book", demo=True)
    folder.prepare(tmp_path / "demo", demo=True)
    with pytest.raises(FolderRefused, match="holds the demo: add --demo"):
        folder.prepare(tmp_path / "demo", demo=False)


def test_a_file_is_no_folder(tmp_path: Path) -> None:
    (tmp_path / "book").touch()
    with pytest.raises(FolderRefused, match="is a file"):
        folder.prepare(tmp_path / "book", demo=False)


def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(FolderRefused, match="cannot be written to"):
        folder.prepare(tmp_path / "file" / "book", demo=False)


def test_a_folder_that_cannot_be_written_to(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder.prepare(tmp_path / "book", demo=False)

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError

    monkeypatch.setattr(Path, "touch", refuse)
    with pytest.raises(FolderRefused, match="cannot be written to"):
        folder.prepare(tmp_path / "book", demo=False)


def test_a_damaged_mark_is_named(tmp_path: Path) -> None:
    (tmp_path / folder.MARK).write_text("{", encoding="utf-8")
    with pytest.raises(FolderRefused, match=r"bolebook\.json is damaged"):
        folder.prepare(tmp_path, demo=False)


def test_a_folder_that_is_not_there_holds_nothing(tmp_path: Path) -> None:
    assert folder.kind_of(tmp_path / "nowhere") is None


@POSIX
def test_the_secret_is_made_once_and_private(tmp_path: Path) -> None:
    secret = folder.write_secret(tmp_path)
    assert len(secret) >= 50
    assert folder.write_secret(tmp_path) == secret
    assert mode(tmp_path / "secret-key") == 0o600
    assert [path.name for path in tmp_path.iterdir()] == ["secret-key"]


def test_the_secret_is_made_where_there_are_no_hard_links(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError

    monkeypatch.setattr(os, "link", refuse)
    secret = folder.write_secret(tmp_path)
    assert folder.write_secret(tmp_path) == secret
    assert [path.name for path in tmp_path.iterdir()] == ["secret-key"]


@pytest.mark.processes
def test_of_many_makers_at_once_all_get_one_secret(tmp_path: Path) -> None:
    with multiprocessing.get_context("spawn").Pool(6) as pool:
        secrets = pool.map(folder.write_secret, [tmp_path] * 48)
    assert len(set(secrets)) == 1


@pytest.mark.processes
def test_one_holder_at_a_time_even_after_a_kill(tmp_path: Path) -> None:
    hold = (
        "import sys, pathlib; from shop.keeping import folder\n"
        "with folder.held(pathlib.Path(sys.argv[1])): print('held', flush=True); sys.stdin.read()"
    )
    command = [sys.executable, "-c", hold, str(tmp_path)]
    root = Path(folder.__file__).parents[2]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=root
    ) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline().strip() == b"held"
        with (
            pytest.raises(FolderRefused, match="Another Bolebook is running"),
            folder.held(tmp_path),
        ):
            pass
        holder.kill()
        holder.wait()
    with folder.held(tmp_path):
        pass
