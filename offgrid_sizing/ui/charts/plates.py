"""Labels on plates, named axes and clock hours: what several pictures of the inputs share."""

from collections.abc import Sequence

import plotly.graph_objects as go

from offgrid_sizing.ui.charts.marks import chart_t, finish, label, paper
from offgrid_sizing.units import METRIC, Reader, hour


def plate(figure: go.Figure, x, y, text: str, *, dark: bool, **more) -> None:
    """A label centred on a small plate, so that no line runs through its words."""
    look = {"xanchor": "center", "yanchor": "middle", "bgcolor": paper(dark), "opacity": 0.88}
    label(figure, x, y, text, dark=dark, **(look | more))


def framed(
    figure: go.Figure, answer: str, *, dark: bool, x: str = "", y: str = "", height: int = 300
) -> go.Figure:
    """The answer as title and both axes named with their units."""
    finish(figure, answer, dark=dark, height=height)
    figure.update_xaxes(title=x or None)
    return figure.update_yaxes(title=y or None)


def ticks(values: Sequence[float], unit: str) -> dict:
    """Marks at chosen values with their unit: plotly leaves its suffix out at such marks."""
    return {"tickvals": list(values), "ticktext": [f"{value:g}{unit}" for value in values]}


def hour_ticks(figure: go.Figure, reader: Reader = METRIC, *, title: bool = True) -> None:
    """The hours of a day on x in this reader's clock, a mark every six."""
    marks = [0, 6, 12, 18, 24]
    figure.update_xaxes(
        range=[0, 24],
        tickvals=marks,
        ticktext=[hour(mark, reader) for mark in marks],
        title=chart_t("pictures.hour") if title else None,
    )
