"""Pictures of endurance: the days that decide, and how long the bank carries the home."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from offgrid_sizing.ui.charts.marks import (
    bar_look,
    chart_t,
    colour,
    finish,
    ink,
    label,
    line_look,
    month_names,
    paper,
    rgba,
)
from offgrid_sizing.units import METRIC, Reader, digits


@dataclass(frozen=True, eq=False)
class Run:
    """A run of days as it went.

    Parameters
    ----------
    days : list of str
        Names of the days.
    sun_kwh, load_kwh : arrays, shape (days,)
        What the array could give, what the home asked.
    soc_frac : array, shape (steps,)
        Charge at the end of the step.
    short : bool array, shape (steps,)
        Steps in which some load went unserved.
    step_h : float
    """

    days: list[str]
    sun_kwh: np.ndarray
    load_kwh: np.ndarray
    soc_frac: np.ndarray
    short: np.ndarray
    step_h: float


class Ghost(NamedTuple):
    """The charge as it would have gone with more units, shape (steps,), and what that is called."""

    soc_frac: np.ndarray
    words: str


def stretch(
    run: Run,
    *,
    answer: str,
    floor_frac: float,
    ghost: Ghost | None = None,
    dark: bool = False,
) -> go.Figure:
    """The shortage that decided: sun and load by day, the charge sliding to its floor, a ghost."""
    days, soc_frac, short = run.days, run.soc_frac, run.short
    figure = make_subplots(
        rows=2, cols=1, shared_xaxes=True, vertical_spacing=0.08, row_heights=[0.45, 0.55]
    )
    at = np.arange(len(days)) + 0.5
    for values, thing, shift in ((run.sun_kwh, "pv", -0.2), (run.load_kwh, "load", 0.2)):
        figure.add_bar(
            x=at + shift,
            y=values,
            width=0.36,
            marker=bar_look(thing, dark),
            row=1,
            col=1,
            name=chart_t(f"year.stretch.{thing}"),
            hovertemplate="%{y:.3g} kWh<extra></extra>",
        )
    steps = (np.arange(len(soc_frac)) + 1) * run.step_h / 24
    figure.add_scatter(
        x=steps,
        y=100 * soc_frac,
        mode="lines",
        line=line_look("bank", dark, 3),
        row=2,
        col=1,
        showlegend=False,
        hovertemplate="%{y:.0f} %<extra></extra>",
    )
    if short.any():
        figure.add_scatter(
            x=steps[short],
            y=100 * soc_frac[short],
            mode="markers",
            row=2,
            col=1,
            marker={"symbol": "x", "size": 7, "color": colour("unserved", dark)},
            name=chart_t("year.stretch.short"),
            hovertemplate="%{x:.2f}<extra></extra>",
        )
    if ghost is not None:
        figure.add_scatter(
            x=steps,
            y=100 * ghost.soc_frac,
            mode="lines",
            row=2,
            col=1,
            showlegend=False,
            line={"color": colour("bank", dark), "width": 2, "dash": "dot"},
            opacity=0.7,
            hovertemplate="%{y:.0f} %<extra></extra>",
        )
        at_gap = int(np.argmax(ghost.soc_frac - soc_frac))
        label(
            figure,
            steps[at_gap],
            100 * ghost.soc_frac[at_gap],
            ghost.words,
            dark=dark,
            thing="bank",
            row=2,
            col=1,
            yshift=8,
            bgcolor=paper(dark),
            opacity=0.9,
            xanchor="right" if at_gap > len(steps) / 2 else "left",
        )
    figure.add_hline(
        y=100 * floor_frac,
        line={"color": ink(dark), "dash": "dot", "width": 1},
        row=2,
        col=1,
        annotation_text=chart_t("year.stretch.floor"),
        annotation_position="bottom left",
    )
    every = -(-len(days) // 8)  # as many names as fit a phone
    figure.update_xaxes(
        tickvals=at[::every], ticktext=days[::every], range=[0, len(days)], showgrid=False
    )
    figure.update_yaxes(title=chart_t("year.axis_kwh_day"), row=1, col=1)
    figure.update_yaxes(title=chart_t("year.axis_soc"), range=[-4, 104], row=2, col=1)
    return finish(figure, answer, dark=dark, height=430, legend=True)


def autonomy(
    no_sun_h: np.ndarray,
    real_sun_h: np.ndarray | None,
    asked_days: float,
    *,
    answer: str,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """Days a full bank lasts by month: median and 1-in-20, without sun and with the real sun.

    Parameters
    ----------
    no_sun_h, real_sun_h : arrays, shape (12, 2)
        Median and 1-in-20 (5th percentile) hours until the floor; `inf` where it never came.
    asked_days : float
        The target, drawn as a line.
    """
    figure = go.Figure()
    months = month_names()
    tops = [1.2 * asked_days, 1.2 * _largest(no_sun_h) / 24]
    for hours, thing, key in ((real_sun_h, "pv", "real_sun"), (no_sun_h, "bank", "no_sun")):
        if hours is None:
            continue
        days = np.where(np.isfinite(hours), hours, np.nan) / 24
        tops.append(min(1.15 * _largest(hours) / 24, 4 * max(tops[:2])))
        figure.add_scatter(
            x=months,
            y=days[:, 0],
            mode="lines+markers",
            line=line_look(thing, dark, 3),
            name=chart_t(f"year.endure.{key}"),
            hovertemplate="%{x}: %{y:.2f} d<extra>" + chart_t("year.endure.median") + "</extra>",
        )
        figure.add_scatter(
            x=months,
            y=days[:, 1],
            mode="lines",
            fill="tonexty",
            fillcolor=rgba(thing, dark, 0.18),
            line=line_look(thing, dark, 1.5) | {"dash": "dot"},
            name=chart_t(f"year.endure.{key}_low"),
            hovertemplate="%{x}: %{y:.2f} d<extra>" + chart_t("year.endure.one_in_20") + "</extra>",
        )
    if asked_days > 0:
        figure.add_hline(
            y=asked_days,
            line={"color": colour("good", dark), "dash": "dash", "width": 2},
            annotation_text=chart_t("year.endure.asked", days=digits(asked_days, reader)),
            annotation_position="top left",
            annotation_font={"color": colour("good", dark)},
        )
    figure.update_yaxes(title=chart_t("year.axis_days"), range=[0, max(tops) or 1])
    return finish(figure, answer, dark=dark, height=330, legend=True)


def _largest(hours: np.ndarray) -> float:
    finite = hours[np.isfinite(hours)]
    return float(finite.max()) if finite.size else 24.0
