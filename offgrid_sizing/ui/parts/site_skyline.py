"""Site page, the skyline: what hides the sun, and the sun's way over it."""

from collections.abc import Callable

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.sketch import BadInput, HorizonPoint, Obstacle, Site, Sketch
from offgrid_sizing.ui import charts, layout, state, tables, theme
from offgrid_sizing.ui.charts import climate as pictures
from offgrid_sizing.ui.charts.marks import chart_t, month_names
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import digits
from offgrid_sizing.weather.horizon import horizon_elevation_deg, read_horizon
from offgrid_sizing.weather.online import horizon_online
from offgrid_sizing.weather.picture import sun_tracks
from offgrid_sizing.weather.series import Weather


def draw(sketch: Sketch, weather: Weather | None) -> None:
    """The sun's way beside the tables of skyline and obstacles."""
    picture, controls = layout.beside("site_skyline")
    if weather is not None:
        with picture:
            _sun_way(sketch, weather)
    with controls:
        st.markdown(f"**{t('site.skyline.profile')}**")
        tables.rows("horizon", HorizonPoint, ("azimuth_deg", "elevation_deg"))
        st.file_uploader(
            t("site.skyline.file"),
            type=("csv", "txt", "hor"),
            key="site_horizon_file",
            on_change=_read_file,
            disabled=not state.may_edit(),
            help=t("site.skyline.file_help"),
        )
        st.button(
            t("site.skyline.ask"),
            key="site_horizon_ask",
            icon=":material/landscape:",
            on_click=_ask,
            args=(sketch.site,),
            disabled=not state.may_edit(),
            help=t("site.skyline.ask_help"),
            width="stretch",
        )
    st.markdown(f"**{t('site.skyline.obstacles')}**")  # six columns: as wide as the page
    tables.rows(
        "obstacles",
        Obstacle,
        (
            "name",
            "azimuth_from_deg",
            "azimuth_to_deg",
            "elevation_from_deg",
            "elevation_to_deg",
            "transmittance_frac",
        ),
    )


def _sun_way(sketch: Sketch, weather: Weather) -> None:
    names, reader = month_names(), state.reader()
    tracks = [
        (f"{one.day} {names[one.month - 1]}", one.azimuth_deg, one.elevation_deg, one.hour)
        for one in sun_tracks(weather)
    ]
    skyline = None
    if sketch.horizon:
        compass = np.arange(0, 361, 2.0)
        skyline = compass, horizon_elevation_deg(sketch.horizon, compass)
    boxes = [
        (
            one.name,
            one.azimuth_from_deg,
            one.azimuth_to_deg,
            one.elevation_from_deg,
            one.elevation_to_deg,
        )
        for one in sketch.obstacles
    ]
    planes = [(plane.name, plane.azimuth_deg) for plane in sketch.roof_planes]
    heights = [float(one[2].max()) if len(one[2]) else 0.0 for one in tracks]
    lowest = min(range(len(tracks)), key=heights.__getitem__)
    answer = chart_t(
        "site.skyline.answer", day=tracks[lowest][0], height=f"{digits(heights[lowest], reader)}°"
    )
    figure = pictures.sun_way(
        tracks,
        skyline,
        boxes,
        planes,
        answer=answer,
        north_centred=sketch.site.latitude_deg < 0,
        dark=theme.is_dark(),
    )
    table = pd.concat(
        pd.DataFrame({"day": name, "hour": hour, "azimuth_deg": azimuth, "elevation_deg": height})
        for name, azimuth, height, hour in tracks
    )
    charts.show(figure, "site_sun_way", answer, data=table)


def _read_file() -> None:
    dropped = st.session_state["site_horizon_file"]
    if dropped is None:
        return
    _take(lambda: read_horizon(dropped.getvalue()))


def _ask(site: Site) -> None:
    _take(lambda: horizon_online(site.latitude_deg, site.longitude_deg))


def _take(find: Callable[[], tuple[HorizonPoint, ...]]) -> None:
    """What was found becomes the sketch's skyline; what was not is said."""
    try:
        points = find()
    except BadInput as fault:
        state.notice("fault", sentences=fault.sentences)
        return
    state.edit(lambda sketch: sketch.model_copy(update={"horizon": points}), note="horizon")
