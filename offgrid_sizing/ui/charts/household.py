"""Pictures of the load: a day as it is lived, the year's hours, the largest users."""

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing import palette
from offgrid_sizing.ui.charts.marks import (
    colour,
    finish,
    ink,
    label,
    line_look,
    month_names,
    paper,
    told,
)
from offgrid_sizing.ui.charts.plates import hour_ticks, ticks
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
    return [*(names[i] for i in top), told("pictures.others", count=len(rest))], rows


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
            x=middle, y=row / 1000, width=24 / slots,
            marker=_band_look(band, dark),
            hovertemplate=f"{chart_text(name)}<br>%{{y:.3g}} kW<extra></extra>",
        )  # fmt: skip
    figure.update_layout(barmode="stack")
    load_top = float(rows.sum(axis=0).max(initial=0))
    array_top = 0.0 if array_w is None else float(array_w.max(initial=0))
    top = max(load_top, min(array_top, MOST_ARRAY * load_top) if load_top else array_top)
    if array_w is not None:
        _array_line(figure, middle, array_w, top, reader, dark)
    _name_bands(figure, bands, rows, middle, top, dark)
    hour_ticks(figure, reader)
    figure.update_yaxes(title=told("pictures.kw"), range=[0, max(top / 1000 * 1.14, 0.01)])
    finish(figure, answer, dark=dark, height=320)
    return figure.update_layout(bargap=0)


def _band_look(band: int, dark: bool) -> dict:
    last = band == MOST_BANDS
    look: dict = {
        "color": palette.OTHERS if last else palette.APPLIANCES[band % len(palette.APPLIANCES)],
        "line": {"width": 0.6, "color": paper(dark)},
    }
    if last:
        look["pattern"] = {
            "shape": ".", "bgcolor": palette.OTHERS, "fgcolor": palette.INK.light, "solidity": 0.15
        }  # fmt: skip
    return look


def _array_line(figure, middle, array_w, top: float, reader: Reader, dark: bool) -> None:
    name = told("pictures.array")
    figure.add_scatter(
        x=middle, y=array_w / 1000, mode="lines", line=line_look("pv", dark, 3),
        hovertemplate=f"{name}<br>%{{y:.3g}} kW<extra></extra>",
    )  # fmt: skip
    at, most = int(array_w.argmax()), float(array_w.max(initial=0))
    if most <= 0:
        return
    told_name = told("pictures.array_up_to", power=power(most, reader))
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
            label(figure, x, y / 1000, chart_text(short), dark=dark, xanchor="center",
                  yanchor="middle", bgcolor=paper(dark), opacity=0.85, borderpad=0)  # fmt: skip
            break


def _overlap(one: tuple, other: tuple) -> bool:
    return one[0] < other[1] and other[0] < one[1] and one[2] < other[3] and other[2] < one[3]


def users(
    names: tuple[str, ...], kwh_per_day: np.ndarray, *, answer: str, dark: bool = False
) -> go.Figure:
    """Daily energy by appliance, largest on top, each bar with its name and figure. [kWh/day]"""
    notes = [f"{value:.3g}" for value in kwh_per_day]
    return _named_bars(names, kwh_per_day, notes, answer, told("pictures.kwh_day"), dark)


def savings(
    names: tuple[str, ...], saved: np.ndarray, notes: list[str], *, answer: str, axis: str,
    dark: bool = False,
) -> go.Figure:  # fmt: skip
    """What each change saves, largest on top; `notes` stand beside the names."""
    return _named_bars(names, saved, notes, answer, axis, dark)


def _named_bars(names, values, notes, answer: str, axis: str, dark: bool) -> go.Figure:
    order = np.argsort(values)
    shown = [chart_text(names[i] if len(names[i]) <= 34 else names[i][:33] + "…") for i in order]
    rows = list(range(len(order)))
    figure = go.Figure(
        go.Bar(
            x=values[order], y=rows, orientation="h", width=0.34, marker={"color": ink(dark)},
            customdata=shown, hovertemplate="%{customdata}<br>%{x:.3g}<extra></extra>",
        )
    )  # fmt: skip
    for row, at in enumerate(order):
        words = f"{shown[row]}  <b>{chart_text(notes[at])}</b>"
        label(figure, 0, row + 0.16, words, dark=dark)
    finish(figure, answer, dark=dark, height=40 + 36 * max(len(rows), 3))
    figure.update_yaxes(visible=False, range=[-0.6, len(rows) - 0.1])
    most = float(values.max(initial=0)) or 1.0
    return figure.update_xaxes(range=[0, most * 1.02], title=axis)


