"""Charge priorities side by side: one week, the year's totals, the regret, a tuned blend."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import answers, cautions, layout, navigation, state, steps
from offgrid_sizing.ui.parts import (
    strategies_regret,
    strategies_tune,
    strategies_week,
    strategies_year,
    weather_years,
)
from offgrid_sizing.ui.parts.strategies_year import name_of
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import duration, kwh, money

SECTIONS = {
    "year": strategies_year.draw,
    "week": strategies_week.draw,
    "regret": strategies_regret.draw,
    "tune": strategies_tune.draw,
}


def draw() -> None:
    """The same home under every priority."""
    sketch = state.sketch()
    st.title(t("strategies.title"))
    if sketch.grid.kind == "none":
        layout.answer(t("strategies.no_grid"))
        navigation.link("grid")
    else:
        _compared(sketch)
    steps.onward("strategies")
    cautions.foot()


def _compared(sketch: Sketch) -> None:
    found = layout.attempt(lambda: answers.strategies(sketch))
    years = found.value if found else None
    if years:
        with found.dimmed():
            layout.answer(_sentence(years))
    section = layout.sections("strategies", tuple(SECTIONS))
    if years:
        with found.dimmed():
            SECTIONS[section](sketch, found)


def _sentence(years) -> str:
    reader = state.reader()
    cheap = min(years, key=lambda one: one.energy_cost_per_year)
    safe = max(years, key=lambda one: one.ride_through_h)
    values = {
        "cheap": name_of(cheap.kind),
        "cost": money(cheap.energy_cost_per_year, reader),
        "year": weather_years.judged_named(cheap.simulation),
        "grid": kwh(1000 * cheap.simulation.metrics.grid_import_kwh, reader),
        "safe": name_of(safe.kind),
        "hours": duration(safe.ride_through_h, reader),
        "cheap_hours": duration(cheap.ride_through_h, reader),
    }
    least, most = (pick(one.energy_cost_per_year for one in years) for pick in (min, max))
    if most - least < 0.01 * max(abs(least), 1):
        return t("strategies.answer_same", **values)
    if cheap is safe or cheap.ride_through_h == safe.ride_through_h:
        return t("strategies.answer_one", **values)
    return t("strategies.answer", **values)
