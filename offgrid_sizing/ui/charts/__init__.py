"""Pictures as plotly figures: pure functions of results; `show` puts one on the page.

Write a picture as `def something_figure(result, ..., *, dark: bool) -> go.Figure` in its own
module, start from `figure(dark)`, colour things with `palette.LOOKS[thing].colour(dark)`, and title
it with the answer. `show(fig, key, alt)` draws it with the template, a download of its data if
`data` is given, and returns what was selected when `select=True`.
"""

from collections.abc import Callable
from typing import Any

import pandas as pd
import plotly.graph_objects as go
import streamlit as st

from offgrid_sizing.ui import files
from offgrid_sizing.ui.charts.marks import without_answer
from offgrid_sizing.ui.charts.template import figure, template
from offgrid_sizing.ui.plain import chart_words, plain

__all__ = ["figure", "show", "template"]

# No logo, no link, no fetch: the mode bar keeps what a reader uses.
_CONFIG = {
    "displaylogo": False,
    "responsive": True,
    "scrollZoom": False,
    "modeBarButtonsToRemove": ["select2d", "lasso2d", "autoScale2d"],
    "toImageButtonOptions": {"format": "svg"},
    "plotlyServerURL": "",
    "topojsonURL": "",
}


def show(
    chart: go.Figure,
    key: str,
    alt: str,
    *,
    data: pd.DataFrame | None = None,
    select: bool = False,
    on_select: Callable[[], None] | None = None,
) -> list[dict[str, Any]]:
    """Draw a chart under its answer; the selected points (plotly's dicts) when `select`, else [].

    Parameters
    ----------
    alt : str
        The chart's answer in words, for a screen reader; chart text (`marks.told`).
    data : DataFrame, optional
        Offered as CSV beneath the chart.
    on_select : callable, optional
        Called before the rerun; reads `st.session_state[key]["selection"]["points"]`.
    """
    if answer := without_answer(chart):
        st.markdown(plain(answer))
    event = st.plotly_chart(
        chart,
        key=key,
        theme=None,
        alt=chart_words(alt),
        config=_CONFIG,
        on_select=on_select or ("rerun" if select else "ignore"),
        selection_mode="points",
    )
    if data is not None:
        files.offer_table(data, f"{key}.csv", f"{key}_data")
    return list(event["selection"]["points"]) if select else []
