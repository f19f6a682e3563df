"""How a page is laid out: the answer, a choice of sections, the picture beside what moves it."""

from collections.abc import Callable
from typing import Any

import streamlit as st

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.ui import guard
from offgrid_sizing.ui.words import t

# On wide screens the picture, first in reading order, stands to the right of its controls.
_STYLE = """
<style>
@media (min-width: 641px) {
  [class*="st-key-beside_"] > [data-testid="stLayoutWrapper"] > [data-testid="stHorizontalBlock"]
    { flex-direction: row-reverse; }
}
</style>
"""


def beside(key: str):
    """Two containers: the picture, and the controls that move it.

    Wide screens show controls in the left third; a phone shows the picture, then the controls.
    """
    st.html(_STYLE)
    frame = st.container(key=f"beside_{key}")
    return frame.columns([2, 1], gap="large")


def sections(page: str, names: tuple[str, ...]) -> str:
    """A row of section names (`<page>.section.<name>`); the one chosen, kept across pages."""
    labels = {name: t(f"{page}.section.{name}") for name in names}
    chosen = st.segmented_control(
        t("layout.sections"),
        names,
        format_func=labels.__getitem__,
        key=f"{page}_section",
        default=names[0],
        required=True,
        label_visibility="collapsed",
        persist_state="session",
    )
    return chosen or names[0]


def answer(text: str) -> None:
    """The page's answer, one sentence, large."""
    st.markdown(f"### {text}")


def attempt(work: Callable[[], Any]) -> Any:
    """The work's result; when the sketch does not allow it, its sentence on the page and None.

    For results that a page can do without: its inputs must stay in reach to mend the fault.
    """
    try:
        return work()
    except BadInput as fault:
        guard.say(fault)
        return None
