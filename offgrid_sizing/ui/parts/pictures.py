"""Put a picture on the page: its answer is its description, its figures can be downloaded."""

from collections.abc import Callable

import pandas as pd
import plotly.graph_objects as go

from offgrid_sizing.ui import charts, theme


def dark() -> bool:
    """Whether this reader sees the dark theme."""
    return theme.is_dark()


def draw(
    chart: go.Figure,
    key: str,
    *,
    data: pd.DataFrame | None = None,
    on_select: Callable[[], None] | None = None,
) -> None:
    """Show a chart of `ui/charts` with its answer read aloud and its data beneath."""
    charts.show(chart, key, chart.layout.meta["answer"], data=data, on_select=on_select)


def clicked(key: str):
    """What the point clicked last in this chart carries (`customdata`), or None."""
    import streamlit as st

    points = st.session_state[key]["selection"]["points"]
    carried = [point["customdata"] for point in points if "customdata" in point]
    return carried[0] if carried else None
