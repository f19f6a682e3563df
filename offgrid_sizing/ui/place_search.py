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

SHOWN, SHOWN_BESIDE = 8, 4  # places on offer, and beside the one that was taken
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


def search(
    key: str, on_choose: Callable[[Site], bool], now: Site | None, *, disabled: bool = False
) -> None:
    """A field that finds places as one types, by name or coordinates.

    Enter, or the button, takes the best match; a tap takes any. What cannot be taken is said.
    `on_choose` tells whether it was taken; `now` is the site that was taken last.
    """
    field, button = st.columns([2, 1], vertical_alignment="bottom", gap="small")
    typed = field.text_input(
        t("site.search"),
        key=f"{key}_typed",
        placeholder=t_raw("site.search_example"),
        type="search",
        live=True,
        disabled=disabled,
        persist_state="session",
    ).strip()
    button.button(
        t("site.take_best"),
        key=f"{key}_confirm",
        on_click=_confirm,
        args=(key, on_choose),
        disabled=disabled,
        width="stretch",
    )
    taken = _taken(key, typed, now)
    if taken:
        st.success(t("site.taken", place=taken), icon=":material/place:")
    if not typed:
        if st.session_state.get(f"{key}_confirmed", ("?",))[0] == "":
            st.info(t("site.type_first"), icon=":material/edit:")
        return
    try:
        point = parse_coordinates(typed)
    except BadInput as fault:
        guard.say(fault)
        return
    if point is not None:
        _offer_point(key, point, on_choose, disabled=disabled)
    else:
        _offer_places(key, typed, taken, on_choose, disabled=disabled)


def listen() -> None:
    """Let Enter in a search field press the button beside it: once a window, in the frame."""
    st.html(_ENTER_TAKES, unsafe_allow_javascript=True)


# The field sends its value in the drawing that follows the key; 100 ms after it is sent.
_ENTER_TAKES = """
<script>
if (!window.offgridEnterTakes) {
  window.offgridEnterTakes = true;
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.isComposing) return;
    const field = event.target.closest?.('[class*="_typed"]');
    const key = field && /st-key-(\\w+)_typed/.exec(field.className)?.[1];
    if (!key) return;
    setTimeout(() => document.querySelector(`.st-key-${key}_confirm button`)?.click(), 100);
  }, true);
}
</script>
"""


def _offer_point(key: str, point: tuple[float, float], on_choose, *, disabled: bool) -> None:
    st.button(
        t("site.take_point", latitude=f"{point[0]:.3f}°", longitude=f"{point[1]:.3f}°"),
        key=f"{key}_point",
        on_click=on_choose,
        args=(site_at(*point),),
        disabled=disabled,
        icon=":material/place:",
    )


def _offer_places(key: str, typed: str, taken: str | None, on_choose, *, disabled: bool) -> None:
    found = search_places(typed, limit=SHOWN)
    if not found:
        post_code = any(letter.isdigit() for letter in typed)
        words = "site.no_post_codes" if post_code else "site.nothing_found"
        st.info(t(words, typed=typed), icon=":material/search_off:")
    others = found[1 : 1 + SHOWN_BESIDE] if taken else found
    if taken and others:
        st.caption(t("site.others"))
    for number, place in enumerate(others):
        st.button(
            t("site.take_place", place=place.label),
            key=f"{key}_place_{number}",
            type="tertiary",
            on_click=_take,
            args=(key, place, on_choose),
            disabled=disabled,
            icon=":material/place:",
        )


def _taken(key: str, typed: str, now: Site | None) -> str | None:
    """Name of the best match of what is typed, where it was taken and still holds."""
    then, name, at = st.session_state.get(f"{key}_confirmed", ("", None, None))
    holds = now is not None and at == (now.latitude_deg, now.longitude_deg)
    return name if typed and then == typed and holds else None


def _take(key: str, place: Place, on_choose: Callable[[Site], bool]) -> None:
    on_choose(site_of(place))
    st.session_state[f"{key}_typed"] = ""
    st.session_state.pop(f"{key}_confirmed", None)


def _confirm(key: str, on_choose: Callable[[Site], bool]) -> None:
    """Take the best match of what is typed; the others stay on offer, faults are said below."""
    typed = st.session_state[f"{key}_typed"].strip()
    name, site = _best(typed)
    if site is not None and on_choose(site):
        at = (site.latitude_deg, site.longitude_deg)
        st.session_state[f"{key}_confirmed"] = (typed, name, at)
    else:
        st.session_state[f"{key}_confirmed"] = (typed, None, None)


def _best(typed: str) -> tuple[str, Site | None]:
    """Name and site of the best match; None where there is none."""
    try:
        point = parse_coordinates(typed)
    except BadInput:  # off the Earth: said where it is typed
        return "", None
    if point is not None:
        site = site_at(*point)
        return ", ".join(part for part in (site.name, site.country) if part), site
    found = search_places(typed, limit=SHOWN)
    return (found[0].label, site_of(found[0])) if found else ("", None)
