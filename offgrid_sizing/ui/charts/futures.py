"""Unserved load over the size of the array, as a band of futures."""

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing.sizing.futures import Band
from offgrid_sizing.ui.charts.marks import (
    chart_t,
    colour,
    finish,
    ink,
    label,
    line_look,
    rgba,
    shown,
)
from offgrid_sizing.units import METRIC, Reader, percent

_TICKS = (0.5, 0.7, 1.0, 1.5, 2.0, 3.0, 4.0)
_LEAST_TOP_FRAC = 0.02


def band(
    found: Band,
    target_frac: float,
    *,
    answer: str,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """Unserved share that half and nine of ten futures stay under, over the array's size.

    The band reaches from one in ten to nine of ten futures; the drawn array and the target are
    lines across it.
    """
    figure = go.Figure()
    low, middle, high = found.unserved_frac
    array = found.array_factor
    figure.add_scatter(
        x=np.concatenate([array, array[::-1]]),
        y=np.concatenate([high, low[::-1]]),
        fill="toself",
        fillcolor=rgba("unserved", dark, 0.18),
        line={"width": 0},
        hoverinfo="skip",
        showlegend=False,
    )
    for values, key, width in ((high, "line_most", 2), (middle, "line_median", 3)):
        figure.add_scatter(
            x=array,
            y=values,
            mode="lines",
            line=line_look("unserved", dark, width) | ({"dash": "dot"} if width == 2 else {}),
            name=chart_t(f"sizing.futures.{key}"),
            customdata=[percent(float(value), reader) for value in values],
            hovertemplate="%{customdata}<extra></extra>",
        )
    top = max(_LEAST_TOP_FRAC, 4 * target_frac, 1.15 * float(np.interp(1.0, array, high)))
    figure.add_hline(
        y=target_frac, line={"color": colour("good", dark), "width": 2, "dash": "dash"}
    )
    label(
        figure, np.log10(array[-1]), target_frac, chart_t("sizing.futures.line_target"),
        dark=dark, thing="good", xshift=-8, yshift=10,
    )  # fmt: skip
    figure.add_vline(x=1.0, line={"color": ink(dark), "width": 1})
    label(figure, 0.0, top, chart_t("sizing.futures.mark_drawn"), dark=dark, xshift=8, yshift=-10)
    figure.update_xaxes(
        title=chart_t("sizing.futures.axis_array"),
        type="log",
        tickvals=_TICKS,
        ticktext=[shown(one) for one in _TICKS],
    )
    figure.update_yaxes(
        title=chart_t("sizing.futures.axis_unserved"), range=[0, top], tickformat=".1~%"
    )
    finish(figure, answer, dark=dark, height=380, legend=True)
    figure.update_layout(hovermode="x unified")
    return figure
