"""Short warnings where the hand is about to act; the words stand in `words/<language>/cautions`."""

import streamlit as st

from offgrid_sizing.ui.words import t


def show(*keys: str) -> None:
    """Draw the named cautions in one frame: `cautions.show("array", "bank")`."""
    text = "\n\n".join(t(f"cautions.{key}") for key in keys)
    st.warning(text, icon=":material/warning:")


def foot() -> None:
    """The line that every page ends with."""
    st.caption(f":material/warning: {t('common.caution')}")
