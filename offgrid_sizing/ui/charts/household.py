"""Pictures of the load: a day as it is lived, the year's hours, the largest users."""

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing import palette
from offgrid_sizing.ui.charts.lived_day import band_look, bands_of
from offgrid_sizing.ui.charts.marks import (
    chart_t,
    colour,
    finish,
    ink,
    label,
    line_look,
    month_names,
    paper,
    shown,
)
from offgrid_sizing.ui.charts.plates import hour_ticks, ticks
from offgrid_sizing.ui.plain import chart_text
from offgrid_sizing.units import METRIC, Reader, power


def users(
    names: tuple[str, ...], kwh_per_day: np.ndarray, *, answer: str, dark: bool = False
) -> go.Figure:
    """Daily energy by appliance, largest on top, each bar with its name and figure. [kWh/day]"""
    notes = [shown(value) for value in kwh_per_day]
    return _named_bars(names, kwh_per_day, notes, answer, chart_t("pictures.kwh_day"), dark)


def savings(
    names: tuple[str, ...],
    saved: np.ndarray,
    notes: list[str],
    *,
    answer: str,
    axis: str,
    dark: bool = False,
) -> go.Figure:
    """What each change saves, largest on top; `notes` stand beside the names."""
    return _named_bars(names, saved, notes, answer, axis, dark)


def _named_bars(names, values, notes, answer: str, axis: str, dark: bool) -> go.Figure:
    order = np.argsort(values)
    shown = [chart_text(names[i] if len(names[i]) <= 34 else names[i][:33] + "…") for i in order]
    rows = list(range(len(order)))
    figure = go.Figure(
        go.Bar(
            x=values[order],
            y=rows,
            orientation="h",
            width=0.34,
            marker={"color": ink(dark)},
            customdata=shown,
            hovertemplate="%{customdata}<br>%{x:.3g}<extra></extra>",
        )
    )
    for row, at in enumerate(order):
        words = f"{shown[row]}  <b>{chart_text(notes[at])}</b>"
        label(figure, 0, row + 0.16, words, dark=dark)
    finish(figure, answer, dark=dark, height=40 + 36 * max(len(rows), 3))
    figure.update_yaxes(visible=False, range=[-0.6, len(rows) - 0.1])
    most = float(values.max(initial=0)) or 1.0
    return figure.update_xaxes(range=[0, most * 1.02], title=axis)


def duration(
    share: np.ndarray,
    watts: np.ndarray,
    *,
    answer: str,
    marks: tuple[tuple[float, str], ...] = (),
    dark: bool = False,
) -> go.Figure:
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
            x=share * 100,
            y=watts / 1000,
            mode="lines",
            line=line_look("load", dark, 2.5),
            fill="tozeroy",
            fillcolor="rgba(127,127,127,0.18)",
            hovertemplate="%{x:.3g} %<br>%{y:.3g} kW<extra></extra>",
        )
    )
    for level, name in marks:
        figure.add_hline(y=level / 1000, line={"color": ink(dark), "dash": "dot", "width": 1.5})
        label(figure, 100, level / 1000, chart_text(name), dark=dark, xanchor="right")
    finish(figure, answer, dark=dark, height=300)
    figure.update_xaxes(title=chart_t("pictures.share_of_year"), range=[0, 100], ticksuffix=" %")
    figure.update_yaxes(title=chart_t("pictures.kw"), rangemode="tozero")
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
            x=middle,
            y=list(range(12)),
            z=watts / 1000,
            zmin=0,
            colorscale=[[0, low], [0.5, middling], [1, high]],
            colorbar={
                "title": {"text": chart_t("pictures.kw"), "side": "top"},
                "orientation": "h",
                "x": 0.5,
                "y": -0.16,
                "yanchor": "top",
                "thickness": 10,
                "len": 0.95,
                "outlinewidth": 0,
            },
            customdata=np.array(months)[:, None].repeat(slots, axis=1),
            hovertemplate="%{customdata} · %{x:.4g} h<br>%{z:.3g} kW<extra></extra>",
        )
    )
    month, slot = (int(i) for i in np.unravel_index(int(watts.argmax()), watts.shape))
    if watts[month, slot] > 0:
        label(
            figure,
            middle[slot],
            month,
            power(watts[month, slot], reader),
            dark=dark,
            xanchor="right" if middle[slot] > 18 else "center",
            yanchor="middle",
            bgcolor=paper(dark),
            opacity=0.9,
        )
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
            x=np.arange(24) + 0.5,
            y=np.asarray(shares) * 100,
            width=0.94,
            marker={"color": ink(dark)},
            hovertemplate="%{x:.3g} h: %{y:.3g} %<extra></extra>",
        )
    )
    hour_ticks(figure, reader, title=False)
    finish(figure, answer, dark=dark, height=90)
    figure.update_yaxes(range=[0, 100], **ticks([0, 100], " %"))
    return figure


