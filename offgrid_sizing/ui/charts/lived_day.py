"""Picture of the load's day as it is lived: who draws when, and what the array gives."""

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing import palette
from offgrid_sizing.ui.charts.marks import (
    chart_t,
    finish,
    label,
    line_look,
    paper,
)
from offgrid_sizing.ui.charts.plates import hour_ticks
from offgrid_sizing.ui.plain import chart_text
from offgrid_sizing.units import METRIC, Reader, power

MOST_BANDS = 6
HOURS_A_LETTER = 0.5  # of a label, on the 24 hours of a phone's width
MOST_ARRAY = 1.3  # an array many times the load leaves the picture instead of flattening the load


def bands_of(names: tuple[str, ...], watts: np.ndarray) -> tuple[list[str], np.ndarray]:
    """The largest users one by one and the rest as one band, largest first.

    Parameters
    ----------
    names : tuple of str, length A
    watts : array, shape (A, slots)

    Returns
    -------
    (names, watts)
        At most `MOST_BANDS` + 1 rows.
    """
    order = np.argsort(-watts.sum(axis=1), kind="stable")
    order = order[watts[order].sum(axis=1) > 0]
    if len(order) <= MOST_BANDS + 1:
        return [names[i] for i in order], watts[order]
    top, rest = order[:MOST_BANDS], order[MOST_BANDS:]
    rows = np.vstack([watts[top], watts[rest].sum(axis=0)])
    return [*(names[i] for i in top), chart_t("pictures.others", count=len(rest))], rows


def lived_day(
    names: tuple[str, ...],
    watts: np.ndarray,
    array_w: np.ndarray | None,
    *,
    answer: str,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """Load of a mean day, stacked by appliance, with the array's output as a line above it.

    Parameters
    ----------
    names, watts : tuple of str, array of shape (A, slots)
        [W]
    array_w : array, shape (slots,), or None
        Array output of the same mean day. [W]
    """
    bands, rows = bands_of(names, watts)
    slots = watts.shape[1]
    middle = (np.arange(slots) + 0.5) * 24 / slots
    figure = go.Figure()
    for band, (name, row) in enumerate(zip(bands, rows, strict=True)):
        figure.add_bar(
            x=middle,
            y=row / 1000,
            width=24 / slots,
            marker=band_look(band, dark),
            hovertemplate=f"{chart_text(name)}<br>%{{y:.3g}} kW<extra></extra>",
        )
    figure.update_layout(barmode="stack")
    load_top = float(rows.sum(axis=0).max(initial=0))
    array_top = 0.0 if array_w is None else float(array_w.max(initial=0))
    top = max(load_top, min(array_top, MOST_ARRAY * load_top) if load_top else array_top)
    if array_w is not None:
        _array_line(figure, middle, array_w, top, reader, dark)
    _name_bands(figure, bands, rows, middle, top, dark)
    hour_ticks(figure, reader)
    figure.update_yaxes(title=chart_t("pictures.kw"), range=[0, max(top / 1000 * 1.14, 0.01)])
    finish(figure, answer, dark=dark, height=320)
    return figure.update_layout(bargap=0)


def band_look(band: int, dark: bool) -> dict:
    last = band == MOST_BANDS
    look: dict = {
        "color": palette.OTHERS if last else palette.APPLIANCES[band % len(palette.APPLIANCES)],
        "line": {"width": 0.6, "color": paper(dark)},
    }
    if last:
        look["pattern"] = {
            "shape": ".",
            "bgcolor": palette.OTHERS,
            "fgcolor": palette.INK.light,
            "solidity": 0.15,
        }
    return look


def _array_line(figure, middle, array_w, top: float, reader: Reader, dark: bool) -> None:
    name = chart_t("pictures.array")
    figure.add_scatter(
        x=middle,
        y=array_w / 1000,
        mode="lines",
        line=line_look("pv", dark, 3),
        hovertemplate=f"{name}<br>%{{y:.3g}} kW<extra></extra>",
    )
    at, most = int(array_w.argmax()), float(array_w.max(initial=0))
    if most <= 0:
        return
    told_name = chart_t("pictures.array_up_to", power=power(most, reader))
    y = min(most, top) / 1000
    label(figure, middle[at], y, f"<b>{told_name}</b>", dark=dark, xanchor="center", yshift=3)


def _name_bands(figure, names, watts, middle, top, dark) -> None:
    """Each band's name where it is thick and no other name stands, if there is such a place."""
    base = np.vstack([np.zeros(watts.shape[1]), np.cumsum(watts, axis=0)[:-1]])
    taken: list[tuple[float, float, float, float]] = []
    for name, row, under in zip(names, watts, base, strict=True):
        short = name if len(name) <= 22 else name[:21] + "…"
        wide, high = HOURS_A_LETTER * len(short), 0.05 * top
        for at in np.argsort(-row, kind="stable"):
            if row[at] < max(0.7 * row.max(), 0.035 * top):
                break
            x = min(max(middle[at], wide / 2), 24 - wide / 2)
            y = under[at] + row[at] / 2
            box = (x - wide / 2, x + wide / 2, y - high / 2, y + high / 2)
            if any(_overlap(box, other) for other in taken):
                continue
            taken.append(box)
            label(
                figure,
                x,
                y / 1000,
                chart_text(short),
                dark=dark,
                xanchor="center",
                yanchor="middle",
                bgcolor=paper(dark),
                opacity=0.85,
                borderpad=0,
            )
            break


def _overlap(one: tuple, other: tuple) -> bool:
    return one[0] < other[1] and other[0] < one[1] and one[2] < other[3] and other[2] < one[3]