def duration(
    share: np.ndarray, watts: np.ndarray, *, answer: str,
    marks: tuple[tuple[float, str], ...] = (), dark: bool = False,
) -> go.Figure:  # fmt: skip
    """Load-duration curve: for what share of the year the load is above each power.

    Parameters
    ----------
    share, watts : arrays of one length
        Share of the year (0–1) and the power exceeded for that share. [W]
    marks : tuple of (watts, label)
        Level lines, e.g. the inverter-chargers' rating.
    """
    figure = go.Figure(
        go.Scatter(
            x=share * 100, y=watts / 1000, mode="lines", line=line_look("load", dark, 2.5),
            fill="tozeroy", fillcolor="rgba(127,127,127,0.18)",
            hovertemplate="%{x:.3g} %<br>%{y:.3g} kW<extra></extra>",
        )
    )  # fmt: skip
    for level, name in marks:
        figure.add_hline(y=level / 1000, line={"color": ink(dark), "dash": "dot", "width": 1.5})
        label(figure, 100, level / 1000, chart_text(name), dark=dark, xanchor="right")
    finish(figure, answer, dark=dark, height=300)
    figure.update_xaxes(title=told("pictures.share_of_year"), range=[0, 100], ticksuffix=" %")
    figure.update_yaxes(title=told("pictures.kw"), rangemode="tozero")
    return figure


def hour_by_month(
    watts: np.ndarray, *, answer: str, reader: Reader = METRIC, dark: bool = False
) -> go.Figure:
    """Mean load by hour of the day and month as a heat map, the highest hour named.

    Parameters
    ----------
    watts : array, shape (12, slots)
        [W]
    """
    months, slots = month_names(), watts.shape[1]
    middle = (np.arange(slots) + 0.5) * 24 / slots
    low, middling, high = palette.load_scale(dark)
    figure = go.Figure(
        go.Heatmap(
            x=middle, y=list(range(12)), z=watts / 1000, zmin=0,
            colorscale=[[0, low], [0.5, middling], [1, high]],
            colorbar={
                "title": {"text": told("pictures.kw"), "side": "top"}, "orientation": "h",
                "x": 0.5, "y": -0.16, "yanchor": "top", "thickness": 10, "len": 0.95,
                "outlinewidth": 0,
            },
            customdata=np.array(months)[:, None].repeat(slots, axis=1),
            hovertemplate="%{customdata} · %{x:.4g} h<br>%{z:.3g} kW<extra></extra>",
        )
    )  # fmt: skip
    month, slot = (int(i) for i in np.unravel_index(int(watts.argmax()), watts.shape))
    if watts[month, slot] > 0:
        label(figure, middle[slot], month, power(watts[month, slot], reader), dark=dark,
              xanchor="right" if middle[slot] > 18 else "center", yanchor="middle",
              bgcolor=paper(dark), opacity=0.9)  # fmt: skip
    hour_ticks(figure, reader)
    finish(figure, answer, dark=dark, height=380)
    figure.update_yaxes(
        tickvals=list(range(12)), ticktext=months, autorange="reversed", showgrid=False
    )
    return figure


def strip(
    shares: tuple[float, ...], *, answer: str, reader: Reader = METRIC, dark: bool = False
) -> go.Figure:
    """One appliance's 24 hours as a strip: full height where it runs, half where it runs half."""
    figure = go.Figure(
        go.Bar(
            x=np.arange(24) + 0.5, y=np.asarray(shares) * 100, width=0.94,
            marker={"color": ink(dark)}, hovertemplate="%{x:.3g} h: %{y:.3g} %<extra></extra>",
        )
    )  # fmt: skip
    hour_ticks(figure, reader, title=False)
    finish(figure, answer, dark=dark, height=90)
    figure.update_yaxes(range=[0, 100], **ticks([0, 100], " %"))
    return figure


