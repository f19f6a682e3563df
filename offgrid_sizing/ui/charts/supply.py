"""Pictures of the grid and of what the strategy allows hour by hour."""

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing.palette import price_scale
from offgrid_sizing.ui.charts.marks import chart_t, ink, line_look
from offgrid_sizing.ui.charts.plates import framed, hour_ticks, plate, ticks
from offgrid_sizing.units import METRIC, Reader


def week(
    price: np.ndarray,
    up: np.ndarray,
    days: list[str],
    *,
    answer: str,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """A week of the grid: price as shade, timetabled cuts as hatched blocks.

    Parameters
    ----------
    price, up : arrays, shape (7, slots)
        Price of a kWh and share of the slot in which the grid is there (0–1).
    """
    slots = price.shape[1]
    width = 24 / slots
    middle = (np.arange(slots) + 0.5) * width
    low, high = price_scale(dark)
    figure = go.Figure(
        go.Heatmap(
            x=middle,
            y=list(range(7)),
            z=price,
            colorscale=[[0, low], [1, high]],
            colorbar={
                "title": {
                    "text": chart_t("pictures.price", currency=reader.currency),
                    "side": "right",
                },
                "thickness": 10,
                "outlinewidth": 0,
            },
            showscale=bool(np.ptp(price) > 0),
            customdata=np.array(days)[:, None].repeat(slots, axis=1),
            hovertemplate="%{customdata} · %{x:.4g} h<br>%{z:.4g}<extra></extra>",
        )
    )
    for day in range(7):
        for start, end in _runs(up[day] < 0.5):
            figure.add_bar(
                x=[(start + end) / 2 * width],
                base=[day - 0.42],
                y=[0.84],
                width=[(end - start) * width],
                marker={
                    "color": "rgba(127,127,127,0.55)",
                    "line": {"color": ink(dark), "width": 1},
                    "pattern": {"shape": "/", "fgcolor": ink(dark), "solidity": 0.25},
                },
                hovertemplate=chart_t("pictures.cut") + "<extra></extra>",
            )
    where = np.argwhere(up < 0.5)
    if len(where):
        day, slot = where[len(where) // 2]
        plate(figure, middle[slot], int(day), chart_t("pictures.cut"), dark=dark)
    framed(figure, answer, dark=dark, height=300)
    hour_ticks(figure, reader)
    figure.update_layout(barmode="overlay")
    figure.update_yaxes(tickvals=list(range(7)), ticktext=days, range=[6.5, -0.5], showgrid=False)
    return figure


def _runs(flags: np.ndarray) -> list[tuple[int, int]]:
    """Stretches of true flags as (first, one past last)."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def levels(
    lines: list[tuple[str, np.ndarray, str]],
    floor_frac: float,
    *,
    answer: str,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """State-of-charge levels the strategy works with over a day.

    Parameters
    ----------
    lines : list of (label, soc by slot, thing)
        Shares 0–1; NaN where the level does not apply; `thing` names the colour.
    floor_frac : float
        Lowest state of charge the bank may reach.
    """
    figure = go.Figure()
    figure.add_hrect(y0=0, y1=floor_frac * 100, fillcolor="rgba(127,127,127,0.25)", line_width=0)
    plate(figure, 12, floor_frac * 50, chart_t("pictures.floor"), dark=dark)
    used: list[float] = []
    for label, values, thing in lines:
        middle = (np.arange(len(values)) + 0.5) * 24 / len(values)
        figure.add_scatter(
            x=middle,
            y=values * 100,
            mode="lines",
            line=line_look(thing, dark, 3) | {"shape": "hvh"},
            hovertemplate=f"{label}: %{{y:.3g}} %<extra></extra>",
        )
        there = np.flatnonzero(np.isfinite(values))
        if len(there):
            at = int(there[len(there) // 2])
            height = float(values[at] * 100)
            lift = 11 if all(abs(height - other) > 6 for other in used) else -12
            used.append(height)
            plate(figure, middle[at], height, label, dark=dark, yshift=lift)
    framed(figure, answer, y=chart_t("pictures.soc"), dark=dark, height=300)
    hour_ticks(figure, reader)
    figure.update_yaxes(range=[0, 104], **ticks([0, 25, 50, 75, 100], " %"))
    return figure


def fuel(
    output_w: np.ndarray,
    fuel_per_h: np.ndarray,
    least_w: float,
    *,
    answer: str,
    unit: str,
    dark: bool = False,
) -> go.Figure:
    """Fuel burnt against output, with the least load the generator runs at."""
    figure = go.Figure(
        go.Scatter(
            x=output_w / 1000,
            y=fuel_per_h,
            mode="lines",
            line=line_look("generator", dark, 3),
            hovertemplate="%{x:.3g} kW: %{y:.3g}<extra></extra>",
        )
    )
    figure.add_vline(x=least_w / 1000, line={"color": ink(dark), "dash": "dot"})
    top = float(fuel_per_h.max())
    plate(
        figure, least_w / 1000, top, chart_t("pictures.least"), dark=dark, xanchor="left", xshift=5
    )
    framed(
        figure,
        answer,
        x=chart_t("pictures.output"),
        y=chart_t("pictures.fuel", unit=unit),
        dark=dark,
        height=280,
    )
    figure.update_yaxes(rangemode="tozero")
    return figure
