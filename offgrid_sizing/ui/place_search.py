"""A place by name or coordinates, and what a sketch takes over from it."""

from collections.abc import Callable

import streamlit as st

from offgrid_sizing.places import (
    Place,
    clock_of,
    nearest_place,
    parse_coordinates,
    search_places,
)
from offgrid_sizing.sketch import BadInput, Site, Sketch
from offgrid_sizing.ui import guard
from offgrid_sizing.ui.words import t, t_raw

NEAR_KM = 30.0  # further away a point does not borrow the name of its nearest place


def site_of(place: Place) -> Site:
    """A site at a place of the gazetteer."""
    return Site(
        name=place.name,
        country=place.country[:80],
        latitude_deg=place.latitude_deg,
        longitude_deg=place.longitude_deg,
        utc_offset_h=place.utc_offset_h,
        civil_zone=place.civil_zone or None,
    )


def site_at(latitude_deg: float, longitude_deg: float) -> Site:
    """A site at coordinates, named after the nearest place when one is near."""
    place, distance_km = nearest_place(latitude_deg, longitude_deg)
    zone, offset_h = clock_of(latitude_deg, longitude_deg)
    near = distance_km <= NEAR_KM
    return Site(
        name=place.name if near else t_raw("site.nameless"),
        country=place.country[:80] if near else "",
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        utc_offset_h=offset_h,
        civil_zone=zone,
    )


def moved(sketch: Sketch, site: Site) -> Sketch:
    """The sketch at another site; what was measured at the old place does not move along.

    A roof that looked straight to the equator does so again beyond it.
    """
    changes: dict = {"site": site.model_copy(update={"albedo": sketch.site.albedo})}
    before, after = sketch.site.equator_azimuth_deg, site.equator_azimuth_deg
    if before != after:
        changes["roof_planes"] = tuple(
            plane.model_copy(update={"azimuth_deg": after})
            if plane.azimuth_deg == before
            else plane
            for plane in sketch.roof_planes
        )
    if sketch.weather.source == "sample":
        weather = dict(sketch.weather) | {"source": "climate", "sample": None, "years": 20}
        changes["weather"] = type(sketch.weather)(**weather)
    return sketch.model_copy(update=changes)


def search(key: str, on_choose: Callable[[Site], None], *, disabled: bool = False) -> None:
    """A field that finds places as one types, by name or coordinates; a tap takes one."""
    typed = st.text_input(
        t("site.search"), key=f"{key}_typed", placeholder=t_raw("site.search_example"),
        type="search", live=True, disabled=disabled, persist_state="session",
    )  # fmt: skip
    if not typed.strip():
        return
    try:
        point = parse_coordinates(typed)
    except BadInput as fault:
        guard.say(fault)
        return
    if point is not None:
        site = site_at(*point)
        st.button(
            t("site.take_point", latitude=f"{point[0]:.3f}°", longitude=f"{point[1]:.3f}°"),
            key=f"{key}_point", on_click=on_choose, args=(site,), disabled=disabled,
            icon=":material/place:",
        )  # fmt: skip
        return
    found = search_places(typed, limit=8)
    if not found:
        st.info(t("site.nothing_found", typed=typed), icon=":material/search_off:")
    for number, place in enumerate(found):
        st.button(
            t("site.take_place", place=place.label), key=f"{key}_place_{number}", type="tertiary",
            on_click=_take, args=(place, on_choose), disabled=disabled,
            icon=":material/place:",
        )  # fmt: skip


def _take(place: Place, on_choose: Callable[[Site], None]) -> None:
    on_choose(site_of(place))
