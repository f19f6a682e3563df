"""Who may list the sketches is a stated setting, or follows from the server's own; never a request.

A sketch's address is the key to it, so each test of a page looks for that address.
"""

import pytest
import streamlit as st

from offgrid_sizing.demos import demo
from offgrid_sizing.ui.access import access

OWN_COMPUTER = {
    "server.address": "localhost",
    "server.headless": False,
    "server.baseUrlPath": "",
    "server.enableCORS": True,
    "server.corsAllowedOrigins": [],
    "browser.serverAddress": "localhost",
}


@pytest.fixture
def settings(monkeypatch):
    """`settings(**changed)`: the server's own, nothing said about access."""

    def change(**changed) -> None:
        monkeypatch.delenv("OFFGRID_ACCESS", raising=False)
        asked = OWN_COMPUTER | {name.replace("__", "."): value for name, value in changed.items()}
        before = st.get_option
        monkeypatch.setattr(st, "get_option", lambda name: asked.get(name, before(name)))

    return change


@pytest.mark.parametrize("address", ["localhost", "127.0.0.1", "127.0.0.2", "::1", "[::1]"])
def test_ones_own_computer_is_private(settings, address):
    settings(server__address=address)
    assert (access().private, access().why) == (True, "private")


@pytest.mark.parametrize(
    "other",
    [
        {"server__address": "0.0.0.0"},
        {"server__address": "::"},
        {"server__address": ""},
        {"server__address": None},
        {"server__address": "192.168.1.4"},
        {"server__address": "localhost.example.org"},
        {"server__headless": True},
        {"server__baseUrlPath": "sizing"},
        {"server__enableCORS": False},
        {"server__corsAllowedOrigins": ["https://sizing.example.org"]},
        {"browser__serverAddress": "sizing.example.org"},
    ],
    ids=str,
)
def test_a_server_that_may_be_for_others_is_public(settings, other):
    settings(**other)
    assert (access().private, access().why) == (False, "public")


def test_a_database_for_several_servers_is_public(settings, monkeypatch):
    settings()
    monkeypatch.setenv("OFFGRID_DATABASE_URL", "postgresql://host/db")
    assert not access().private


@pytest.mark.parametrize(
    ("said", "private", "why"),
    [
        ("private", True, "private_said"),
        (" Private\n", True, "private_said"),
        ("public", False, "public_said"),
        ("1", False, "unknown"),
        ("yes", False, "unknown"),
        ("", True, "private"),
    ],
)
def test_what_is_said_decides(settings, monkeypatch, said, private, why):
    settings()
    monkeypatch.setenv("OFFGRID_ACCESS", said)
    assert (access().private, access().why) == (private, why)


def on_screen(test) -> str:
    return " ".join(str(each.proto) for each in test.main)


@pytest.mark.parametrize("name", ["saved", "start"])
@pytest.mark.parametrize("private", [True, False], ids=["private", "public"])
def test_behind_a_proxy_on_this_machine_no_address_of_another_sketch_shows(
    page, store, settings, monkeypatch, private, name
):
    """The proxy asks for `localhost` and says nothing of itself, as many do unless told."""
    other = store.new(demo("shop"))
    deleted = store.new(demo("town_house"))
    store.delete(deleted.token)
    settings(server__headless=not private)
    headers = {"Host": "localhost:8501"}
    monkeypatch.setattr(type(st.context), "headers", property(lambda _self: headers))
    test = page(name, demo("farmhouse"))
    shown = on_screen(test)
    assert (other.token in shown) is private
    assert (deleted.token in shown) is (private and name == "saved")
    if name == "saved":
        line = "Private: this server" if private else "Public: sketches are not listed"
        assert [each.value for each in test.caption if line in each.value]
    assert test.exception == []


def test_the_saved_page_says_it_in_spanish_too(page, settings):
    settings(server__headless=True)
    test = page("saved", demo("farmhouse"), lang="es")
    assert [each for each in test.caption if "Público: no se muestra la lista" in each.value]
