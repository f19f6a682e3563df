"""Pictures of the choice of size: where the target is met, what it costs, what would change it."""

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing.palette import unserved_scale
from offgrid_sizing.sizing.result import FrontierPoint, UnservedMap
from offgrid_sizing.ui.charts.marks import (
    chart_t,
    colour,
    finish,
    ink,
    label,
    line_look,
    paper,
)
from offgrid_sizing.units import METRIC, Reader, money, percent

LEAST_SHOWN_FRAC = 1e-4  # shares below 0.01 % are drawn as this: the scale is logarithmic
_DECADES = (1e-4, 1e-3, 1e-2, 1e-1, 1.0)


def unserved_map(
    grid: UnservedMap,
    cheapest: Sequence[FrontierPoint],
    drawn: tuple[int, int],
    *,
    answer: str,
    clickable: bool = True,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """Unserved share over bank and array: the edge of what meets the target, what is drawn.

    Parameters
    ----------
    grid : UnservedMap
        Pairs of bank and array, each with the inverter-chargers it is shown with.
    cheapest : sequence of FrontierPoint
        The cheapest system that meets the target with each bank, dots sized by cost.
    drawn : (units in parallel, modules)
        What the sketch holds now, ringed.
    clickable : bool
        Says that a click draws a dot's system; every pair bears an unseen dot, whose `customdata`
        is (units, modules, inverter-chargers).
    """
    figure = go.Figure()
    shown = np.log10(np.clip(grid.unserved_frac, LEAST_SHOWN_FRAC, 1)).T
    none, some, everything = unserved_scale(dark)
    figure.add_heatmap(
        x=grid.units,
        y=grid.modules,
        z=shown,
        zmin=-4,
        zmax=0,
        hoverinfo="skip",
        colorscale=[[0, none], [0.5, some], [1, everything]],
        colorbar={
            "title": {"text": chart_t("sizing.map.scale"), "side": "top"},
            "orientation": "h",
            "x": 0.5,
            "y": -0.2,
            "yanchor": "top",
            "thickness": 10,
            "len": 0.95,
            "tickvals": np.log10(_DECADES),
            "ticktext": [percent(f, reader) for f in _DECADES],
        },
    )
    _target_edge(figure, grid, dark)
    _unseen_dots(figure, grid, reader, clickable)
    _cheapest_dots(figure, cheapest, reader, dark, clickable)
    _ring(figure, drawn, dark)
    figure.update_xaxes(title=chart_t("sizing.axis_units"), tickformat=",d")
    figure.update_yaxes(title=chart_t("sizing.axis_modules"), tickformat=",d")
    finish(figure, answer, dark=dark, height=430)
    figure.update_layout(clickmode="event+select", hovermode="closest")
    return figure


def _pair_words(grid: UnservedMap, reader: Reader) -> np.ndarray:
    """What is said of each pair of bank and array; shape (u, m)."""
    words = np.empty(grid.met.shape, dtype=object)
    for at in np.ndindex(*words.shape):
        words[at] = chart_t(
            "sizing.map.pair_met" if grid.met[at] else "sizing.map.pair",
            units=int(grid.units[at[0]]),
            modules=int(grid.modules[at[1]]),
            inverters=int(grid.inverters[at]),
            share=percent(float(grid.unserved_frac[at]), reader),
        )
    return words


def _target_edge(figure, grid: UnservedMap, dark: bool) -> None:
    """The line between the pairs that meet the target and those that do not."""
    if grid.met.all() or not grid.met.any():
        return
    figure.add_contour(
        x=grid.units,
        y=grid.modules,
        z=grid.met.T.astype(float),
        showscale=False,
        hoverinfo="skip",
        line_smoothing=0,
        contours={"start": 0.5, "end": 0.5, "size": 1, "coloring": "none"},
        line={"color": colour("good", dark), "width": 3},
    )
    at = int(grid.met.any(axis=1).argmax())
    right = at < len(grid.units) / 2
    label(
        figure,
        grid.units[at],
        grid.modules[grid.met[at].argmax()],
        chart_t("sizing.map.edge"),
        dark=dark,
        thing="good",
        xshift=8 if right else -8,
        xanchor="left" if right else "right",
    )


def choice_code(units: int, modules: int, inverters: int) -> str:
    """What a dot carries; one text, because several are lost on their way from the browser."""
    return f"{units}:{modules}:{inverters}"


def choice_of(code: str) -> tuple[int, int, int]:
    """Units in parallel, modules and inverter-chargers of a dot.

    >>> choice_of(choice_code(3, 12, 2))
    (3, 12, 2)
    """
    units, modules, inverters = code.split(":")
    return int(units), int(modules), int(inverters)


def _dots(
    figure, points: Sequence[tuple[int, int, int]], texts, marker: dict, clickable: bool
) -> None:
    click = "<br>" + chart_t("sizing.map.click") if clickable else ""
    seen = {"marker": {"opacity": marker.get("opacity", 1)}}
    figure.add_scatter(
        x=[units for units, _, _ in points],
        y=[modules for _, modules, _ in points],
        mode="markers",
        marker=marker,
        selected=seen,
        unselected=seen,
        customdata=[choice_code(*point) for point in points],
        hovertext=list(texts),
        hovertemplate="%{hovertext}" + click + "<extra></extra>",
    )


def _unseen_dots(figure, grid: UnservedMap, reader: Reader, clickable: bool) -> None:
    points = [
        (int(units), int(modules), int(grid.inverters[u, m]))
        for u, units in enumerate(grid.units)
        for m, modules in enumerate(grid.modules)
    ]
    texts = _pair_words(grid, reader).ravel()
    _dots(figure, points, texts, {"size": 10, "opacity": 0}, clickable)


def _cheapest_dots(
    figure, cheapest: Sequence[FrontierPoint], reader: Reader, dark: bool, clickable: bool
) -> None:
    if not cheapest:
        return
    cost = np.array([point.cost_per_year for point in cheapest])
    marker = {
        "size": 8 + 10 * (cost - cost.min()) / (np.ptp(cost) or 1.0),
        "color": colour("bank", dark),
        "line": {"color": paper(dark), "width": 1},
    }
    points = [(point.units, point.modules, point.inverters) for point in cheapest]
    texts = [_point_words(point, reader) for point in cheapest]
    _dots(figure, points, texts, marker, clickable)


def _point_words(point: FrontierPoint, reader: Reader) -> str:
    return chart_t(
        "sizing.map.cheapest",
        units=point.units,
        modules=point.modules,
        inverters=point.inverters,
        share=percent(point.unserved_frac, reader),
        cost=money(point.cost_per_year, reader),
    )


def _ring(figure, drawn, dark: bool) -> None:
    figure.add_scatter(
        x=[drawn[0]],
        y=[drawn[1]],
        mode="markers+text",
        text=[chart_t("sizing.map.now")],
        textposition="top center",
        textfont={"color": ink(dark), "size": 12},
        hoverinfo="skip",
        marker={
            "size": 22,
            "symbol": "circle-open",
            "color": ink(dark),
            "line": {"width": 3, "color": ink(dark)},
        },
        selected={"marker": {"opacity": 1}},
        unselected={"marker": {"opacity": 1}},
    )


def frontier(
    points: Sequence[FrontierPoint],
    best: tuple[int, float],
    *,
    answer: str,
    drawn: tuple[int, float] | None = None,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """Life-cycle cost a year of the cheapest system with each bank; the answer starred.

    Parameters
    ----------
    points : sequence of FrontierPoint
    best : (units in parallel, cost per year)
        Of the search's answer.
    drawn : (units in parallel, cost per year), optional
        What the sketch holds now, ringed.
    """
    figure = go.Figure()
    units = [point.units for point in points]
    cost = [point.cost_per_year for point in points]
    figure.add_scatter(
        x=units,
        y=cost,
        mode="lines+markers",
        hovertext=[_point_words(point, reader) for point in points],
        line=line_look("bank", dark),
        marker={"size": 7},
        hovertemplate="%{hovertext}<extra></extra>",
    )
    for at in _few(len(units)):
        label(
            figure,
            units[at],
            cost[at],
            chart_t("sizing.frontier.modules", count=points[at].modules),
            dark=dark,
            xanchor="center",
            yshift=6,
        )
    figure.add_scatter(
        x=[best[0]],
        y=[best[1]],
        mode="markers",
        hoverinfo="skip",
        marker={"symbol": "star", "size": 18, "color": colour("good", dark)},
    )
    if drawn is not None:
        figure.add_scatter(
            x=[drawn[0]],
            y=[drawn[1]],
            mode="markers+text",
            text=[chart_t("sizing.map.now")],
            textposition="bottom center",
            hoverinfo="skip",
            marker={"symbol": "circle-open", "size": 18, "color": ink(dark), "line": {"width": 3}},
        )
    figure.update_xaxes(title=chart_t("sizing.axis_units"), tickformat=",d")
    figure.update_yaxes(title=chart_t("sizing.axis_cost", currency=reader.currency))
    return finish(figure, answer, dark=dark, height=300)


def _few(count: int, wanted: int = 6) -> list[int]:
    """At most this many positions spread over a row of points, for labels that do not collide."""
    return sorted({round(at) for at in np.linspace(0, count - 1, min(count, wanted))})
