"""Pictures of the place's weather: light by month and day, warmth, the sun's way over the sky."""

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing.palette import COLD
from offgrid_sizing.ui.charts.marks import (
    bar_look,
    chart_t,
    colour,
    faint,
    finish,
    ink,
    month_names,
    shown,
)
from offgrid_sizing.ui.charts.plates import framed, plate, ticks
from offgrid_sizing.ui.plain import chart_text


def monthly_light(
    mean: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
    *,
    answer: str,
    dark: bool = False,
) -> go.Figure:
    """Daily light of each month with the spread between weather years.

    Parameters
    ----------
    mean, low, high : arrays, shape (12,)
        Daily irradiation; low and high are the edges of the spread. [kWh/m²]
    """
    months = month_names()
    several = bool(np.any(high - low > 1e-9))
    figure = go.Figure(
        go.Bar(
            x=months,
            y=mean,
            marker=bar_look("pv", dark),
            error_y={
                "type": "data",
                "array": high - mean,
                "arrayminus": mean - low,
                "color": ink(dark),
                "thickness": 1.6,
                "visible": several,
            },
            customdata=np.column_stack([low, high]),
            hovertemplate="%{x}<br>%{y:.3g} kWh/m²"
            + (" (%{customdata[0]:.3g}–%{customdata[1]:.3g})" if several else "")
            + "<extra></extra>",
        )
    )
    for month in {int(mean.argmin()), int(mean.argmax())}:
        plate(figure, months[month], high[month], shown(mean[month], 2), dark=dark, yshift=10)
    framed(figure, answer, y=chart_t("pictures.light"), dark=dark)
    figure.update_yaxes(range=[0, max(float(high.max()) * 1.15, 0.1)])
    figure.update_xaxes(type="category")
    return figure


def year_of_days(
    day: np.ndarray,
    low: np.ndarray | None,
    high: np.ndarray | None,
    dates: list,
    *,
    answer: str,
    dark: bool = False,
) -> go.Figure:
    """Light of each day of one year, over the band in which the day falls in other years.

    Parameters
    ----------
    day : array, shape (365,)
        [kWh/m²]
    low, high : arrays, shape (365,), or None
        Edges of the band over all weather years; None with a single year.
    """
    figure = go.Figure()
    if low is not None and high is not None:
        figure.add_scatter(x=dates, y=high, mode="lines", line={"width": 0}, hoverinfo="skip")
        figure.add_scatter(
            x=dates,
            y=low,
            mode="lines",
            line={"width": 0},
            fill="tonexty",
            fillcolor="rgba(230,159,0,0.22)",
            hoverinfo="skip",
        )
        at = int(np.argmax(high))
        plate(figure, dates[at], high[at], chart_t("pictures.band"), dark=dark, yshift=10)
    figure.add_scatter(
        x=dates,
        y=day,
        mode="lines",
        line={"color": colour("pv", dark), "width": 1.4},
        hovertemplate="%{x|%d %b}<br>%{y:.3g} kWh/m²<extra></extra>",
    )
    darkest = int(day.argmin())
    plate(figure, dates[darkest], day[darkest], chart_t("pictures.darkest"), dark=dark, yshift=-10)
    framed(figure, answer, y=chart_t("pictures.light"), dark=dark)
    figure.update_xaxes(tickformat="%b", dtick="M2")
    figure.update_yaxes(rangemode="tozero")
    return figure


def warmth(
    mean: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
    *,
    limit: float,
    unit: str,
    answer: str,
    dark: bool = False,
) -> go.Figure:
    """Air temperature by month with its range, and the cold limit that string voltage reckons with.

    All temperatures are given in the shown `unit`; arrays have shape (12,).
    """
    months = month_names()
    figure = go.Figure()
    figure.add_scatter(x=months, y=high, mode="lines", line={"width": 0}, hoverinfo="skip")
    figure.add_scatter(
        x=months,
        y=low,
        mode="lines",
        line={"width": 0},
        fill="tonexty",
        fillcolor=faint(dark),
        hoverinfo="skip",
    )
    figure.add_scatter(
        x=months,
        y=mean,
        mode="lines+markers",
        line={"color": ink(dark), "width": 2.2},
        customdata=np.column_stack([low, high]),
        hovertemplate="%{x}<br>%{y:.3g} "
        + unit
        + " (%{customdata[0]:.3g}–%{customdata[1]:.3g})<extra></extra>",
    )
    figure.add_hline(y=limit, line={"color": COLD, "dash": "dash", "width": 2})
    plate(figure, months[6], limit, chart_t("pictures.limit"), dark=dark, yshift=10)
    framed(figure, answer, y=chart_t("pictures.air"), dark=dark)
    figure.update_xaxes(type="category")
    return figure


