"""The year's totals of every priority, one yardstick under another."""

import pandas as pd
import streamlit as st

from offgrid_sizing.outcome import with_strategy
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import figures, state
from offgrid_sizing.ui.cached import Found
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.charts.strategies import Measure, comparison
from offgrid_sizing.ui.parts import weather_years
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.widgets import option_label
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import duration, kwh, money, percent


def name_of(kind: str) -> str:
    """A priority's name in this language."""
    return option_label("strategy.kind", kind)


def draw(sketch: Sketch, compared: Found) -> None:
    """Money, grid energy, unserved, curtailed, wear, ride-through; buttons to use one."""
    years = compared.value
    measures = measures_of(years)
    names = [name_of(one.kind) for one in years]
    figure = comparison(names, measures, answer=_answer(years), dark=dark())
    data = pd.DataFrame({measure.title: measure.values for measure in measures}, index=names)
    show(figure, "strategies_year", data=data.reset_index(names="priority"))
    run = years[0].simulation
    alone = "_alone" if run.inputs.weather.years == 1 else ""
    st.caption(t(f"strategies.year_note{alone}", year=weather_years.judged_named(run)))
    with st.container(horizontal=True):
        for one in years:
            now = one.kind == sketch.strategy.kind
            st.button(
                t("strategies.in_use" if now else "strategies.use", name=name_of(one.kind)),
                key=f"strategies_use_{one.kind}",
                disabled=now or not state.may_edit(),
                on_click=_use,
                args=(one.kind,),
            )


def _use(kind: str) -> None:
    state.edit(lambda sketch: with_strategy(sketch, kind), "strategy")


def _answer(years) -> str:
    cheap = min(years, key=lambda one: one.energy_cost_per_year)
    costly = max(years, key=lambda one: one.energy_cost_per_year)
    reader = state.reader()
    return chart_t(
        "strategies.year_answer",
        cheap=name_of(cheap.kind),
        costly=name_of(costly.kind),
        saved=money(costly.energy_cost_per_year - cheap.energy_cost_per_year, reader),
    )


def measures_of(years) -> list[Measure]:
    """The yardsticks with their figures in words."""
    reader = state.reader()
    totals = [one.simulation.metrics for one in years]

    def energies(name: str) -> tuple[tuple[float, ...], tuple[str, ...]]:
        values = tuple(getattr(one, name) for one in totals)
        return values, tuple(kwh(1000 * value, reader) for value in values)

    costs = tuple(one.energy_cost_per_year for one in years)
    lives = tuple(one.life_cycle.equivalent_annual for one in years)
    dark = tuple(one.unserved_h for one in totals)
    wear = tuple(one.ageing.wear if one.ageing else 0.0 for one in years)
    rides = tuple(one.ride_through_h for one in years)
    bills = tuple(money(value, reader) for value in costs)
    return [
        Measure(t_raw("strategies.measure_money"), costs, bills, "load"),
        Measure(
            t_raw("strategies.measure_life"),
            lives,
            tuple(money(value, reader) for value in lives),
            "load",
        ),
        Measure(t_raw("strategies.measure_grid"), *energies("grid_import_kwh"), "grid"),
        Measure(t_raw("strategies.measure_unserved"), *energies("unserved_kwh"), "unserved"),
        Measure(
            t_raw("strategies.measure_unserved_h"),
            dark,
            tuple(figures.hours(value, reader) for value in dark),
            "unserved",
        ),
        Measure(t_raw("strategies.measure_curtailed"), *energies("curtailed_kwh"), "curtailed"),
        Measure(
            t_raw("strategies.measure_wear"),
            wear,
            tuple(percent(value, reader) for value in wear),
            "bank",
        ),
        Measure(
            t_raw("strategies.measure_ride"),
            rides,
            tuple(duration(value, reader) for value in rides),
            "bank",
            more_is_better=True,
        ),
    ]
