"""Pictures that set charge priorities side by side: one week, the year's totals, the regret."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from offgrid_sizing.ui.charts.marks import (
    amount,
    bar_look,
    chart_t,
    faint,
    finish,
    ink,
    line_look,
    rgba,
    shown,
    worded_bars,
    wrapped,
)
from offgrid_sizing.ui.charts.plates import ticks
from offgrid_sizing.ui.plain import chart_text
from offgrid_sizing.units import METRIC, Reader, money


@dataclass(frozen=True, eq=False)
class WeekRow:
    """One priority's week: its name, one line of yearly figures, and its flows.

    `short` marks the steps in which some load goes unserved.
    """

    name: str
    figures: str
    soc_frac: np.ndarray
    grid_import_w: np.ndarray
    short: np.ndarray


def week(
    rows: Sequence[WeekRow],
    grid_up: np.ndarray,
    day_names: Sequence[str],
    step_h: float,
    *,
    answer: str,
    dark: bool = False,
) -> go.Figure:
    """The same days under each priority on one time axis; cuts shaded.

    Parameters
    ----------
    rows : sequence of WeekRow
        Arrays of shape (n,), the same n for all.
    grid_up : array, shape (n,)
    """
    titles = [f"<b>{row.name}</b><br>{wrapped(row.figures, 50)}" for row in rows]
    lines = max(title.count("<br>") + 1 for title in titles)
    gap = 16 * lines + 14
    height = (120 + gap) * len(rows)
    figure = make_subplots(
        rows=len(rows),
        cols=1,
        shared_xaxes=True,
        vertical_spacing=gap / height,
        subplot_titles=titles,
    )
    for note in figure.layout.annotations:
        note.update(
            x=0, xanchor="left", align="left", font={"size": 12, "color": ink(dark)}, yshift=2
        )
    hours = np.arange(len(grid_up)) * step_h
    peak = max((float(row.grid_import_w.max()) for row in rows), default=0.0) / 1000 or 1.0
    for number, row in enumerate(rows, start=1):
        _week_row(figure, number, row, hours, step_h, peak, dark)
        _cuts(figure, number, grid_up, hours, step_h, dark)
    days = len(day_names)
    figure.update_xaxes(
        tickvals=24 * np.arange(days) + 12,
        ticktext=list(day_names),
        range=[0, 24 * days],
        showgrid=False,
    )
    figure.update_yaxes(range=[0, 108], **ticks([0, 50, 100], " %"))
    figure.update_layout(bargap=0)
    return finish(figure, answer, dark=dark, height=height, legend=True, above=gap)


def _week_row(figure, number, row: WeekRow, hours, step_h, peak, dark) -> None:
    first = number == 1
    figure.add_bar(
        x=hours + step_h / 2,
        y=100 * row.grid_import_w / 1000 / peak,
        width=step_h,
        marker=bar_look("grid", dark),
        name=chart_t("strategies.week.grid", peak=f"{shown(peak)} kW"),
        showlegend=first,
        legendgroup="grid",
        customdata=row.grid_import_w / 1000,
        hovertemplate="%{customdata:.2f} kW<extra></extra>",
        row=number,
        col=1,
    )
    figure.add_scatter(
        x=hours + step_h,
        y=100 * row.soc_frac,
        mode="lines",
        line=line_look("bank", dark, 2),
        fill="tozeroy",
        fillcolor=rgba("bank", dark, 0.12),
        name=chart_t("strategies.week.soc"),
        showlegend=first,
        legendgroup="soc",
        row=number,
        col=1,
        hovertemplate="%{y:.0f} %<extra></extra>",
    )
    figure.add_scatter(
        x=hours[row.short] + step_h / 2,
        y=np.full(int(row.short.sum()), 4.0),
        mode="markers",
        marker={"symbol": "x", "size": 7, "color": bar_look("unserved", dark)["color"]},
        name=chart_t("strategies.week.short"),
        showlegend=first,
        legendgroup="short",
        hovertemplate=chart_t("strategies.week.short") + "<extra></extra>",
        row=number,
        col=1,
    )


def _cuts(figure, number, grid_up, hours, step_h, dark) -> None:
    down = np.where(grid_up < 0.5, 108.0, 0.0)
    if not down.any():
        return
    figure.add_bar(
        x=hours + step_h / 2,
        y=down,
        width=step_h,
        marker={"color": faint(dark)},
        name=chart_t("strategies.week.cut"),
        showlegend=number == 1,
        legendgroup="cut",
        hoverinfo="skip",
        row=number,
        col=1,
    )
    figure.update_layout(barmode="overlay")


@dataclass(frozen=True)
class Measure:
    """One yardstick over all priorities: values, their words, and the thing it is about."""

    title: str
    values: tuple[float, ...]
    words: tuple[str, ...]
    thing: str
    more_is_better: bool = False


def comparison(
    names: Sequence[str], measures: Sequence[Measure], *, answer: str, dark: bool = False
) -> go.Figure:
    """A row of bars for each yardstick, one bar a priority, its figure written on it."""
    figure = make_subplots(
        rows=len(measures),
        cols=1,
        subplot_titles=[one.title for one in measures],
        vertical_spacing=0.28 / max(len(measures), 1),
    )
    for note in figure.layout.annotations:
        note.update(x=0, xanchor="left", xref="paper", font={"size": 13, "color": ink(dark)})
    for row, measure in enumerate(measures, start=1):
        best = (max if measure.more_is_better else min)(measure.values)
        marks = ["★ " if value == best else "" for value in measure.values]
        words = [mark + chart_text(said) for mark, said in zip(marks, measure.words, strict=True)]
        figure.add_bar(
            y=[wrapped(name, 16) for name in names],
            x=measure.values,
            orientation="h",
            text=words,
            textposition="outside",
            cliponaxis=False,
            hoverinfo="skip",
            row=row,
            col=1,
            marker=bar_look(measure.thing, dark),
            textfont={"size": 12},
        )
        top = max([*measure.values, 0.0])
        figure.update_xaxes(
            showticklabels=False,
            showgrid=False,
            zeroline=True,
            row=row,
            col=1,
            range=[min([*measure.values, 0.0]), 1.4 * top or 1],
        )
    figure.update_yaxes(autorange="reversed", showgrid=False)
    return finish(
        figure, answer, dark=dark, height=len(measures) * (46 + 25 * len(names)), legend=False
    )


def regret(
    names: Sequence[str],
    above: Sequence[float],
    bound: float,
    *,
    answer: str,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """What each priority costs a year above what perfect foresight would."""
    figure = go.Figure()
    worded_bars(
        figure,
        [
            f"<b>{name}</b>: + {amount(value, reader)}"
            for name, value in zip(names, above, strict=True)
        ],
        above,
        "load",
        dark=dark,
    )
    figure.update_xaxes(
        title=wrapped(chart_t("strategies.regret.axis", bound=money(bound, reader)), 44)
    )
    return finish(figure, answer, dark=dark, height=80 + 46 * len(names))
