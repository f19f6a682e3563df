"""Pictures of the choice of size: where the target is met, what it costs, what would change it."""

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing.ui.charts.marks import (
    amount,
    bar_look,
    colour,
    finish,
    ink,
    label,
    line_look,
    paper,
    told,
    worded_bars,
    wrapped,
)
from offgrid_sizing.ui.plain import chart_text
from offgrid_sizing.units import METRIC, Reader, digits, money, percent

LEAST_SHOWN_FRAC = 1e-4  # shares below 0.01 % are drawn as this: the scale is logarithmic
_DECADES = (1e-4, 1e-3, 1e-2, 1e-1, 1.0)


def unserved_map(
    units: np.ndarray,
    modules: np.ndarray,
    unserved_frac: np.ndarray,
    target_frac: float,
    *,
    choices: tuple[np.ndarray, np.ndarray, np.ndarray],
    drawn: tuple[int, int],
    clickable: bool = True,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """Unserved share over bank and array: the target's contour, whole choices, what is drawn.

    Parameters
    ----------
    units, modules : arrays, shapes (u,), (m,)
        Whole counts of units in parallel and of modules.
    unserved_frac : array, shape (u, m)
    choices : (units, modules, cost per year)
        Smallest arrays that meet the target, dots sized by cost.
    drawn : (units in parallel, modules)
        What the sketch holds now, ringed.
    clickable : bool
        Adds an unseen dot on every whole choice, for selection by click; its `customdata` is
        (units, modules).
    """
    figure = go.Figure()
    shown = np.log10(np.clip(unserved_frac, LEAST_SHOWN_FRAC, 1)).T
    empty = "#20242C" if dark else "#FFFFFF"
    figure.add_heatmap(
        x=units, y=modules, z=shown, customdata=100 * unserved_frac.T, zmin=-4, zmax=0,
        colorscale=[[0, empty], [0.5, "#7A4A2B" if dark else "#F6CFB4"],
                    [1, colour("unserved", dark)]],
        colorbar={
            "title": {"text": told("sizing.map.scale"), "side": "top"}, "orientation": "h",
            "x": 0.5, "y": -0.2, "yanchor": "top", "thickness": 10, "len": 0.95,
            "tickvals": np.log10(_DECADES), "ticktext": [percent(f, reader) for f in _DECADES],
        },
        hovertemplate=told("sizing.map.hover") + "<extra></extra>",
    )  # fmt: skip
    _target_line(figure, units, modules, unserved_frac, target_frac, reader, dark)
    if clickable:
        _unseen_dots(figure, units, modules, unserved_frac)
    _choice_dots(figure, choices, reader, dark)
    _ring(figure, drawn, dark)
    figure.update_xaxes(title=told("sizing.axis_units"), tickformat=",d")
    figure.update_yaxes(title=told("sizing.axis_modules"), tickformat=",d")
    answer = _map_answer(units, modules, unserved_frac, target_frac, drawn, reader)
    finish(figure, answer, dark=dark, height=430)
    figure.update_layout(clickmode="event+select", hovermode="closest")
    return figure


def _map_answer(units, modules, frac, target, drawn, reader) -> str:
    if drawn[0] not in units or drawn[1] not in modules:
        return told("sizing.map.off", units=drawn[0], modules=drawn[1])
    share = float(frac[units == drawn[0], modules == drawn[1]][0])
    key = "met" if share <= target else "missed"
    return told(
        f"sizing.map.{key}", units=drawn[0], modules=drawn[1], share=percent(share, reader),
        target=percent(target, reader),
    )  # fmt: skip


def _target_line(figure, units, modules, frac, target, reader, dark) -> None:
    if not (frac.min() <= target < frac.max()):
        return
    figure.add_contour(
        x=units, y=modules, z=frac.T, showscale=False, hoverinfo="skip", line_smoothing=0,
        contours={"start": target, "end": target, "size": 1, "coloring": "none"},
        line={"color": colour("good", dark), "width": 3},
    )  # fmt: skip
    reached = (frac <= target).any(axis=1)
    at = int(reached.argmax())
    y = modules[(frac[at] <= target).argmax()]
    right = at < len(units) / 2
    label(
        figure, units[at], y, told("sizing.map.contour", target=percent(target, reader)),
        dark=dark, thing="good", xshift=8 if right else -8, bgcolor=paper(dark), opacity=0.9,
        xanchor="left" if right else "right",
    )  # fmt: skip


def choice_code(units: int, modules: int) -> str:
    """What a dot carries; one text, because a pair is lost on its way back from the browser."""
    return f"{units}:{modules}"


def choice_of(code: str) -> tuple[int, int]:
    """Units in parallel and modules of a dot.

    >>> choice_of(choice_code(3, 12))
    (3, 12)
    """
    units, modules = code.split(":")
    return int(units), int(modules)


def _dots(figure, units, modules, texts: list[str], hover: str, marker: dict) -> None:
    seen = {"marker": {"opacity": marker.get("opacity", 1)}}
    figure.add_scatter(
        x=units, y=modules, mode="markers", marker=marker, selected=seen, unselected=seen,
        customdata=[choice_code(u, m) for u, m in zip(units, modules, strict=True)],
        hovertext=texts, hovertemplate=told(hover) + "<extra></extra>",
    )  # fmt: skip


def _unseen_dots(figure, units, modules, frac) -> None:
    across, up = (part.ravel() for part in np.meshgrid(units, modules, indexing="ij"))
    texts = [f"{100 * share:.2f}" for share in frac.ravel()]
    marker = {"size": 10, "opacity": 0}
    _dots(figure, across, up, texts, "sizing.map.hover_choose", marker)


def _choice_dots(figure, choices, reader: Reader, dark: bool) -> None:
    units, modules, cost = (np.asarray(part) for part in choices)
    if not len(units):
        return
    spread = np.ptp(cost) or 1.0
    marker = {
        "size": 8 + 10 * (cost - cost.min()) / spread, "color": colour("bank", dark),
        "line": {"color": paper(dark), "width": 1},
    }  # fmt: skip
    texts = [amount(value, reader) for value in cost]
    _dots(figure, units, modules, texts, "sizing.map.hover_dot", marker)


def _ring(figure, drawn, dark: bool) -> None:
    figure.add_scatter(
        x=[drawn[0]], y=[drawn[1]], mode="markers+text", text=[told("sizing.map.now")],
        textposition="top center", textfont={"color": ink(dark), "size": 12}, hoverinfo="skip",
        marker={
            "size": 22, "symbol": "circle-open", "color": ink(dark),
            "line": {"width": 3, "color": ink(dark)},
        },
        selected={"marker": {"opacity": 1}}, unselected={"marker": {"opacity": 1}},
    )  # fmt: skip


def frontier(
    units: np.ndarray,
    modules: np.ndarray,
    cost_per_year: np.ndarray,
    best: tuple[int, float],
    *,
    answer: str,
    drawn: tuple[int, float] | None = None,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """Yearly cost of the smallest array for each bank; the cheapest of all starred, `drawn` ringed.

    With a grid or generator a larger array than the smallest may cost less: the star then lies
    below the line.

    Parameters
    ----------
    units, modules, cost_per_year : arrays, shape (k,)
    best : (units, cost per year)
        Of the cheapest of all.
    drawn : (units, cost per year), optional
        What the sketch holds now.
    """
    figure = go.Figure()
    figure.add_scatter(
        x=units, y=cost_per_year, mode="lines+markers",
        customdata=np.column_stack([units, modules]),
        text=[amount(value, reader) for value in cost_per_year],
        line=line_look("bank", dark), marker={"size": 7},
        hovertemplate=told("sizing.frontier.hover") + "<extra></extra>",
    )  # fmt: skip
    for at in _few(len(units)):
        label(
            figure, units[at], cost_per_year[at],
            told("sizing.frontier.modules", count=int(modules[at])), dark=dark, xanchor="center",
            yshift=6,
        )  # fmt: skip
    figure.add_scatter(
        x=[best[0]], y=[best[1]], mode="markers", hoverinfo="skip",
        marker={"symbol": "star", "size": 18, "color": colour("good", dark)},
    )  # fmt: skip
    if drawn is not None:
        figure.add_scatter(
            x=[drawn[0]], y=[drawn[1]], mode="markers+text", text=[told("sizing.map.now")],
            textposition="bottom center", hoverinfo="skip",
            marker={"symbol": "circle-open", "size": 18, "color": ink(dark), "line": {"width": 3}},
        )  # fmt: skip
    figure.update_xaxes(title=told("sizing.axis_units"), tickformat=",d")
    figure.update_yaxes(title=told("sizing.axis_cost", currency=reader.currency))
    return finish(figure, answer, dark=dark, height=300)


def _few(count: int, wanted: int = 6) -> list[int]:
    """At most this many positions spread over a row of points, for labels that do not collide."""
    return sorted({round(at) for at in np.linspace(0, count - 1, min(count, wanted))})


def relaxations(
    words: Sequence[str],
    saved_per_year: Sequence[float],
    changes: Sequence[str],
    *,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """What each relaxed wish would save a year, one bar each, the change in boxes written on it."""
    order = np.argsort(saved_per_year)[::-1]
    saved = np.asarray(saved_per_year, dtype=float)[order]
    lines = [f"<b>{chart_text(words[at])}</b>: {chart_text(changes[at])}" for at in order]
    figure = go.Figure()
    worded_bars(figure, lines, saved, "bank", dark=dark)
    figure.update_xaxes(title=told("sizing.relax.axis", currency=reader.currency))
    key = "answer" if saved[0] > 0 else "nothing"
    answer = told(f"sizing.relax.{key}", what=words[order[0]], saved=money(float(saved[0]), reader))
    return finish(figure, answer, dark=dark, height=60 + 46 * len(saved))


def _two_lines(text: str) -> str:
    return wrapped(text, 18)


def assumption_bars(
    words: Sequence[str],
    low: Sequence[float],
    high: Sequence[float],
    base: float,
    unit: str,
    *,
    ends: Sequence[tuple[str, str]],
    answer: str,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """One bar for each assumption: how far its low and high value move the answer.

    Parameters
    ----------
    low, high : values of the answer at the assumption's two ends
    base : its value now
    ends : the two ends in words
    """
    figure = go.Figure()
    for values, at, thing in ((low, 0, "bank"), (high, 1, "pv")):
        moved = np.asarray(values, dtype=float) - base
        figure.add_bar(
            y=[_two_lines(word) for word in words], x=moved, base=base, orientation="h",
            text=[chart_text(end[at]) for end in ends], textposition="outside", cliponaxis=False,
            textfont={"color": ink(dark), "size": 12}, marker=bar_look(thing, dark),
            hovertext=[digits(value, reader) for value in values],
            hovertemplate=f"%{{y}}<br>%{{text}}: %{{hovertext}} {chart_text(unit)}<extra></extra>",
        )  # fmt: skip
    figure.add_vline(x=base, line={"color": ink(dark), "width": 2})
    figure.update_layout(barmode="overlay")
    figure.update_yaxes(autorange="reversed")
    least, most = min(*low, *high, base), max(*low, *high, base)
    room = 0.25 * (most - least) or abs(base) or 1.0  # the words beside the bars, on a phone too
    figure.update_xaxes(title=chart_text(unit), range=[least - room, most + room])
    return finish(figure, answer, dark=dark, height=70 + 44 * len(words))
