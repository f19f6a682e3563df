"""Site page: what the checks say of recorded weather, and where it can be put right."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import cached
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t
from offgrid_sizing.weather.quality import quality_of
from offgrid_sizing.weather.series import Weather

# Made-up years follow the climate they are drawn from: there is no record to doubt.
_MADE_UP = ("climate", "monthly")


def draw(sketch: Sketch, weather: Weather) -> None:
    """Warnings and notes one by one; what was found good in one place to open."""
    if sketch.weather.source in _MADE_UP:
        return
    found = cached.remember(
        "quality", cached.weather_key(sketch), lambda: quality_of(weather, sketch.site)
    )
    warnings = [finding for finding in found if finding.level == "warning"]
    for finding in warnings:
        st.warning(plain(finding.sentence), icon=":material/warning:")
    if warnings and sketch.weather.source == "file":
        st.caption(t("site.weather.findings_mend"))
    for finding in found:
        if finding.level == "note":
            st.info(plain(finding.sentence), icon=":material/info:")
    good = [finding for finding in found if finding.level == "good"]
    if good:
        with st.expander(t("site.weather.findings_good", count=len(good), of=len(found))):
            for finding in good:
                st.markdown(f"- {plain(finding.sentence)}")
