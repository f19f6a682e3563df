"""Which way the array faces: one quantity over tilt and direction."""

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing import palette
from offgrid_sizing.sizing.orientation import OrientationMap
from offgrid_sizing.sketch import RoofPlane
from offgrid_sizing.ui.charts.marks import chart_t, ink, label, paper
from offgrid_sizing.ui.charts.plates import framed
from offgrid_sizing.ui.plain import chart_text
from offgrid_sizing.units import METRIC, Reader, digits, percent


def facing_map(
    found: OrientationMap,
    measure: str,
    planes: tuple[RoofPlane, ...],
    *,
    answer: str,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """All modules on one plane, turned and tilted; the best point and the drawn planes marked.

    Parameters
    ----------
    measure : str
        One of `sizing.orientation.MEASURES`.
    """
    values = found.values(measure)
    turned = unwrapped(found.azimuth_deg)
    figure = go.Figure()
    share = measure == "served"
    scale = palette.unserved_scale(dark) if share else palette.sun_scale(dark)
    figure.add_heatmap(
        x=turned,
        y=found.tilt_deg,
        z=values,
        colorscale=list(zip((0, 0.5, 1), scale, strict=True)),
        customdata=np.dstack(
            [
                np.broadcast_to(turned % 360, values.shape),
                np.vectorize(lambda v: percent(v, reader) if share else digits(v, reader))(values),
            ]
        ),
        hovertemplate=chart_t("site.facing.hover_" + measure) + "<extra></extra>",
        colorbar={
            "title": {"text": chart_t("site.facing.scale_" + measure), "side": "top"},
            "orientation": "h",
            "x": 0.5,
            "y": -0.24,
            "yanchor": "top",
            "thickness": 10,
            "len": 0.95,
            "nticks": 5,
            "tickformat": ".2~%" if share else None,
        },
    )
    _planes(figure, planes, turned, dark)
    _best(figure, found, measure, dark)
    framed(
        figure,
        answer,
        dark=dark,
        height=430,
        x=chart_t("site.facing.azimuth"),
        y=chart_t("site.facing.tilt"),
    )
    marks = turned[::3]
    figure.update_xaxes(
        tickvals=marks,
        ticktext=[f"{mark % 360:.0f}°" for mark in marks],
        range=[turned[0] - 8, turned[-1] + 8],
    )
    return figure.update_yaxes(ticksuffix="°", dtick=15, range=[-4, 94])


def unwrapped(azimuth_deg: np.ndarray) -> np.ndarray:
    """Directions without the step from 360° to 0°, rising.

    >>> [float(x) for x in unwrapped(np.array([270.0, 345.0, 60.0]))]
    [270.0, 345.0, 420.0]
    """
    return np.rad2deg(np.unwrap(np.deg2rad(azimuth_deg))).round(6)


def _planes(figure, planes: tuple[RoofPlane, ...], turned: np.ndarray, dark: bool) -> None:
    """A ring for each drawn plane that lies on the map."""
    seen = [(_on(plane.azimuth_deg, turned), plane) for plane in planes]
    seen = [(x, plane) for x, plane in seen if x is not None]
    figure.add_scatter(
        x=[x for x, _ in seen],
        y=[plane.tilt_deg for _, plane in seen],
        mode="markers",
        marker={"symbol": "circle-open", "size": 15, "color": ink(dark), "line": {"width": 2.5}},
        text=[chart_text(plane.name) for _, plane in seen],
        hovertemplate="%{text}<extra></extra>",
    )


def _on(azimuth_deg: float, turned: np.ndarray) -> float | None:
    """Where a direction lies on the axis; None outside."""
    for turn in (0, 360):
        if turned[0] <= azimuth_deg + turn <= turned[-1]:
            return azimuth_deg + turn
    return None


def _best(figure, found: OrientationMap, measure: str, dark: bool) -> None:
    tilt, azimuth = found.best(measure)
    x = float(unwrapped(found.azimuth_deg)[found.azimuth_deg == azimuth][0])
    figure.add_scatter(
        x=[x],
        y=[tilt],
        mode="markers",
        hoverinfo="skip",
        marker={
            "symbol": "diamond",
            "size": 13,
            "color": paper(dark),
            "line": {"width": 2, "color": ink(dark)},
        },
    )
    below = tilt > 45
    label(
        figure,
        x,
        tilt,
        chart_t("site.facing.best"),
        dark=dark,
        yshift=-14 if below else 14,
        xanchor="center",
        yanchor="top" if below else "bottom",
        bgcolor=paper(dark),
        opacity=0.88,
    )
