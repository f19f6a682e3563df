"""Sun and air, as a section of a summary."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from offgrid_sizing.report import charts_svg
from offgrid_sizing.report.model import Block, Cell, Notes, Section, Table
from offgrid_sizing.report.sections.energy import LONG_MONTHS
from offgrid_sizing.report.svg import MONTHS
from offgrid_sizing.units import digits
from offgrid_sizing.weather.picture import monthly_air
from offgrid_sizing.weather.report import monthly_ghi_kwh_per_m2_day

if TYPE_CHECKING:
    from offgrid_sizing.simulation import Simulation


def weather_section(simulation: Simulation) -> Section:
    """Sun and air at the place, where the numbers came from, and what to beware of."""
    weather = simulation.inputs.weather
    daily = monthly_ghi_kwh_per_m2_day(weather)
    temp = monthly_air(weather).mean
    mean, low, high = daily.mean(axis=0), daily.min(axis=0), daily.max(axis=0)
    worst, best = int(np.argmin(mean)), int(np.argmax(mean))
    title = (
        f"{LONG_MONTHS[worst]} has {digits(mean[worst])} kWh/m² a day, "
        f"{LONG_MONTHS[best]} {digits(mean[best])}"
    )
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (MONTHS[m], *(round(float(v[m]), 3) for v in (mean, low, high)), round(float(temp[m]), 2))
        for m in range(12)
    )
    head = ("Month", "Mean", "Poorest year", "Best year", "Air, °C")
    table = Table("Sun on the horizontal, kWh/m² a day", head, rows)
    small, large = weather.band_frac
    caveats = [*weather.caveats]
    if (small, large) != (1.0, 1.0):
        caveats.append(
            f"For this source the array truly needed may lie between {digits(small)} and "
            f"{digits(large)} times the one found."
        )
    blocks: list[Block] = [charts_svg.sun_by_month(title, mean, low, high, temp), table]
    if caveats:
        blocks.append(Notes("To bear in mind", tuple(caveats)))
    plural = "year" if weather.years == 1 else "years"
    sentence = f"{weather.provenance} {weather.years} weather {plural}."
    return Section("weather", "Sun and air", sentence, tuple(blocks))