def sun_way(
    tracks: list[tuple[str, np.ndarray, np.ndarray, np.ndarray]],
    skyline: tuple[np.ndarray, np.ndarray] | None,
    boxes: list[tuple[str, float, float, float, float]],
    planes: list[tuple[str, float]],
    *,
    answer: str,
    north_centred: bool = False,
    dark: bool = False,
) -> go.Figure:
    """The sun over the sky on chosen days, with skyline, obstacles and where the roof looks.

    Parameters
    ----------
    tracks : list of (name, azimuth_deg, elevation_deg, hour)
        Arrays of one length a day, only while the sun is up.
    skyline : (azimuth_deg, elevation_deg) or None
    boxes : list of (name, azimuth_from, azimuth_to, elevation_from, elevation_to)
    planes : list of (name, azimuth_deg)
    north_centred : bool
        South of the equator the picture looks north.
    """
    figure = go.Figure()
    dashes = ("solid", "dash", "dot")
    if skyline is not None:
        x, y = _turned(skyline[0], north_centred), skyline[1]
        order = np.argsort(x)
        figure.add_scatter(
            x=x[order],
            y=y[order],
            mode="lines",
            fill="tozeroy",
            line={"color": ink(dark)},
            fillcolor="rgba(127,127,127,0.35)",
            name=chart_t("pictures.skyline"),
            hovertemplate="%{y:.3g}°<extra></extra>",
        )
    for name, left, right, low, high in boxes:
        for a, b in _stretches(left, right, north_centred):
            figure.add_shape(
                type="rect",
                x0=a,
                x1=b,
                y0=low,
                y1=high,
                fillcolor="rgba(127,127,127,0.35)",
                line={"color": ink(dark), "dash": "dot"},
            )
            plate(figure, (a + b) / 2, high, chart_text(name), dark=dark, yshift=9)
    for index, (name, azimuth, elevation, hour) in enumerate(tracks):
        x = _turned(azimuth, north_centred)
        way, height, time = _parted(hour, x, elevation, hour)
        figure.add_scatter(
            x=way,
            y=height,
            mode="lines+markers",
            connectgaps=False,
            line={"color": colour("pv", dark), "dash": dashes[index % 3], "width": 2},
            marker={"size": 4},
            customdata=time,
            hovertemplate=name + "<br>%{customdata:.3g} h · %{y:.3g}°<extra></extra>",
        )
        at = int(elevation.argmax()) if len(elevation) else None
        if at is not None:
            # beside its line: a plane's name stands on the other side, and is long
            beside = {"xanchor": "left", "xshift": 8, "yshift": 10}
            plate(figure, x[at], elevation[at], name, dark=dark, **beside)
    for name, azimuth in planes:
        at = float(_turned(np.array([azimuth]), north_centred)[0])
        figure.add_vline(x=at, line={"color": colour("bank", dark), "dash": "dashdot"})
        plate(
            figure, at, 4, chart_text(name), dark=dark, textangle=-90, xshift=-9, yanchor="bottom"
        )
    framed(
        figure,
        answer,
        x=chart_t("pictures.azimuth"),
        y=chart_t("pictures.elevation"),
        dark=dark,
        height=380,
    )
    centre = 0 if north_centred else 180
    quarters = [centre - 180, centre - 90, centre, centre + 90, centre + 180]
    marks = [chart_t(f"pictures.{mark}") for mark in ("n", "e", "s", "w")]
    figure.update_xaxes(
        range=[centre - 180, centre + 180],
        tickvals=quarters,
        ticktext=[marks[round(tick % 360 / 90) % 4] for tick in quarters],
    )
    figure.update_yaxes(range=[0, 92], **ticks([0, 30, 60, 90], "°"))
    return figure


def _turned(azimuth: np.ndarray, north_centred: bool) -> np.ndarray:
    azimuth = np.asarray(azimuth, dtype=float)
    return (azimuth + 180) % 360 - 180 if north_centred else azimuth


def _parted(hour: np.ndarray, x: np.ndarray, *others: np.ndarray) -> tuple[np.ndarray, ...]:
    """A day's way in the order of time, with a gap where it leaves one edge for the other.

    In the tropics the sun turns back on its way round, so the direction is no order to draw in.
    """
    order = np.argsort(hour)
    steps = np.diff(hour[order])
    leaps = np.abs(np.diff(x[order])) > 180
    if len(steps):
        leaps |= steps > 2 * np.median(steps)  # a clock that splits the day at midnight
    where = np.flatnonzero(leaps) + 1
    return tuple(np.insert(part[order].astype(float), where, np.nan) for part in (x, *others))


def _stretches(left: float, right: float, north_centred: bool) -> list[tuple[float, float]]:
    """A box round the compass as one or two pieces of the picture's x."""
    span = (right - left) % 360 or (360 if left != right else 0)
    start = float(_turned(np.array([left]), north_centred)[0])
    edge = 180 if north_centred else 360
    if start + span <= edge:
        return [(start, start + span)]
    return [(start, edge), (edge - 360, start + span - 360)]


def planes(
    names: tuple[str, ...], kwh_per_day: np.ndarray, *, answer: str, dark: bool = False
) -> go.Figure:
    """What one module gives a day by month, a line a roof plane.

    Parameters
    ----------
    kwh_per_day : array, shape (planes, 12)
        [kWh/day]
    """
    dashes, marks = ("solid", "dash", "dot", "dashdot"), ("circle", "square", "diamond", "x")
    figure = go.Figure()
    months = month_names()
    for index, (name, row) in enumerate(zip(names, kwh_per_day, strict=True)):
        figure.add_scatter(
            x=months,
            y=row,
            mode="lines+markers",
            name=chart_text(name[:24]),
            line={"color": colour("pv", dark), "dash": dashes[index % 4], "width": 2},
            marker={"symbol": marks[index % 4], "size": 6},
            hovertemplate=f"{chart_text(name)}<br>%{{x}}: %{{y:.3g}} kWh<extra></extra>",
        )
    finish(figure, answer, dark=dark, height=300, legend=len(names) > 1)
    figure.update_yaxes(title=chart_t("pictures.module_kwh"), rangemode="tozero")
    figure.update_xaxes(type="category")
    return figure
