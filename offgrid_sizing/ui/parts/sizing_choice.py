"""The map of unserved share over bank × array and the frontier with its price; click to choose."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.sizing.ride import asks_ride
from offgrid_sizing.system import System, drawn_system, same_boxes, with_system
from offgrid_sizing.ui import answers, layout, state
from offgrid_sizing.ui.answers import Searched
from offgrid_sizing.ui.charts import sizing as pictures
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.guard import guarded
from offgrid_sizing.ui.parts import sizing_targets, sizing_words, weather_years
from offgrid_sizing.ui.parts.pictures import clicked, dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import money, percent

MAP, PICK = "sizing_map", "sizing_pick"


def draw(searched: Searched) -> None:
    """Map above, frontier below, targets beside."""
    picture, controls = layout.beside("sizing")
    with picture:
        _map(searched)
        _frontier(searched)
    with controls:
        _offers(searched)
        sizing_targets.draw(searched.sketch)


# --- the map --------------------------------------------------------------------------------


def _map(searched: Searched) -> None:
    grid, drawn = searched.result.map, drawn_system(searched.sketch)
    if len(grid.modules) < 2 or len(grid.units) < 2:
        st.info(t("sizing.no_map"))
        return
    figure = pictures.unserved_map(
        grid,
        searched.result.frontier,
        (drawn.units_in_parallel, drawn.modules),
        answer=chart_t("sizing.map.answer", met=int(grid.met.sum()), all=grid.met.size),
        clickable=state.may_edit(),
        reader=state.reader(),
        dark=dark(),
    )
    across, up = np.meshgrid(grid.units, grid.modules, indexing="ij")
    data = pd.DataFrame(
        {
            "units_in_parallel": across.ravel(),
            "modules": up.ravel(),
            "inverters": grid.inverters.ravel(),
            "unserved_frac": grid.unserved_frac.ravel(),
            "target_met": grid.met.ravel(),
        }
    )
    show(figure, MAP, data=data, on_select=_chosen_on_map if state.may_edit() else None)
    st.markdown(_drawn_on_map(searched, drawn))
    st.caption(t("sizing.map_hint"))
    if asks_ride(searched.sketch):
        st.caption(t("sizing.map_no_ride"))
    if searched.result.array_reserve != 1:
        st.caption(t("sizing.held_back"))


def _drawn_on_map(searched: Searched, drawn: System) -> str:
    """What the map says where the drawn system stands; it may hold another one there."""
    grid, year = searched.result.map, sizing_words.year_of(searched)
    at_u = np.flatnonzero(grid.units == drawn.units_in_parallel)
    at_m = np.flatnonzero(grid.modules == drawn.modules)
    boxes = sizing_words.boxes(drawn)
    if not len(at_u) or not len(at_m):
        return t("sizing.drawn_off", **boxes)
    at = at_u[0], at_m[0]
    machines = int(grid.inverters[at])
    shown = _system(searched, drawn.units_in_parallel, drawn.modules, machines)
    values = boxes | {
        "share": percent(float(grid.unserved_frac[at]), state.reader()),
        "year": year,
    }
    if shown is not None and same_boxes(shown, drawn):
        told = t("sizing.drawn_met" if grid.met[at] else "sizing.drawn_missed", **values)
        return told if searched.result.array_reserve == 1 else told + _as_drawn(searched)
    other = "strings" if machines == drawn.inverters else "machines"
    return t(f"sizing.drawn_{other}", shown=machines, **values) + _as_drawn(searched)


def _as_drawn(searched: Searched) -> str:
    """What the drawn system leaves unserved, once its outcome is there."""
    outcome = answers.outcome_ready(searched.sketch)
    if outcome is None:
        return ""
    share = percent(outcome.reliability.judged.unserved_frac, state.reader())
    year = weather_years.judged(searched.sketch, searched.inputs.weather)
    return " " + t("sizing.drawn_own", share=share, year=year)


def _system(searched: Searched, units: int, modules: int, inverters: int) -> System | None:
    """The system of a point of map or frontier, as the search built it."""
    choices = answers.candidates(searched.sketch)
    for row in np.flatnonzero(choices.modules == modules):
        if choices.fewest[row] <= inverters <= choices.most[row]:
            return choices.system(searched.sketch, units, int(row), inverters)
    return None


@guarded
def _chosen_on_map() -> None:
    code = clicked(MAP)
    if isinstance(code, str):
        _draw_point(*pictures.choice_of(code))


def _draw_point(units: int, modules: int, inverters: int) -> None:
    """Draw in the sketch the system that a point shows."""
    searched = answers.last_search()
    system = None if searched is None else _system(searched, units, modules, inverters)
    if system is not None and len(system.planes) == len(state.sketch().roof_planes):
        _use(system)


def _use(system: System) -> None:
    state.edit(lambda sketch: with_system(sketch, system), "size")


# --- the cheapest with each bank ------------------------------------------------------------


def _frontier(searched: Searched) -> None:
    result, reader = searched.result, state.reader()
    if not result.frontier:
        return
    key = "answer" if sizing_words.is_cheapest(result) else "answer_found"
    answer = chart_t(
        f"sizing.frontier.{key if result.met else 'answer_unmet'}",
        cost=money(result.cost_per_year, reader),
        **sizing_words.boxes(result.system),
    )
    figure = pictures.frontier(
        result.frontier,
        (result.system.units_in_parallel, result.cost_per_year),
        answer=answer,
        drawn=_drawn_cost(searched),
        reader=reader,
        dark=dark(),
    )
    show(figure, "sizing_frontier", data=pd.DataFrame([vars(point) for point in result.frontier]))
    st.caption(t("sizing.frontier.hint"))


def _drawn_cost(searched: Searched) -> tuple[int, float] | None:
    """Bank and life-cycle cost a year of what is drawn, once its outcome is there."""
    outcome = answers.outcome_ready(searched.sketch)
    if outcome is None:
        return None
    return outcome.system.units_in_parallel, outcome.life_cycle.equivalent_annual


def _offers(searched: Searched) -> None:
    """Draw the answer, or any other system of the frontier."""
    reader, result = state.reader(), searched.result
    key = "sizing.draw_cheapest" if sizing_words.is_cheapest(result) else "sizing.draw_found"
    drawn = same_boxes(result.system, drawn_system(state.sketch()))
    st.button(
        t(key),
        key="sizing_draw_cheapest",
        type="primary",
        width="stretch",
        disabled=not state.may_edit() or drawn,
        on_click=_draw_point,
        args=(result.system.units_in_parallel, result.system.modules, result.system.inverters),
    )
    st.caption(t("sizing.draw_counts", **sizing_words.boxes(result.system)))
    if result.frontier:
        labels = {
            number: t_raw(
                "sizing.pick_line",
                units=point.units,
                modules=point.modules,
                inverters=point.inverters,
                cost=money(point.cost_per_year, reader),
                share=percent(point.unserved_frac, reader),
            )
            for number, point in enumerate(result.frontier)
        }
        st.selectbox(
            t("sizing.pick"),
            list(labels),
            format_func=labels.__getitem__,
            key=PICK,
            index=None,
            placeholder=t("sizing.pick_placeholder"),
            disabled=not state.may_edit(),
            on_change=_picked,
            args=(result.frontier,),
        )
    if result.met:
        st.markdown(_uncertain(result))
    how = "unmet" if not result.met else "dense" if sizing_words.is_cheapest(result) else "coarse"
    st.caption(t(f"sizing.method_{how}", systems=result.systems_tried, years=result.years_tried))


def _uncertain(result) -> str:
    """How far the weather's uncertainty may move the array, and what is held for it."""
    band = {"low": result.modules_low, "high": result.modules_high}
    held = (
        t("sizing.reserve", reserve=percent(result.array_reserve - 1, state.reader()))
        if result.array_reserve > 1
        else t("sizing.no_reserve")
    )
    if result.modules_low == result.modules_high:
        return held if result.array_reserve > 1 else ""
    return f"{t('sizing.between', **band)} {held}"


@guarded
def _picked(points) -> None:
    number = st.session_state[PICK]
    if number is not None:
        _draw_point(points[number].units, points[number].modules, points[number].inverters)
