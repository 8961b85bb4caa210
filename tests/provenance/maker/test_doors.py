"""The printed links: kept as hashes, the newest only, the set-up once."""

from pathlib import Path

import pytest

from provenance.maker import doors
from provenance.maker.doors import DoorClosed
from provenance.maker.models import Shop, User

PROFILE = {
    "name": "Saltmarsh Lane Turnery",
    "currency": "EUR",
    "length_unit": "mm",
    "paper": "a4",
    "time_zone": "Europe/Lisbon",
}


def set_up(token: str, name: str = "turner") -> User:
    return doors.set_up(token, profile=PROFILE, name=name, password="a plain ash bowl")


def test_a_key_opens_its_own_door_only(data_folder: Path) -> None:
    token = doors.cut_key(doors.SET_UP)
    assert doors.opens(doors.SET_UP, token)
    assert not doors.opens(doors.DEMO, token)
    assert not doors.opens(doors.SET_UP, token[:-1])
    assert not doors.opens(doors.SET_UP, "")


def test_the_folder_holds_no_token(data_folder: Path) -> None:
    token = doors.cut_key(doors.SET_UP)
    assert [path.name for path in data_folder.iterdir()] == [doors.SET_UP]
    kept = (data_folder / doors.SET_UP).read_text(encoding="ascii")
    assert token not in kept
    assert not doors.opens(doors.SET_UP, kept)


def test_a_new_key_closes_the_door_to_the_old_one(data_folder: Path) -> None:
    old = doors.cut_key(doors.SET_UP)
    new = doors.cut_key(doors.SET_UP)
    assert not doors.opens(doors.SET_UP, old)
    assert doors.opens(doors.SET_UP, new)


def test_a_closed_door_opens_to_nothing(data_folder: Path) -> None:
    token = doors.cut_key(doors.SET_UP)
    doors.close(doors.SET_UP)
    doors.close(doors.SET_UP)
    assert not doors.opens(doors.SET_UP, token)


def test_setting_up_writes_shop_and_owner(
    db: None, data_folder: Path, django_capture_on_commit_callbacks: object
) -> None:
    with django_capture_on_commit_callbacks(execute=True):  # type: ignore[operator]
        owner = set_up(doors.cut_key(doors.SET_UP))
    shop = Shop.current()
    assert (shop.name, shop.currency, shop.paper) == ("Saltmarsh Lane Turnery", "EUR", "a4")
    assert owner.check_password("a plain ash bowl")
    assert not (data_folder / doors.SET_UP).exists()


def test_setting_up_twice_is_refused(db: None, data_folder: Path) -> None:
    token = doors.cut_key(doors.SET_UP)
    set_up(token)
    with pytest.raises(DoorClosed, match="This link has been used"):
        set_up(token, name="stranger")
    assert [user.username for user in User.objects.all()] == ["turner"]


def test_setting_up_with_a_wrong_token_writes_nothing(db: None, data_folder: Path) -> None:
    doors.cut_key(doors.SET_UP)
    with pytest.raises(DoorClosed):
        set_up("guessed")
    assert not Shop.objects.exists()
    assert not User.objects.exists()
