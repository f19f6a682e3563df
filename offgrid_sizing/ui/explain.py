"""Explain a number where it stands: what it is, how it came about, from what, by which source.

`explain("strip.autonomy", "2.3 days")` draws the figure as a small button; a tap opens what
`words/<language>/strip.toml` says under `[explain.autonomy]`: `what`, `how`, `inputs`, `source`.
Any of the four may be missing. A key without a page (`"array"`) is looked up in `explain.toml`.
"""

import streamlit as st

from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import has, t

PARTS = ("what", "how", "inputs", "source")


def words_of(key: str, part: str) -> str:
    """Where the words for one part of an explanation stand in the catalogue."""
    page, dot, name = key.partition(".")
    return f"{page}.explain.{name}.{part}" if dot else f"explain.{key}.{part}"


def explain(key: str, value: str, *, caption: str | None = None, **values) -> None:
    """Draw a figure that explains itself when it is tapped.

    Parameters
    ----------
    key : str
        `page.name` or `name`; see the module's text.
    value : str
        The figure as shown, made with `offgrid_sizing.units`.
    caption : str, optional
        Small words above it, from `t`.
    **values
        What the explanation's words put in, figures already written for this reader.
    """
    if caption:
        st.caption(caption)
    with st.popover(f"**{plain(value)}**", type="tertiary", key=f"explain_{key}"):
        for part in PARTS:
            if has(words_of(key, part)):
                st.markdown(f"**{t(f'explain.{part}')}** {t(words_of(key, part), **values)}")


def row(*figures: tuple[str, str, str], **values) -> None:
    """Several figures side by side as (key, value, caption), wrapping on a narrow screen."""
    with st.container(horizontal=True, gap="small"):
        for key, value, caption in figures:
            with st.container(width=150, gap=None):
                explain(key, value, caption=caption, **values)
