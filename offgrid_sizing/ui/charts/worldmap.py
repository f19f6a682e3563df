"""A map to click a place on: coastlines as plain lines, so it works without a network."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
import plotly.graph_objects as go
import streamlit as st

from offgrid_sizing.paths import data_dir
from offgrid_sizing.ui import charts, theme
from offgrid_sizing.ui.charts.marks import colour, separators
from offgrid_sizing.ui.charts.template import FAINT, figure
from offgrid_sizing.ui.words import t, t_raw

BREAK = -32768
# (width in degrees, spacing of the points one can click); each click leads one closer
LEVELS = ((360.0, 3.0), (40.0, 0.5), (8.0, 0.1))
NORTH, SOUTH = 80.0, -58.0


@dataclass(frozen=True)
class View:
    """What part of the world is shown: the middle, and how close (an index of `LEVELS`)."""

    latitude_deg: float = 11.0
    longitude_deg: float = 0.0
    level: int = 0

    @property
    def box(self) -> tuple[float, float, float, float]:
        """West, east, south, north."""
        if self.level == 0:
            return -180.0, 180.0, SOUTH, NORTH
        half = LEVELS[self.level][0] / 2
        south = max(self.latitude_deg - half * 0.5, -90.0)
        return (
            self.longitude_deg - half,
            self.longitude_deg + half,
            south,
            min(south + half, 90.0),
        )

    def closer(self, latitude_deg: float, longitude_deg: float) -> "View":
        """One step closer round a place."""
        return View(latitude_deg, longitude_deg, min(self.level + 1, len(LEVELS) - 1))


@cache
def coastline(detail: str) -> tuple[np.ndarray, np.ndarray]:
    """Longitude and latitude of the land's outline, NaN between lines: `world` or `near`."""
    with np.load(data_dir() / "coastlines.npz") as stored:
        lon, lat = (stored[f"{detail}_{axis}"] for axis in ("lon", "lat"))
    gap = lon == BREAK
    return tuple(np.where(gap, np.nan, axis / 100).astype(np.float32) for axis in (lon, lat))


def _coast_in(view: View) -> tuple[np.ndarray, np.ndarray]:
    lon, lat = coastline("world" if view.level == 0 else "near")
    if view.level == 0:
        return lon, lat
    west, east, south, north = view.box
    margin = 2.0
    pieces = []
    for turn in (-360, 0, 360):  # a map across ±180° sees the coast from the other side too
        turned = lon + turn
        inside = (
            (turned > west - margin)
            & (turned < east + margin)
            & (lat > south - margin)
            & (lat < north + margin)
        )
        near = inside | np.roll(inside, 1) | np.roll(inside, -1)
        pieces.append((np.where(near, turned, np.nan), np.where(near, lat, np.nan)))
    x, y = (np.concatenate([piece[axis] for piece in pieces]) for axis in (0, 1))
    use = ~(np.isnan(x) & np.isnan(np.roll(x, 1)))  # of a run of gaps one is enough
    return x[use].astype(np.float32), y[use].astype(np.float32)


def _grid(view: View) -> tuple[np.ndarray, np.ndarray]:
    west, east, south, north = view.box
    step = LEVELS[view.level][1]
    lons = np.arange(np.ceil(west / step), np.floor(east / step) + 1) * step
    lats = np.arange(np.ceil(south / step), np.floor(north / step) + 1) * step
    x, y = np.meshgrid(lons, lats)
    return x.ravel().astype(np.float32), y.ravel().astype(np.float32)


def map_figure(view: View, latitude_deg: float, longitude_deg: float, *, dark: bool) -> go.Figure:
    """The map with the chosen place ringed.

    A grid of unseen points lies over it; a click anywhere takes the nearest.
    """
    chart = figure(dark, height=400)
    lon, lat = _coast_in(view)
    chart.add_scatter(
        x=lon,
        y=lat,
        mode="lines",
        line={"color": colour("load", dark), "width": 1},
        hoverinfo="skip",
        showlegend=False,
    )
    x, y = _grid(view)
    chart.add_scatter(
        x=x,
        y=y,
        mode="markers",
        marker={"opacity": 0, "size": 6},
        showlegend=False,
        selected={"marker": {"opacity": 0}},
        unselected={"marker": {"opacity": 0}},
        hovertemplate="%{y:.1f}°, %{x:.1f}°<extra></extra>",
    )
    west, east, south, north = view.box
    shift = next((turn for turn in (0, 360, -360) if west <= longitude_deg + turn <= east), 0)
    chart.add_scatter(
        x=[longitude_deg + shift],
        y=[latitude_deg],
        mode="markers",
        hoverinfo="skip",
        showlegend=False,
        marker={
            "size": 16,
            "color": "rgba(0,0,0,0)",
            "line": {"color": colour("unserved", dark), "width": 3},
        },
    )
    axis = {"showticklabels": view.level > 0, "ticksuffix": "°", "fixedrange": True}
    chart.update_layout(
        hoverdistance=-1,
        separators=separators(),
        clickmode="event+select",
        xaxis=axis | {"range": [west, east], "gridcolor": FAINT[dark], "constrain": "domain"},
        yaxis=axis | {"range": [south, north], "scaleanchor": "x", "constrain": "domain"},
        margin={"l": 0, "r": 0, "t": 8, "b": 0},
    )
    return chart


def pick_place(
    key: str,
    latitude_deg: float,
    longitude_deg: float,
    on_pick: Callable[[float, float], None],
    *,
    disabled: bool = False,
) -> None:
    """The map on the page; each click calls `on_pick(latitude, longitude)` and comes closer."""
    held = st.session_state.setdefault(f"{key}_map", {"view": View(), "count": 0})
    widget = f"{key}_{held['count']}"
    charts.show(
        map_figure(held["view"], latitude_deg, longitude_deg, dark=theme.is_dark()),
        widget,
        t_raw("common.pick_on_map"),
        on_select=None if disabled else lambda: _picked(key, widget, on_pick),
    )
    note, button = st.columns([3, 1], vertical_alignment="center")
    note.caption(t("common.pick_on_map" if held["view"].level == 0 else "common.closer"))
    button.button(t("common.world"), key=f"{key}_world", on_click=_world, args=(key,))


def _picked(key: str, widget: str, on_pick: Callable[[float, float], None]) -> None:
    points = st.session_state[widget]["selection"]["points"]
    if not points:
        return
    latitude = round(float(points[0]["y"]), 4)
    longitude = round((float(points[0]["x"]) + 180) % 360 - 180, 4)
    held = st.session_state[f"{key}_map"]
    held["view"] = held["view"].closer(latitude, longitude)
    held["count"] += 1  # a new widget: the old selection would be picked again
    on_pick(latitude, longitude)


def _world(key: str) -> None:
    held = st.session_state[f"{key}_map"]
    held["view"] = View()
    held["count"] += 1
