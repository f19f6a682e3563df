"""Pictures of a year in operation: every hour at a glance, one day, the bad days, autonomy."""

import numpy as np
import pandas as pd
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from offgrid_sizing.palette import charge_scale
from offgrid_sizing.ui.charts.marks import (
    bar_look,
    chart_t,
    colour,
    faint,
    finish,
    ink,
    line_look,
    month_names,
    rgba,
)
from offgrid_sizing.units import METRIC, Reader
from offgrid_sizing.year_days import MONTH_EDGES, hourly_means

_CLICK_HOURS = (3, 9, 15, 21)


def soc_scale(dark: bool) -> list:
    """Blue from full to empty, as a scale of 0 to 1."""
    empty, half, full = charge_scale(dark)
    return [[0, empty], [0.5, half], [1, full]]


def year_strip(
    soc_frac: np.ndarray,
    short: np.ndarray,
    step_h: float,
    *,
    answer: str,
    chosen_day: int | None = None,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """State of charge of every hour of the year, 365 columns by 24 rows; unserved hours marked.

    Parameters
    ----------
    soc_frac : array, shape (n,)
        One value a step; shown as hourly means.
    short : bool array, shape (n,)
        Steps in which some load goes unserved (`metrics.dark_steps`); an hour is marked with any.
    answer : str
        The title.
    chosen_day : int, optional
        Day of the year from 0 that is framed. Without it no day can be clicked either, and the
        picture is drawn in less time.

    Notes
    -----
    Unseen dots carry the day as `customdata`, so that a click chooses it.
    """
    soc = hourly_means(soc_frac, step_h).reshape(365, 24).T
    short_hours = hourly_means(short.astype(float), step_h).reshape(365, 24).T > 0
    days = pd.date_range("2001-01-01", periods=365, freq="D")
    names = np.array([f"{day.day} {month_names()[day.month - 1]}" for day in days])
    figure = go.Figure()
    figure.add_heatmap(
        x=np.arange(365),
        y=np.arange(24),
        z=100 * soc,
        zmin=0,
        zmax=100,
        colorscale=soc_scale(dark),
        customdata=np.broadcast_to(names, (24, 365)),
        colorbar={
            "title": {"text": chart_t("year.strip.scale"), "side": "top"},
            "orientation": "h",
            "x": 0.5,
            "y": -0.16,
            "yanchor": "top",
            "thickness": 10,
            "len": 0.95,
            "ticksuffix": " %",
        },
        hovertemplate="%{customdata}, %{y}:00<br>%{z:.0f} %<extra></extra>",
    )
    if short_hours.any():
        figure.add_heatmap(
            x=np.arange(365),
            y=np.arange(24),
            z=np.where(short_hours, 1.0, np.nan),
            colorscale=[[0, colour("unserved", dark)], [1, colour("unserved", dark)]],
            showscale=False,
            customdata=np.broadcast_to(names, (24, 365)),
            hovertemplate="%{customdata}, %{y}:00<br>"
            + chart_t("year.strip.short")
            + "<extra></extra>",
        )
        short_days = np.flatnonzero(short_hours.any(axis=0))
        figure.add_scatter(
            x=short_days,
            y=np.full(len(short_days), -1.4),
            mode="markers",
            hoverinfo="skip",
            marker={"symbol": "triangle-down", "size": 8, "color": colour("unserved", dark)},
            selected={"marker": {"opacity": 1}},
            unselected={"marker": {"opacity": 1}},
        )
    if chosen_day is not None:
        _click_dots(figure, names)
        figure.add_shape(
            type="rect",
            x0=chosen_day - 0.5,
            x1=chosen_day + 0.5,
            y0=-0.5,
            y1=23.5,
            line={"color": ink(dark), "width": 2},
        )
    _days_and_hours(figure)
    finish(figure, answer, dark=dark, height=330)
    figure.update_layout(clickmode="event+select", hovermode="closest")
    return figure


def empty_strip(*, answer: str, dark: bool = False) -> go.Figure:
    """The frame of the strip while the year to be shown is not known: as large, and empty."""
    figure = go.Figure()
    figure.add_scatter(x=[None], y=[None], hoverinfo="skip")
    _days_and_hours(figure)
    return finish(figure, answer, dark=dark, height=330)


def _days_and_hours(figure: go.Figure) -> None:
    figure.update_xaxes(
        tickvals=MONTH_EDGES[:-1] + 14,
        ticktext=month_names(),
        showgrid=False,
        range=[-0.5, 364.5],
    )
    figure.update_yaxes(
        title=chart_t("year.axis_hour"),
        tickvals=[0, 6, 12, 18, 23],
        range=[23.5, -2.4],
        showgrid=False,
    )


def _click_dots(figure: go.Figure, names: np.ndarray) -> None:
    day, hour = np.meshgrid(np.arange(365), _CLICK_HOURS, indexing="ij")
    figure.add_scatter(
        x=day.ravel(),
        y=hour.ravel(),
        mode="markers",
        customdata=day.ravel(),
        text=names[day.ravel()],
        marker={"size": 6, "opacity": 0},
        selected={"marker": {"opacity": 0}},
        unselected={"marker": {"opacity": 0}},
        hovertemplate=chart_t("year.strip.open") + "<extra></extra>",
    )


_FED = (
    ("pv_to_load_w", "pv"),
    ("bank_to_load_w", "bank"),
    ("grid_to_load_w", "grid"),
    ("generator_to_load_w", "generator"),
    ("unserved_w", "unserved"),
)
_AWAY = (
    ("pv_to_bank_w", "pv"),
    ("grid_to_bank_w", "grid"),
    ("generator_to_bank_w", "generator"),
    ("curtailed_w", "curtailed"),
)


def day_flows(
    hours: np.ndarray, flows: dict[str, np.ndarray], *, answer: str, dark: bool = False
) -> go.Figure:
    """One day step by step: what fed the house (up), what was stored or curtailed (down), charge.

    Parameters
    ----------
    hours : array, shape (n,)
        Beginning of each step, hours of the day.
    flows : dict of arrays, shape (n,)
        Columns of the hourly file. [W]
    """
    figure = make_subplots(
        rows=2, cols=1, shared_xaxes=True, vertical_spacing=0.06, row_heights=[0.72, 0.28]
    )
    width = hours[1] - hours[0] if len(hours) > 1 else 1.0
    for columns, sign, where in ((_FED, 1, "fed"), (_AWAY, -1, "away")):
        for column, thing in columns:
            if flows[column].max() <= 0:
                continue
            marker = bar_look(thing, dark)
            if sign < 0:
                marker["opacity"] = 0.6
            figure.add_bar(
                x=hours + width / 2,
                y=sign * flows[column] / 1000,
                width=width,
                marker=marker,
                name=chart_t(f"year.day.{where}_{thing}"),
                hovertemplate="%{x:.2f} h: %{y:.2f} kW<extra>%{fullData.name}</extra>",
                row=1,
                col=1,
            )
    asked_kw = flows["load_w"] / 1000
    figure.add_scatter(
        x=np.append(hours, hours[-1] + width),
        y=np.append(asked_kw, asked_kw[-1]),
        mode="lines",
        line_shape="hv",
        line=line_look("load", dark),
        name=chart_t("year.day.load"),
        row=1,
        col=1,
        hovertemplate="%{x:.2f} h: %{y:.2f} kW<extra>%{fullData.name}</extra>",
    )
    figure.add_scatter(
        x=hours + width,
        y=100 * flows["soc_frac"],
        mode="lines",
        line=line_look("bank", dark),
        fill="tozeroy",
        fillcolor=rgba("bank", dark, 0.2),
        showlegend=False,
        row=2,
        col=1,
        hovertemplate="%{x:.2f} h: %{y:.0f} %<extra></extra>",
    )
    _shade_cuts(figure, hours, width, flows["grid_up"], flows, dark)
    figure.update_xaxes(range=[0, 24], tickvals=[0, 6, 12, 18, 24])
    figure.update_xaxes(title=chart_t("year.axis_hour"), row=2, col=1)
    figure.update_yaxes(title=chart_t("pictures.kw"), row=1, col=1)
    figure.update_yaxes(title=chart_t("year.axis_soc"), range=[0, 103], row=2, col=1)
    figure.update_layout(barmode="relative", bargap=0)
    return finish(figure, answer, dark=dark, height=430, legend=True)


def _shade_cuts(figure, hours, width, grid_up, flows, dark: bool) -> None:
    has_grid = flows["grid_import_w"].max() > 0 or grid_up.max() > 0
    if not has_grid:
        return
    down = spans(grid_up < 0.5)
    if down:  # only for its mark beneath the title: the shade itself belongs to no trace
        figure.add_bar(
            x=[None],
            y=[None],
            marker={"color": faint(dark)},
            hoverinfo="skip",
            name=chart_t("strategies.week.cut"),
            row=1,
            col=1,
        )
    for begin, end in down:
        figure.add_vrect(
            x0=hours[begin],
            x1=hours[end - 1] + width,
            fillcolor=faint(dark),
            line_width=0,
            layer="below",
            row="all",
            col=1,
        )


def spans(flags: np.ndarray) -> list[tuple[int, int]]:
    """Unbroken runs of true flags as (first, one past the last).

    >>> spans(np.array([True, False, True, True]))
    [(0, 1), (2, 4)]
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[0], np.asarray(flags, np.int8), [0]])))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