def together(
    names: tuple[str, ...], va: np.ndarray, start_va: float, starts: str, *, answer: str,
    limits: tuple[tuple[float, str], ...] = (), reader: Reader = METRIC, dark: bool = False,
) -> go.Figure:  # fmt: skip
    """What may run at the same moment, heaped up, and the worst start on top, against ratings.

    Parameters
    ----------
    names, va : tuple of str, array
        Who runs together, largest first. [VA]
    start_va : float
        What the worst start adds. [VA]
    limits : tuple of (VA, label)
        Ratings of the inverter-chargers.
    """
    bands, rows = bands_of(names, va[:, None])
    figure = go.Figure()
    done = 0.0
    total = float(va.sum() + start_va)
    for band, (name, value) in enumerate(zip(bands, rows[:, 0], strict=True)):
        figure.add_bar(
            x=[value / 1000], y=[0], orientation="h", width=0.5, marker=_band_look(band, dark),
            name=chart_text(name if len(name) <= 30 else name[:29] + "…"),
            hovertemplate=f"{chart_text(name)}<br>%{{x:.3g}} kVA<extra></extra>",
        )  # fmt: skip
        done += value
    figure.add_bar(
        x=[start_va / 1000], y=[0], orientation="h", width=0.5,
        marker={"color": paper(dark), "line": {"color": ink(dark), "width": 1.5},
                "pattern": {"shape": "/", "fgcolor": ink(dark), "solidity": 0.3}},
        showlegend=False,
        hovertemplate=f"{told('pictures.start', name=starts)}<br>+%{{x:.3g}} kVA<extra></extra>",
    )  # fmt: skip
    if start_va > 0:
        label(figure, (done + start_va / 2) / 1000, -0.3, told("pictures.start", name=starts[:22]),
              dark=dark, xanchor="center", yanchor="top")  # fmt: skip
    most = max([total, *(value for value, _ in limits)])
    for value, name in limits:
        figure.add_vline(x=value / 1000, line={"color": colour("bank", dark), "dash": "dot"})
        label(figure, value / 1000, 0.62, chart_text(name), dark=dark, thing="bank",
              xanchor="right" if value > 0.5 * most else "left",
              xshift=-4 if value > 0.5 * most else 4)  # fmt: skip
    figure.update_layout(barmode="stack")
    finish(figure, answer, dark=dark, height=150, legend=True)
    figure.update_yaxes(visible=False, range=[-0.6, 0.95])
    figure.update_xaxes(title=told("pictures.kva"), range=[0, most * 1.04 / 1000])
    return figure


def meter_and_table(
    hours: np.ndarray, metered_w: np.ndarray, table_w: np.ndarray, *, answer: str,
    reader: Reader = METRIC, dark: bool = False,
) -> go.Figure:  # fmt: skip
    """Average day by the meter and by the appliance table, each line named where they part."""
    figure = go.Figure()
    gap = int(np.abs(metered_w - table_w).argmax())
    higher = metered_w[gap] >= table_w[gap]
    width = hours[1] - hours[0] if len(hours) > 1 else 1.0
    for key, values, dash, up in (
        ("by_meter", metered_w, "solid", higher), ("by_table", table_w, "dash", not higher),
    ):  # fmt: skip
        name = told(f"pictures.{key}")
        figure.add_scatter(
            x=hours + width / 2, y=values / 1000, mode="lines",
            line={"color": ink(dark), "dash": dash, "width": 2.5},
            hovertemplate=f"{name}<br>%{{y:.3g}} kW<extra></extra>",
        )  # fmt: skip
        label(figure, hours[gap] + width / 2, values[gap] / 1000, name, dark=dark,
              xanchor="center", yanchor="bottom" if up else "top",
              yshift=4 if up else -4, bgcolor=paper(dark), opacity=0.9)  # fmt: skip
    hour_ticks(figure, reader)
    figure.update_yaxes(title=told("pictures.kw"), rangemode="tozero")
    return finish(figure, answer, dark=dark, height=300)
