"""From a sketch to its weather years, whichever source it names."""

from dataclasses import replace
from pathlib import Path

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.weather.climate import climate_weather, spot_of
from offgrid_sizing.weather.clock import with_clock_doubts
from offgrid_sizing.weather.cold import MADE_HERE, with_cold_of_place
from offgrid_sizing.weather.extended import extended
from offgrid_sizing.weather.files import file_weather
from offgrid_sizing.weather.monthly import monthly_weather
from offgrid_sizing.weather.online import online_weather
from offgrid_sizing.weather.samples import sample_weather
from offgrid_sizing.weather.series import Weather


def _roof(sketch: Sketch) -> tuple[float, float]:
    """Slope and azimuth of the first roof plane; without one, latitude tilt to the equator."""
    if sketch.roof_planes:
        return sketch.roof_planes[0].tilt_deg, sketch.roof_planes[0].azimuth_deg
    return abs(sketch.site.latitude_deg), 180.0 if sketch.site.latitude_deg >= 0 else 0.0


def weather_of(
    sketch: Sketch, *, base_dir: Path | str | None = None, years: int | None = None, progress=None
) -> Weather:
    """The weather years a sketch asks for, in steps of its `targets.step_h`.

    Parameters
    ----------
    sketch : Sketch
    base_dir : path, optional
        Folder that a relative weather-file path is looked for in; the working folder otherwise.
    years : int, optional
        Overrides how many synthetic years are made.
    progress : callable, optional
        Called as progress(share done from 0 to 1, sentence).

    Raises
    ------
    BadInput
        When the source cannot give weather for this place.
    """
    choice = sketch.weather
    count = choice.years if years is None else years
    spot = spot_of(sketch.site, sketch.targets.step_h)
    if choice.source == "sample":
        assert choice.sample is not None  # the model sees to it
        weather = sample_weather(choice.sample, spot)
    elif choice.source == "monthly":
        weather = monthly_weather(spot, choice, _roof(sketch), count)
    elif choice.source == "file":
        weather = file_weather(choice, spot, base_dir)
    elif choice.source in ("pvgis_typical", "pvgis_hourly", "nasa_power"):
        weather = online_weather(choice, spot, years=years, progress=progress)
    else:
        weather = climate_weather(spot, count, choice.seed)
    weather = with_clock_doubts(weather, sketch.site)
    if choice.record_low_c is not None:
        weather = replace(weather, record_low_c=choice.record_low_c)
    else:
        weather = with_cold_of_place(weather, spot)
    if choice.extended_years and weather.kind not in MADE_HERE:
        return extended(weather, choice.extended_years, choice.seed)
    return weather
