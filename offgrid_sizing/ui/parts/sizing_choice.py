"""The map of unserved share over bank × array and the frontier with its price; click to choose."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System, drawn_system, with_system
from offgrid_sizing.ui import answers, layout, state
from offgrid_sizing.ui.charts import sizing as pictures
from offgrid_sizing.ui.charts.marks import told
from offgrid_sizing.ui.guard import guarded
from offgrid_sizing.ui.parts import sizing_targets
from offgrid_sizing.ui.parts.pictures import clicked, dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import money, percent

MAP, PICK = "sizing_map", "sizing_pick"


def draw(sketch: Sketch, result) -> None:
    """Map above, frontier below, targets beside."""
    picture, controls = layout.beside("sizing")
    with picture:
        _map(sketch, result)
        _frontier(sketch, result)
    with controls:
        _offers(sketch, result)
        sizing_targets.draw()


def _map(sketch: Sketch, result) -> None:
    grid, drawn = result.map, drawn_system(sketch)
    if len(grid.modules) < 2 or len(grid.units) < 2:
        st.info(t("sizing.no_map"))
        return
    points = result.frontier
    figure = pictures.unserved_map(
        grid.units, grid.modules, grid.unserved_frac, sketch.targets.max_unserved_frac,
        choices=tuple(
            np.array([getattr(point, name) for point in points])
            for name in ("units", "modules", "cost_per_year")
        ),
        drawn=(drawn.units_in_parallel, drawn.modules),
        clickable=state.may_edit(), reader=state.reader(), dark=dark(),
    )  # fmt: skip
    across, up = np.meshgrid(grid.units, grid.modules, indexing="ij")
    data = pd.DataFrame(
        {
            "units_in_parallel": across.ravel(),
            "modules": up.ravel(),
            "unserved_frac": grid.unserved_frac.ravel(),
            "cost_per_year": grid.cost_per_year.ravel(),
            "target_met": grid.met.ravel(),
        }
    )
    show(figure, MAP, data=data, on_select=_chosen_on_map)
    st.caption(t("sizing.map_hint"))
    needed = _machines_needed(sketch, drawn)
    if needed not in (None, drawn.inverters):
        st.caption(t("sizing.map_machines", needed=needed, drawn=drawn.inverters))


def _machines_needed(sketch: Sketch, drawn: System) -> int | None:
    """Inverter-chargers of the map's point where the drawn bank and array lie, if there is one."""
    choices = answers.candidates(sketch)
    rows = np.flatnonzero(choices.modules == drawn.modules)
    return int(choices.inverters[rows[0]]) if len(rows) else None


@guarded
def _chosen_on_map() -> None:
    code = clicked(MAP)
    if isinstance(code, str):
        _draw_counts(*pictures.choice_of(code))


def _draw_counts(units: int, modules: int) -> None:
    """Draw the system with this many units in parallel and modules in the sketch."""
    sketch = state.sketch()
    choices = answers.candidates(sketch)
    rows = np.flatnonzero(choices.modules == modules)
    if len(rows):
        _use(choices.system(sketch, units, int(rows[0])))


def _use(system: System) -> None:
    state.edit(lambda sketch: with_system(sketch, system), "size")


def _frontier(sketch: Sketch, result) -> None:
    points, reader = result.frontier, state.reader()
    if not points:
        return
    units, modules, cost = (
        np.array([getattr(point, name) for point in points])
        for name in ("units", "modules", "cost_per_year")
    )
    best = result.system
    answer = told(
        "sizing.frontier.answer" if result.met else "sizing.frontier.answer_unmet",
        units=best.units, modules=best.modules, cost=money(result.cost_per_year, reader),
    )  # fmt: skip
    figure = pictures.frontier(
        units, modules, cost, (best.units_in_parallel, result.cost_per_year), answer=answer,
        drawn=_drawn_cost(sketch, result), reader=reader, dark=dark(),
    )  # fmt: skip
    show(figure, "sizing_frontier", data=pd.DataFrame([vars(point) for point in points]))
    st.caption(t("sizing.frontier.hint"))


def _drawn_cost(sketch: Sketch, result) -> tuple[int, float] | None:
    """Bank and yearly cost of what is drawn, where it lies on the map."""
    drawn, grid = drawn_system(sketch), result.map
    at_u = np.flatnonzero(grid.units == drawn.units_in_parallel)
    at_m = np.flatnonzero(grid.modules == drawn.modules)
    if not len(at_u) or not len(at_m):
        return None
    return drawn.units_in_parallel, float(grid.cost_per_year[at_u[0], at_m[0]])


def _offers(sketch: Sketch, result) -> None:
    """Draw the cheapest, or any other of the frontier."""
    reader = state.reader()
    cheapest = result.system
    st.button(
        t("sizing.draw_cheapest", units=cheapest.units, modules=cheapest.modules),
        key="sizing_draw_cheapest", type="primary", width="stretch",
        disabled=not state.may_edit() or not result.met or cheapest == drawn_system(sketch),
        on_click=_use, args=(cheapest,),
    )  # fmt: skip
    if result.frontier:
        labels = {
            number: t_raw(
                "sizing.pick_line", units=point.units, modules=point.modules,
                cost=money(point.cost_per_year, reader),
                share=percent(point.unserved_frac, reader),
            )
            for number, point in enumerate(result.frontier)
        }  # fmt: skip
        st.selectbox(
            t("sizing.pick"), list(labels), format_func=labels.__getitem__, key=PICK,
            index=None, placeholder=t("sizing.pick_placeholder"),
            disabled=not state.may_edit(), on_change=_picked, args=(result.frontier,),
        )  # fmt: skip
    st.markdown(
        t("sizing.between", low=result.modules_low, high=result.modules_high)
        + " "
        + (
            t("sizing.reserve", reserve=percent(result.array_reserve - 1, reader))
            if result.array_reserve > 1
            else t("sizing.no_reserve")
        )
    )
    st.caption(
        t(f"sizing.method_{'bisection' if result.method == 'bisection' else 'scan'}",
          tried=result.systems_tried)
    )  # fmt: skip


@guarded
def _picked(points) -> None:
    number = st.session_state[PICK]
    if number is not None:
        _draw_counts(points[number].units, points[number].modules)
