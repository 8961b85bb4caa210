"""What the start prepares."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.contrib.sessions.models import Session

from provenance.maker import doors
from provenance.maker.models import User
from shop.keeping import folder, opening

pytestmark = pytest.mark.django_db
AT = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


@pytest.fixture
def prepared(data_folder: Path, settings: Any, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A prepared folder, but for the static files."""
    monkeypatch.setattr(opening.static_files, "gather", lambda data: True)
    opening.prepare(data_folder, lambda words: None, at=AT)
    return data_folder


def test_the_secret_of_the_folder_signs_from_now_on(prepared: Path, settings: Any) -> None:
    assert (prepared / folder.SECRET).read_text(encoding="ascii") == settings.SECRET_KEY


def test_a_secret_from_the_environment_is_written_nowhere(
    data_folder: Path, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BOLEBOOK_SECRET_KEY", "s" * 50)
    monkeypatch.setattr(opening.static_files, "gather", lambda data: True)
    before = settings.SECRET_KEY
    opening.prepare(data_folder, lambda words: None, at=AT)
    assert before == settings.SECRET_KEY
    assert not (data_folder / folder.SECRET).exists()


def test_expired_sessions_and_half_written_photos_are_cleared_away(
    data_folder: Path, own_photos: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = datetime.now(UTC)
    for key, age in (("old", -1), ("new", 1)):
        Session.objects.create(session_key=key, expire_date=now + timedelta(days=age))
    (own_photos / "arriving").mkdir(parents=True)
    (own_photos / "arriving" / "half.part").touch()
    monkeypatch.setattr(opening.static_files, "gather", lambda data: True)
    opening.prepare(data_folder, lambda words: None, at=AT)
    assert [session.session_key for session in Session.objects.all()] == ["new"]
    assert list((own_photos / "arriving").iterdir()) == []


def test_the_first_page_is_a_way_in_until_there_is_an_owner(prepared: Path, settings: Any) -> None:
    path = opening.first_page()
    assert path.startswith("/set-up/")
    assert doors.opens(doors.SET_UP, path.removeprefix("/set-up/"))
    User.objects.create_user(username="turner")
    assert opening.first_page() == "/bench/"
    assert not doors.opens(doors.SET_UP, path.removeprefix("/set-up/"))
    settings.DEMO = True
    assert opening.first_page().startswith("/demo-door/")
