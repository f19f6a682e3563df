"""Site page, the weather: which source, what it says of light and warmth, and how sure it is."""

from collections.abc import Callable

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import explain, layout, standing, state, widgets
from offgrid_sizing.ui.parts import (
    weather_findings,
    weather_pictures,
    weather_reserve,
    weather_sources,
)
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import digits, percent, quantity
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.weather.yearly import year_light

PICTURES: dict[str, Callable[[Weather], None]] = {
    "months": weather_pictures.months,
    "days": weather_pictures.days,
    "warmth": weather_pictures.warmth,
}
SOURCES: dict[str, Callable[[Sketch], None]] = {
    "climate": weather_sources.climate,
    "monthly": weather_sources.monthly,
    "file": weather_sources.file,
    "pvgis_typical": weather_sources.online,
    "pvgis_hourly": weather_sources.online_years,
    "nasa_power": weather_sources.online_years,
    "sample": weather_sources.sample,
}


def draw(sketch: Sketch, weather: Weather | None) -> None:
    """A picture of the climate beside the choice of its source."""
    picture, controls = layout.beside("site_weather")
    with picture:
        if weather is not None:
            kind = st.segmented_control(
                t("site.weather.picture"),
                tuple(PICTURES),
                key="site_picture",
                default="months",
                format_func=lambda name: t(f"site.weather.picture_{name}"),
                required=True,
                persist_state="session",
                label_visibility="collapsed",
            )
            PICTURES[kind or "months"](weather)
            weather_findings.draw(sketch, weather)
            _how_sure(sketch, weather)
    with controls:
        chosen = _source(sketch)
        SOURCES[chosen](sketch)
        if chosen == sketch.weather.source:
            weather_sources.extending(sketch, weather)
        widgets.number("weather.record_low_c")
        if sketch.weather.record_low_c is None and weather is not None:
            low = quantity(weather.record_low_c, "record_low_c", state.reader())
            st.caption(t("site.weather.assumed_low", low=low))
        weather_reserve.draw(sketch, weather)


def _source(sketch: Sketch) -> str:
    """The source being looked at: the sketch's own until another one is picked."""
    key, now = "site_source", sketch.weather.source
    if st.session_state.get("site_source_of") != now or key not in st.session_state:
        st.session_state[key] = now
        st.session_state["site_source_of"] = now
    return st.selectbox(
        t("site.weather.source"),
        tuple(SOURCES),
        key=key,
        index=widgets.place_in(tuple(SOURCES), st.session_state[key]),
        format_func=lambda name: t(f"site.source.{name}"),
        disabled=not state.may_edit(),
        on_change=_picked,
        help=t("site.weather.source_help"),
    )


def _picked() -> None:
    """Sources that need nothing more are used at once; the others wait for their data."""
    chosen = st.session_state["site_source"]
    if chosen in ("climate", "sample"):
        weather_sources.use(chosen)


def _how_sure(sketch: Sketch, weather: Weather) -> None:
    reader = state.reader()
    low, high = (f"{'+' * (edge > 1)}{percent(edge - 1, reader)}" for edge in weather.band_frac)
    factor = digits(standing.reserve(sketch, weather), reader)
    cold = quantity(weather.record_low_c, "record_low_c", reader)
    light = year_light(weather)
    most = quantity(light.high_kwh_per_m2, "high_kwh_per_m2", reader)
    explain.row(
        (
            "site.year_light",
            f"{digits(light.low_kwh_per_m2, reader)} … {most}",
            t("site.weather.year_light"),
        ),
        ("site.band", f"{low} … {high}", t("site.weather.band")),
        ("site.reserve", f"× {factor}", t("site.weather.reserve")),
        ("site.cold", cold, t("site.weather.cold")),
    )
    st.caption(plain(weather.provenance))
    if weather.caveats:
        with st.expander(t("site.weather.caveats", count=len(weather.caveats))):
            for caveat in weather.caveats:
                st.markdown(f"- {plain(caveat)}")
