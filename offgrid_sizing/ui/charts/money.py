"""Pictures of the money: what is paid over the years, for what, and how the bank ages."""

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing.ui.charts.marks import (
    amount,
    bar_look,
    chart_t,
    colour,
    finish,
    ink,
    label,
    line_look,
    paper,
    worded_bars,
)
from offgrid_sizing.ui.plain import chart_text
from offgrid_sizing.units import METRIC, Reader


def paid_so_far(
    system: np.ndarray,
    alternative: np.ndarray | None,
    *,
    answer: str,
    alternative_words: str,
    payback_y: float | None,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """Money paid by the end of each year, with the system and without it.

    Parameters
    ----------
    system, alternative : arrays, shape (years + 1,)
        Costs of each year; summed here. Without an alternative there is one line.
    payback_y : float or None
        When the system has repaid itself, marked.
    """
    years = np.arange(len(system))
    figure = go.Figure()
    for flows, thing, words in (
        (alternative, "grid", alternative_words),
        (system, "pv", chart_t("money.paid.system")),
    ):
        if flows is None:
            continue
        total = np.cumsum(flows)
        figure.add_scatter(
            x=years,
            y=total,
            mode="lines",
            line=line_look(thing, dark, 3),
            name=words,
            hovertemplate="%{x}: %{y:,.0f}<extra></extra>",
        )
        label(
            figure,
            years[-1],
            total[-1],
            amount(float(total[-1]), reader),
            dark=dark,
            xanchor="right",
            bgcolor=paper(dark),
            opacity=0.9,
            yshift=4,
        )
    if payback_y is not None and payback_y <= years[-1]:
        figure.add_vline(
            x=payback_y,
            line={"color": colour("good", dark), "dash": "dot", "width": 2},
            annotation_text=chart_t("money.paid.payback"),
            annotation_position="bottom right",
            annotation_font={"color": colour("good", dark)},
        )
    figure.update_xaxes(title=chart_t("money.axis_year"))
    figure.update_yaxes(title=chart_text(reader.currency), rangemode="tozero")
    return finish(figure, answer, dark=dark, height=340, legend=True)


def by_kind(
    words: Sequence[str],
    values: Sequence[float],
    *,
    answer: str,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """Present worth of each kind of cost, income to the left."""
    figure = go.Figure()
    lines = [
        f"<b>{chart_text(word)}</b>: {amount(value, reader)}"
        for word, value in zip(words, values, strict=True)
    ]
    worded_bars(figure, lines, values, "bank", dark=dark)
    figure.update_xaxes(title=chart_t("money.axis_today", currency=reader.currency))
    return finish(figure, answer, dark=dark, height=60 + 42 * len(words))


def health(
    health_frac: np.ndarray,
    end_of_life_frac: float,
    replacement_years: Sequence[float],
    *,
    answer: str,
    dark: bool = False,
) -> go.Figure:
    """Capacity left by year; replacements marked."""
    figure = go.Figure()
    figure.add_scatter(
        x=np.arange(len(health_frac)),
        y=100 * health_frac,
        mode="lines+markers",
        line=line_look("bank", dark, 3),
        hovertemplate="%{x}: %{y:.0f} %<extra></extra>",
    )
    for year in replacement_years:
        figure.add_vline(
            x=year,
            line={"color": ink(dark), "dash": "dot", "width": 1},
            annotation_text=chart_t("money.health.replaced"),
            annotation_position="bottom right",
        )
    figure.add_hline(
        y=100 * end_of_life_frac,
        line={"color": colour("unserved", dark), "dash": "dash"},
        annotation_text=chart_t("money.health.end"),
        annotation_position="bottom left",
    )
    figure.update_xaxes(title=chart_t("money.axis_year"))
    figure.update_yaxes(
        title=chart_t("money.health.axis"), range=[min(60, 90 * end_of_life_frac), 103]
    )
    return finish(figure, answer, dark=dark, height=300)


def cycles(
    depth_frac: np.ndarray, counts: np.ndarray, *, answer: str, dark: bool = False
) -> go.Figure:
    """Counted cycles a year by depth of discharge (`depth_frac` holds the upper edges)."""
    figure = go.Figure()
    width = 100 * float(depth_frac[0])
    figure.add_bar(
        x=100 * depth_frac - width / 2,
        y=counts,
        width=0.9 * width,
        marker=bar_look("bank", dark),
        hovertemplate="%{y:.3g}<extra></extra>",
    )
    figure.update_xaxes(title=chart_t("money.cycles.depth"), ticksuffix=" %")
    figure.update_yaxes(title=chart_t("money.cycles.count"))
    return finish(figure, answer, dark=dark, height=260)
