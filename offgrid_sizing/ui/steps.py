"""The line of steps from place to summary: what each decides, and what in it is still assumed."""

import streamlit as st

from offgrid_sizing.report.assumed import assumed
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import navigation
from offgrid_sizing.ui.widgets import label_of
from offgrid_sizing.ui.words import has, t


def line(sketch: Sketch) -> None:
    """Every step as a card: its page, what it decides, what is still ours."""
    names = [step.name for step in navigation.STEPS if has(f"steps.{step.name}")]
    for start in range(0, len(names), 4):
        for column, name in zip(st.columns(4), names[start : start + 4], strict=False):
            with column, st.container(border=True):
                navigation.link(name)
                st.caption(t(f"steps.{name}"))
                ours = assumed(sketch, name)
                if ours:
                    labels = ", ".join(label_of(path, unit=False) for path in ours)
                    st.caption(t("steps.assumed", fields=labels))


def onward(name: str) -> None:
    """At a page's end: the next step."""
    names = [step.name for step in navigation.STEPS]
    after = names[names.index(name) + 1 :]
    following = next((other for other in after if has(f"steps.{other}")), None)
    if following is not None:
        navigation.link(following, t("steps.next", page=t(f"{following}.nav")))
