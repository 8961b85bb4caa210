"""Static files are gathered when they changed, and only then."""

from pathlib import Path
from typing import Any

import pytest

from shop.keeping import static_files


@pytest.fixture
def source(settings: Any, tmp_path: Path, data_folder: Path) -> Path:
    """A folder of one style sheet, as all the static files there are."""
    settings.STATICFILES_DIRS = [tmp_path / "source"]
    settings.STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.FileSystemFinder"]
    settings.STATIC_ROOT = data_folder / "static"
    (tmp_path / "source").mkdir()
    (tmp_path / "source" / "page.css").write_text("a {}", encoding="utf-8")
    static_files.get_finders.__globals__["get_finder"].cache_clear()
    return tmp_path / "source"


def test_the_first_time_gathers_and_the_second_does_not(source: Path, data_folder: Path) -> None:
    assert static_files.gather(data_folder)
    assert (data_folder / "static" / "page.css").read_text(encoding="utf-8") == "a {}"
    assert not static_files.gather(data_folder)


def test_a_change_gathers_again(source: Path, data_folder: Path) -> None:
    static_files.gather(data_folder)
    (source / "page.css").write_text("a { color: red }", encoding="utf-8")
    assert static_files.gather(data_folder)
    gathered = (data_folder / "static" / "page.css").read_text(encoding="utf-8")
    assert gathered == "a { color: red }"


def test_a_folder_that_was_thrown_away_is_gathered_again(source: Path, data_folder: Path) -> None:
    static_files.gather(data_folder)
    (data_folder / "static" / "page.css").unlink()
    (data_folder / "static").rmdir()
    assert static_files.gather(data_folder)


def test_a_break_off_gathers_again(
    source: Path, data_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    static_files.gather(data_folder)
    (source / "more.css").write_text("b {}", encoding="utf-8")

    def stop(*_: Any, **__: Any) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(static_files, "call_command", stop)
        with pytest.raises(KeyboardInterrupt):
            static_files.gather(data_folder)
    assert static_files.gather(data_folder)
