"""Site page, the place: by name, by a click on the map, by coordinates."""

import streamlit as st

from offgrid_sizing.places import altitude_m
from offgrid_sizing.sketch import Site, Sketch
from offgrid_sizing.ui import layout, place_search, state, widgets
from offgrid_sizing.ui.charts.worldmap import pick_place
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import quantity
from offgrid_sizing.weather.clock import clock_doubt
from offgrid_sizing.weather.series import Weather


def draw(sketch: Sketch, _weather: Weather | None) -> None:
    """The map beside search, coordinates, height and clock."""
    picture, controls = layout.beside("site_place")
    site = sketch.site
    with picture:
        st.markdown(f"**{t('site.map_title', place=site.name)}**")
        pick_place(
            "site_map", site.latitude_deg, site.longitude_deg, _pick, disabled=not state.may_edit()
        )
    with controls:
        place_search.search("site", choose, site, disabled=not state.may_edit())
        widgets.text("site.name")
        left, right = st.columns(2)
        with left:
            widgets.number("site.latitude_deg")
        with right:
            widgets.number("site.longitude_deg")
        widgets.number("site.elevation_m")
        if site.elevation_m is None:
            height = altitude_m(site.latitude_deg, site.longitude_deg)
            shown = quantity(height, "elevation_m", state.reader())
            st.caption(t("site.assumed_height", height=shown))
        doubt = clock_doubt(site)
        if doubt is not None:
            st.warning(plain(doubt), icon=":material/schedule:")
        with st.expander(t("site.clock"), expanded=doubt is not None):
            widgets.number("site.utc_offset_h")
            widgets.text("site.civil_zone")
            widgets.number("site.albedo")


def choose(site: Site) -> bool:
    """Move the sketch to this site; whether it was."""
    return state.edit(lambda sketch: place_search.moved(sketch, site), note="site")


def _pick(latitude_deg: float, longitude_deg: float) -> None:
    choose(place_search.site_at(latitude_deg, longitude_deg))
