"""Pictures of what would change the size, and of what the cost rests on."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing.ui.charts.marks import (
    bar_look,
    chart_t,
    finish,
    ink,
    worded_bars,
    wrapped,
)
from offgrid_sizing.ui.plain import chart_text
from offgrid_sizing.units import METRIC, Reader, digits, money


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
    figure.update_xaxes(title=chart_t("sizing.relax.axis", currency=reader.currency))
    key = "answer" if saved[0] > 0 else "nothing"
    answer = chart_t(
        f"sizing.relax.{key}", what=words[order[0]], saved=money(float(saved[0]), reader)
    )
    return finish(figure, answer, dark=dark, height=60 + 46 * len(saved))


def _two_lines(text: str) -> str:
    return wrapped(text, 18)


class Swing(NamedTuple):
    """One assumption: the answer at its low and at its high end, and what the ends are called."""

    words: str
    low: float
    high: float
    low_words: str
    high_words: str


def _sides(low: float, high: float, base: float) -> tuple[int, int]:
    """On which side of the line (−1, 1) the words of both ends stand: never both on one.

    Where both ends lie on one side, the longer bar keeps it.
    """
    ends = (low - base, high - base)
    longer = int(abs(ends[1]) >= abs(ends[0]))
    side = -1 if ends[longer] < 0 else 1
    return (-side, side) if longer else (side, -side)


def assumption_bars(
    swings: Sequence[Swing],
    base: float,
    unit: str,
    *,
    answer: str,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """One bar for each assumption: how far its low and high value move the answer.

    Parameters
    ----------
    swings : sequence of Swing
    base : float
        The answer now, in `unit`.
    """
    words, low, high, *ends = zip(*swings, strict=True)
    figure = go.Figure()
    for values, end, thing in ((low, ends[0], "bank"), (high, ends[1], "pv")):
        moved = np.asarray(values, dtype=float) - base
        figure.add_bar(
            y=[_two_lines(word) for word in words],
            x=moved,
            base=base,
            orientation="h",
            text=[chart_text(one) for one in end],
            textposition="none",  # a bar of no length would have its words within the other's
            marker=bar_look(thing, dark),
            hovertext=[digits(value, reader) for value in values],
            hovertemplate=f"%{{y}}<br>%{{text}}: %{{hovertext}} {chart_text(unit)}<extra></extra>",
        )
    for word, *at, first, second in swings:
        for value, side, end in zip(at, _sides(*at, base), (first, second), strict=True):
            figure.add_annotation(
                x=base if (value - base) * side <= 0 else value,
                y=_two_lines(word),
                text=chart_text(end),
                xanchor="left" if side > 0 else "right",
                xshift=4 * side,
                showarrow=False,
                font={"color": ink(dark), "size": 12},
            )
    figure.add_vline(x=base, line={"color": ink(dark), "width": 2})
    figure.update_layout(barmode="overlay")
    figure.update_yaxes(autorange="reversed")
    least, most = min(*low, *high, base), max(*low, *high, base)
    room = 0.25 * (most - least) or abs(base) or 1.0  # the words beside the bars, on a phone too
    figure.update_xaxes(title=chart_text(unit), range=[least - room, most + room])
    return finish(figure, answer, dark=dark, height=70 + 44 * len(words))
