"""Where the home stands: place, roof, weather and skyline."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import cached, cautions, layout, state
from offgrid_sizing.ui.charts.marks import month_names
from offgrid_sizing.ui.parts import (
    site_facing,
    site_place,
    site_roof,
    site_skyline,
    site_weather,
)
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import digits
from offgrid_sizing.weather.picture import monthly_light, yearly_light
from offgrid_sizing.weather.series import Weather

SECTIONS = {
    "place": site_place.draw,
    "roof": site_roof.draw,
    "facing": site_facing.draw,
    "weather": site_weather.draw,
    "skyline": site_skyline.draw,
}


def draw() -> None:
    """How much sun this place gives, and everything that decides it."""
    sketch = state.sketch()
    st.title(t("site.title"))
    weather = layout.attempt(lambda: cached.weather(sketch))
    if weather is not None:
        layout.answer(_sentence(sketch, weather))
    SECTIONS[layout.sections("site", tuple(SECTIONS))](sketch, weather)
    cautions.foot()


def _sentence(sketch: Sketch, weather: Weather) -> str:
    reader = state.reader()
    light = monthly_light(weather).mean
    low, high = int(light.argmin()), int(light.argmax())
    names = month_names()
    return t(
        "site.answer",
        place=sketch.site.name,
        year=digits(float(yearly_light(weather).mean), reader),
        low_month=names[low],
        low=digits(float(light[low]), reader, 2),
        high_month=names[high],
        high=digits(float(light[high]), reader, 2),
    )
