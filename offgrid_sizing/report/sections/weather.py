"""Sun and air, as a section of a summary."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from offgrid_sizing.report import charts_svg
from offgrid_sizing.report.model import Block, Cell, Notes, Section, Table
from offgrid_sizing.report.spoken import LONG_MONTHS, MONTHS, figure
from offgrid_sizing.weather.picture import monthly_air
from offgrid_sizing.weather.report import monthly_ghi_kwh_per_m2_day
from offgrid_sizing.weather.yearly import year_light
from offgrid_sizing.words import capital, sentence

if TYPE_CHECKING:
    from offgrid_sizing.simulation import Simulation


def weather_section(simulation: Simulation) -> Section:
    """Sun and air at the place, where the numbers came from, and what to beware of."""
    weather = simulation.inputs.weather
    daily = monthly_ghi_kwh_per_m2_day(weather)
    temp = monthly_air(weather).mean
    mean, low, high = daily.mean(axis=0), daily.min(axis=0), daily.max(axis=0)
    worst, best = int(np.argmin(mean)), int(np.argmax(mean))
    title = sentence(
        "paper_energy.sun_title",
        worst=capital(LONG_MONTHS[worst]),
        low=figure(mean[worst]),
        best=LONG_MONTHS[best],
        high=figure(mean[best]),
    )
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (MONTHS[m], *(round(float(v[m]), 3) for v in (mean, low, high)), round(float(temp[m]), 2))
        for m in range(12)
    )
    head = tuple(
        sentence(f"paper_energy.col_{key}") for key in ("month", "mean", "poorest", "best", "air")
    )
    table = Table(sentence("paper_energy.sun_table"), head, rows)
    small, large = weather.band_frac
    light = year_light(weather)
    year = sentence(
        "paper_energy.year_light",
        mean=figure(light.mean_kwh_per_m2),
        low=figure(light.low_kwh_per_m2),
        high=figure(light.high_kwh_per_m2),
    )
    caveats = [year, *weather.caveats]
    if (small, large) != (1.0, 1.0):
        caveats.append(sentence("paper_energy.band", low=figure(small), high=figure(large)))
    blocks: list[Block] = [charts_svg.sun_by_month(title, mean, low, high, temp), table]
    blocks.append(Notes(sentence("paper_energy.caveats"), tuple(caveats)))
    answer = sentence(
        "paper_energy.weather_sentence", provenance=weather.provenance, years=weather.years
    )
    return Section("weather", sentence("paper_energy.weather_title"), answer, tuple(blocks))
