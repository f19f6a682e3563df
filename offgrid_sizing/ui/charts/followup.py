"""Pictures of measured against expected, once the system runs."""

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing.ui.charts.marks import bar_look, chart_t, finish, line_look
from offgrid_sizing.units import METRIC, Reader, percent


def by_day(
    days: np.ndarray,
    measured_kwh: np.ndarray,
    expected_kwh: np.ndarray,
    thing: str,
    *,
    answer: str,
    dark: bool = False,
) -> go.Figure:
    """Measured (bars) against expected (line), day by day.

    Parameters
    ----------
    days : datetime64 array, shape (n,)
    measured_kwh, expected_kwh : arrays, shape (n,)
    thing : str
        What is measured: pv, bank, load.
    """
    figure = go.Figure()
    figure.add_bar(
        x=days,
        y=measured_kwh,
        marker=bar_look(thing, dark),
        name=chart_t("followup.measured"),
        hovertemplate="%{x|%Y-%m-%d}: %{y:.3g} kWh<extra></extra>",
    )
    figure.add_scatter(
        x=days,
        y=expected_kwh,
        mode="lines",
        line={**line_look("load", dark), "dash": "dot"},
        name=chart_t("followup.expected"),
        hovertemplate="%{y:.3g} kWh<extra></extra>",
    )
    figure.update_yaxes(title=chart_t("year.axis_kwh_day"), rangemode="tozero")
    return finish(figure, answer, dark=dark, height=320, legend=True)


def by_month(
    months: list[str],
    ratio: np.ndarray,
    *,
    answer: str,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """Measured over expected by month; 100 % is as promised."""
    figure = go.Figure()
    figure.add_bar(
        x=months,
        y=100 * ratio,
        marker=bar_look("pv", dark),
        textposition="inside",
        insidetextfont={"color": "black", "size": 12},
        text=[percent(value, reader) if np.isfinite(value) else "" for value in ratio],
        hoverinfo="skip",
        cliponaxis=False,
    )
    figure.add_hline(y=100, line={**line_look("load", dark, 1), "dash": "dot"})
    figure.update_yaxes(title=chart_t("followup.axis_ratio"), rangemode="tozero")
    return finish(figure, answer, dark=dark, height=280)