def together(
    names: tuple[str, ...],
    va: np.ndarray,
    start_va: float,
    starts: str,
    *,
    answer: str,
    limits: tuple[tuple[float, str], ...] = (),
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
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
            x=[value / 1000],
            y=[0],
            orientation="h",
            width=0.5,
            marker=band_look(band, dark),
            name=chart_text(name if len(name) <= 30 else name[:29] + "…"),
            hovertemplate=f"{chart_text(name)}<br>%{{x:.3g}} kVA<extra></extra>",
        )
        done += value
    figure.add_bar(
        x=[start_va / 1000],
        y=[0],
        orientation="h",
        width=0.5,
        marker={
            "color": paper(dark),
            "line": {"color": ink(dark), "width": 1.5},
            "pattern": {"shape": "/", "fgcolor": ink(dark), "solidity": 0.3},
        },
        showlegend=False,
        hovertemplate=f"{chart_t('pictures.start', name=starts)}<br>+%{{x:.3g}} kVA<extra></extra>",
    )
    if start_va > 0:
        label(
            figure,
            (done + start_va / 2) / 1000,
            -0.3,
            chart_t("pictures.start", name=starts[:22]),
            dark=dark,
            xanchor="center",
            yanchor="top",
        )
    most = max([total, *(value for value, _ in limits)])
    for place, (value, name) in enumerate(limits):
        figure.add_vline(x=value / 1000, line={"color": colour("bank", dark), "dash": "dot"})
        label(
            figure,
            value / 1000,
            0.62 + 0.42 * (place % 2),  # on a phone they are as wide as the picture
            chart_text(name),
            dark=dark,
            thing="bank",
            xanchor="right" if value > 0.5 * most else "left",
            xshift=-4 if value > 0.5 * most else 4,
        )
    figure.update_layout(barmode="stack")
    finish(figure, answer, dark=dark, height=175, legend=True)
    figure.update_yaxes(visible=False, range=[-0.6, 1.4])
    figure.update_xaxes(title=chart_t("pictures.kva"), range=[0, most * 1.04 / 1000])
    return figure


def meter_and_table(
    hours: np.ndarray,
    metered_w: np.ndarray,
    table_w: np.ndarray,
    *,
    answer: str,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """Average day by the meter and by the appliance table, each line named where they part."""
    figure = go.Figure()
    gap = int(np.abs(metered_w - table_w).argmax())
    higher = metered_w[gap] >= table_w[gap]
    width = hours[1] - hours[0] if len(hours) > 1 else 1.0
    for key, values, dash, up in (
        ("by_meter", metered_w, "solid", higher),
        ("by_table", table_w, "dash", not higher),
    ):
        name = chart_t(f"pictures.{key}")
        figure.add_scatter(
            x=hours + width / 2,
            y=values / 1000,
            mode="lines",
            line={"color": ink(dark), "dash": dash, "width": 2.5},
            hovertemplate=f"{name}<br>%{{y:.3g}} kW<extra></extra>",
        )
        label(
            figure,
            hours[gap] + width / 2,
            values[gap] / 1000,
            name,
            dark=dark,
            xanchor="center",
            yanchor="bottom" if up else "top",
            yshift=4 if up else -4,
            bgcolor=paper(dark),
            opacity=0.9,
        )
    hour_ticks(figure, reader)
    figure.update_yaxes(title=chart_t("pictures.kw"), rangemode="tozero")
    return finish(figure, answer, dark=dark, height=300)
