"""Arguments that must take effect before the settings are read."""

import pytest

from shop.keeping import arguments, network


def effect(line: str, **before: str) -> dict[str, str]:
    """Return the environment after a command line."""
    environ = dict(before)
    arguments.take_effect(["manage.py", *line.split()], environ)
    return environ


def test_data_names_the_folder_for_each_of_our_commands() -> None:
    for command in ("start", "backup out.zip", "restore in.zip"):
        assert effect(f"{command} --data /shop") == {"BOLEBOOK_DATA": "/shop"}
        assert effect(f"{command} --data=/shop") == {"BOLEBOOK_DATA": "/shop"}


def test_data_goes_before_the_variable() -> None:
    assert effect("start --data /new", BOLEBOOK_DATA="/old")["BOLEBOOK_DATA"] == "/new"


def test_the_demo_stays_out_of_the_books_folder() -> None:
    after = effect("start --demo", BOLEBOOK_DATA="/shop/")
    assert after == {"BOLEBOOK_DATA": "/shop-demo", "BOLEBOOK_DEMO": "true"}


def test_the_demo_takes_a_folder_named_for_it() -> None:
    after = effect("start --demo --data /demo", BOLEBOOK_DATA="/shop")
    assert after == {"BOLEBOOK_DATA": "/demo", "BOLEBOOK_DEMO": "true"}


def test_other_commands_keep_their_own_arguments() -> None:
    assert effect("migrate --data /shop --demo") == {}
    assert effect("") == {}


@pytest.mark.parametrize("line", ["start --data", "start --port high", "start --lan --host x"])
def test_what_is_wrong_is_left_to_the_command_to_say(line: str) -> None:
    assert effect(line) == {}


def test_no_shortened_argument_takes_effect() -> None:
    assert effect("start --dat /shop --dem") == {}


def test_lan_lets_the_network_address_in(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(network, "lan_address", lambda: "192.0.2.7")
    monkeypatch.setattr(network.socket, "gethostname", lambda: "Bench.example.org")
    after = effect("start --lan", BOLEBOOK_HOSTS="bowls.example.org")
    assert after["BOLEBOOK_HOSTS"] == "bowls.example.org,192.0.2.7,bench,bench.local"


def test_a_named_host_is_let_in() -> None:
    assert effect("start --host bench.example.org")["BOLEBOOK_HOSTS"] == "bench.example.org"
    assert effect("start --host 2001:db8::1")["BOLEBOOK_HOSTS"] == "[2001:db8::1]"
    assert effect("start --host 127.0.0.1") == {}
