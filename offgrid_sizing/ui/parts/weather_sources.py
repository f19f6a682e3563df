"""Site page: each weather source and what it needs before it can be used."""

from typing import Any

import streamlit as st

from offgrid_sizing.sketch import BadInput, Sketch, WeatherChoice
from offgrid_sizing.store.files import SUFFIXES
from offgrid_sizing.ui import cached, guard, state, tables, widgets
from offgrid_sizing.ui.parts import weather_years
from offgrid_sizing.ui.words import t
from offgrid_sizing.weather.picture import monthly_light
from offgrid_sizing.weather.series import Weather

SAMPLES = ("greensboro", "miami", "sand_point")
EXTENDED_YEARS = 20  # as many as the built-in climate begins with
MADE_OF_MONTHS = ("climate", "monthly")
_FETCH = "site_fetching"


def use(source: str, **changes: Any) -> bool:
    """Take a source with what it needs; nothing is changed when it cannot give weather."""
    try:
        new = _with_source(state.sketch(), source, **changes)
        cached.weather(new)
    except BadInput as fault:
        state.notice("fault", sentences=fault.sentences)
        return False
    return state.edit(new, note="weather")


def _with_source(sketch: Sketch, source: str, **changes: Any) -> Sketch:
    raw = dict(sketch.weather) | {"source": source} | changes
    if source == "sample" and raw["sample"] is None:
        raw["sample"] = SAMPLES[0]
    return sketch.model_copy(update={"weather": WeatherChoice.model_validate(raw)})


def climate(_sketch: Sketch) -> None:
    """The built-in climate: how many years, which seed."""
    st.caption(t("site.source_text.climate"))
    with st.expander(t("site.weather.years_and_seed")):
        widgets.number("weather.years")
        widgets.number("weather.seed")


def sample(sketch: Sketch) -> None:
    """One of the real typical years that come with the program."""
    st.caption(t("site.source_text.sample"))
    if sketch.weather.source == "sample":
        widgets.choice("weather.sample")


def monthly(sketch: Sketch) -> None:
    """Twelve values typed by hand, beginning with the built-in climate's."""
    st.caption(t("site.source_text.monthly"))
    if sketch.weather.source == "monthly":
        tilted = sketch.weather.monthly_tilted_peak_sun_hours_h is not None
        if tilted:
            tables.twelve("weather.monthly_tilted_peak_sun_hours_h")
            widgets.number("weather.monthly_tilt_deg")
            widgets.number("weather.monthly_azimuth_deg")
        else:
            tables.twelve("weather.monthly_ghi_kwh_per_m2_day")
        return
    for key, field in (
        ("ghi", "monthly_ghi_kwh_per_m2_day"),
        ("tilted", "monthly_tilted_peak_sun_hours_h"),
    ):
        st.button(
            t(f"site.weather.start_{key}"),
            key=f"site_monthly_{key}",
            on_click=_start_monthly,
            args=(field,),
            disabled=not state.may_edit(),
        )


def _start_monthly(field: str) -> None:
    """Begin with what the present weather says, so that the table is never empty."""
    try:
        light = monthly_light(cached.weather(state.sketch())).mean
    except BadInput as fault:
        state.notice("fault", sentences=fault.sentences)
        return
    values = tuple(float(f"{value:.3g}") for value in light)
    other = {
        "monthly_ghi_kwh_per_m2_day": None,
        "monthly_tilted_peak_sun_hours_h": None,
        "monthly_tilt_deg": 0.0 if "tilted" in field else None,
    }
    use("monthly", **(other | {field: values}))


def file(sketch: Sketch) -> None:
    """A weather file the user drops."""
    st.caption(t("site.source_text.file"))
    in_use = sketch.weather.source == "file"
    if in_use:
        st.markdown(t("site.weather.file_now", name=sketch.weather.file.split("/")[-1]))
    st.file_uploader(
        t("site.weather.drop"),
        key="site_weather_file",
        on_change=_keep_file,
        type=[suffix.lstrip(".") for suffix in SUFFIXES["weather"]],
        disabled=not state.may_edit(),
        help=t("site.weather.drop_help"),
    )
    if in_use:
        st.markdown(f"**{t('site.weather.put_right')}**")
        st.caption(t("site.weather.put_right_text"))
        widgets.choice("weather.file_stamp")
        widgets.choice("weather.file_unit")
        widgets.number("weather.file_utc_offset_h")


def _keep_file() -> None:
    dropped = st.session_state["site_weather_file"]
    if dropped is None:
        return
    try:
        ref = state.store().keep_file(dropped.name, dropped.getvalue(), "weather")
    except BadInput as fault:
        state.notice("fault", sentences=fault.sentences)
        return
    # what was said of the file before does not hold for another one
    use("file", file=ref.ref, file_stamp="auto", file_unit="auto", file_utc_offset_h=None)


def online(sketch: Sketch) -> None:
    """A typical year fetched from the network; what is there serves until it has come."""
    source = st.session_state["site_source"]
    st.caption(t(f"site.source_text.{source}"))
    if sketch.weather.source == source:
        st.caption(t("site.weather.fetched"))
    st.button(
        t("site.weather.fetch"),
        key="site_fetch",
        on_click=_begin_fetch,
        args=(source,),
        icon=":material/cloud_download:",
        disabled=not state.may_edit(),
    )
    if st.session_state.get(_FETCH) == source:
        _fetch(sketch, source)


def online_years(sketch: Sketch) -> None:
    """Several years fetched from the network: which ones, then the same."""
    left, right = st.columns(2)
    with left:
        widgets.number("weather.first_year")
    with right:
        widgets.number("weather.last_year")
    online(sketch)


def _begin_fetch(source: str) -> None:
    st.session_state[_FETCH] = source


def _fetch(sketch: Sketch, source: str) -> None:
    """Fetch beside the page: everything keeps working with the weather at hand."""
    from offgrid_sizing.weather.build import weather_of

    key = cached.weather_key(_with_source(sketch, source))
    base = state.store().lay_out_files(sketch)

    def work(progress):
        try:
            weather_of(key, base_dir=base, progress=progress)
        except BadInput as fault:
            return fault
        return None

    st.info(t("site.weather.meanwhile"), icon=":material/hourglass_top:")
    found = cached.run_long("fetch", key, work)
    if not found.fresh:
        return
    del st.session_state[_FETCH]
    if isinstance(found.value, BadInput):
        guard.say(found.value)
        st.info(t("site.weather.keep_what_is"), icon=":material/cloud_off:")
    elif use(source):
        st.rerun()


def extending(sketch: Sketch, weather: Weather | None) -> None:
    """Whether the source's own years count, or synthetic ones drawn around their means."""
    choice = sketch.weather
    if choice.source in MADE_OF_MONTHS:
        return
    key = "site_extend"
    st.session_state[key] = choice.extended_years > 0
    st.toggle(
        t("site.weather.extend"),
        key=key,
        on_change=_extend,
        disabled=not state.may_edit(),
        help=t("site.weather.extend_help"),
    )
    if choice.extended_years:
        widgets.number("weather.extended_years")
        widgets.number("weather.seed")
    elif weather is not None and weather.years == 1:
        alone = weather_years.judged(sketch, weather)
        st.caption(t("site.weather.extend_offer", years=alone))


def _extend() -> None:
    years = EXTENDED_YEARS if st.session_state["site_extend"] else 0
    use(state.sketch().weather.source, extended_years=years)
