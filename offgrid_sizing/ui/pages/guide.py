"""The guide: a tour, the theory, and what of it was held against published values."""

import base64
from html import escape

import streamlit as st

from offgrid_sizing import guide
from offgrid_sizing.guide.build import table_html
from offgrid_sizing.ui import layout
from offgrid_sizing.ui.words import DEFAULT, language, t

SECTIONS = guide.PARTS
_STYLE = """
<style>
.wide { overflow-x: auto; }
.wide table { border-collapse: collapse; font-size: 0.9rem; }
.wide th, .wide td
  { border: 1px solid #8886; padding: 0.25em 0.6em; text-align: left; vertical-align: top; }
</style>
"""


def draw() -> None:
    """One chapter of one part of the guide."""
    st.title(t("guide.title"))
    if language() != DEFAULT:
        st.caption(t("guide.in_english"))
    part = layout.sections("guide", SECTIONS)
    chapters = guide.chapters_of(part)
    chosen = st.selectbox(
        t("guide.chapter"),
        range(len(chapters)),
        key=f"guide_chapter_{part}",
        format_func=lambda at: chapters[at].title,
    )
    chapter = chapters[chosen or 0]
    st.header(chapter.title)
    for block in chapter.blocks:
        if isinstance(block, guide.Picture):
            _picture(block)
        elif isinstance(block, guide.Equations):
            st.code(block.lines, language=None, wrap_lines=True)
        elif isinstance(block, guide.Table):
            st.html(_STYLE + table_html(block.markdown, chapter.title))
        else:
            st.markdown(block)


def _picture(picture: guide.Picture) -> None:
    """A picture with its description: Streamlit's own images carry no words of ours."""
    data = base64.b64encode(picture.path.read_bytes()).decode()
    st.html(
        f'<img alt="{escape(picture.words)}" style="max-width: 100%; border: 1px solid #8886" '
        f'src="data:image/webp;base64,{data}">'
    )
