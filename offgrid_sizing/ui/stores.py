"""Which store this dashboard keeps its sketches in, and who may list them."""

import os

import streamlit as st

from offgrid_sizing.store import Store, default_store, home_dir

_LOOPBACK = ("localhost", "127.0.0.1", "::1", "[::1]")


def store() -> Store:
    """The store of saved sketches."""
    return default_store(os.environ.get("OFFGRID_DATABASE_URL"), str(home_dir()), single_user())


def single_user() -> bool:
    """Whether sketches may be listed: only on one's own machine.

    `OFFGRID_SINGLE_USER` (1 or 0) decides; without it the server must listen on this machine
    alone, be asked for by a name of this machine, stand behind no proxy, and keep its sketches in
    the user's own file.
    """
    said = os.environ.get("OFFGRID_SINGLE_USER")
    if said is not None:
        return said == "1"
    headers = {name.lower(): value for name, value in st.context.headers.items()}
    host = headers.get("host", "localhost").rsplit(":", 1)[0]
    proxied = any(name in headers for name in ("x-forwarded-for", "forwarded", "x-real-ip"))
    listens = st.get_option("server.address") in _LOOPBACK
    return (
        listens and host in _LOOPBACK and not proxied and "OFFGRID_DATABASE_URL" not in os.environ
    )
