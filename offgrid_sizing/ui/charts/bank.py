"""Pictures of the bank's wires: how the current divides between units in parallel."""

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing.ui.charts.marks import chart_t, colour, finish, ink
from offgrid_sizing.units import METRIC, Reader, digits


def sharing(
    unit_a: np.ndarray,
    limit_a: float,
    *,
    case: str = "discharge",
    answer: str,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """Current of each unit in one case, the even share and the unit's limit in it drawn in.

    Parameters
    ----------
    unit_a : array, shape (units in parallel,)
        [A]
    limit_a : float
        What one unit bears for long in this case. [A]
    case : {"discharge", "charge"}
    """
    figure = go.Figure()
    numbers = np.arange(1, len(unit_a) + 1)
    figure.add_bar(
        x=numbers,
        y=unit_a,
        marker={"color": colour("bank", dark)},
        hoverinfo="skip",
        text=[f"{digits(value, reader)} A" for value in unit_a] if len(unit_a) <= 8 else None,
        textposition="inside",
        insidetextanchor="start",
        insidetextfont={"color": "black" if dark else "white", "size": 12},
    )
    figure.add_hline(
        y=float(np.mean(unit_a)),
        line={"color": ink(dark), "dash": "dot"},
        annotation_text=chart_t("wiring.sharing.even"),
        annotation_position="top right",
    )
    figure.add_hline(
        y=limit_a,
        line={"color": colour("unserved", dark), "dash": "dash"},
        annotation_text=chart_t(f"wiring.sharing.limit_{case}"),
        annotation_position="bottom right",
        annotation_font={"color": colour("unserved", dark)},
    )
    figure.update_xaxes(
        title=chart_t("wiring.sharing.unit"), dtick=1 if len(unit_a) <= 16 else None
    )
    figure.update_yaxes(
        title=chart_t(f"wiring.sharing.axis_{case}"),
        range=[0, 1.15 * max(float(np.max(unit_a)), limit_a)],
    )
    return finish(figure, answer, dark=dark, height=280)
