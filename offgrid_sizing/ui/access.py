"""Private or public: whether the saved sketches of this server are listed, with their addresses.

Whoever has a sketch's address may change it, so a list of all is for one person's own computer.
What a request says of itself decides nothing: a proxy may pass on any name of the server, and the
list would be everybody's. `OFFGRID_ACCESS` says it; unsaid, the server's own settings do.
"""

import ipaddress
import os
from dataclasses import dataclass

import streamlit as st

SETTING = "OFFGRID_ACCESS"
PRIVATE, PUBLIC = "private", "public"


@dataclass(frozen=True)
class Access:
    """Which of the two holds; `why` is a key below `access` that says so in one sentence."""

    private: bool
    why: str


def access() -> Access:
    """Which holds here."""
    said = os.environ.get(SETTING, "").strip().lower()
    if said == PRIVATE:
        return Access(True, "private_said")
    if said == PUBLIC:
        return Access(False, "public_said")
    if said:
        return Access(False, "unknown")
    return Access(True, "private") if _is_own_computer() else Access(False, "public")


def single_user() -> bool:
    """Whether sketches may be listed."""
    return access().private


def _is_own_computer() -> bool:
    """Whether the server is set up for whoever sits at this computer, and for nobody else.

    It listens here alone, opens its browser here, keeps its sketches in a file, and has none of
    the settings that a proxy before it needs.
    """
    behind_proxy = (
        str(st.get_option("server.baseUrlPath") or "").strip("/")
        or st.get_option("server.corsAllowedOrigins")
        or not st.get_option("server.enableCORS")
        or not _is_loopback(st.get_option("browser.serverAddress"))
    )
    return (
        _is_loopback(st.get_option("server.address"))
        and not st.get_option("server.headless")
        and "OFFGRID_DATABASE_URL" not in os.environ
        and not behind_proxy
    )


def _is_loopback(address: str | None) -> bool:
    name = (address or "").strip("[]").lower()
    try:
        return ipaddress.ip_address(name).is_loopback
    except ValueError:
        return name == "localhost"
