"""Equipment page, the array's side: module, charge controller and losses, each with a picture."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing import module_model, string_rules
from offgrid_sizing.sketch import ArrayLosses, Module, Sketch
from offgrid_sizing.spelling import unaccented
from offgrid_sizing.ui import (
    cached,
    cautions,
    charts,
    layout,
    results,
    state,
    tables,
    theme,
    widgets,
)
from offgrid_sizing.ui.charts import boxes
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import has, t, t_raw
from offgrid_sizing.units import digits, percent, quantity, unit_of

MOST_FOUND = 10
STAGES = {
    "light on the planes": "light",
    "reflection": "reflection",
    "temperature and low light": "temperature",
    "soiling": "soiling",
    "mismatch": "mismatch",
    "wiring": "wiring",
    "light-induced": "induced",
    "age": "age",
    "availability": "availability",
}


def module(sketch: Sketch) -> None:
    """The nameplate, or a row of the public module table, beside power against heat."""
    picture, controls = layout.beside("equipment_module")
    with picture:
        _heat(sketch.equipment.module)
        cautions.show("array")
    with controls:
        _table_search()
        widgets.text("equipment.module.name")
        left, right = st.columns(2)
        with left:
            for field in ("power_w", "voc_v", "vmp_v", "gamma_pmp_per_k", "length_m"):
                widgets.number(f"equipment.module.{field}")
        with right:
            for field in ("max_system_v", "isc_a", "imp_a", "beta_voc_per_k", "width_m"):
                widgets.number(f"equipment.module.{field}")
        with st.expander(t("equipment.more")):
            widgets.choice("equipment.module.model")
            for field in ("alpha_isc_per_k", "cells_in_series", "noct_c", "max_fuse_a"):
                widgets.number(f"equipment.module.{field}")
            if sketch.equipment.module.table_name:
                st.caption(t("equipment.module.row", name=sketch.equipment.module.table_name))


def _heat(one: Module) -> None:
    cell_c = np.arange(-20, 81, 5.0)
    watts = np.asarray(module_model.power_w(one, np.full(cell_c.shape, 1000.0), cell_c))
    unit, reader = unit_of("cell_c", state.reader()), state.reader()
    hot = float(watts[cell_c == 60][0])
    answer = chart_t(
        "equipment.module.answer",
        hot=quantity(60.0, "cell_c", reader),
        power=quantity(hot, "power_w", reader),
        rated=quantity(one.power_w, "power_w", reader),
    )
    figure = boxes.curve(
        np.asarray(unit.shown(cell_c)),
        watts,
        answer=answer,
        thing="pv",
        x=chart_t("pictures.cell", unit=unit.label),
        y=chart_t("pictures.watts"),
        dark=theme.is_dark(),
    )
    charts.show(
        figure, "equipment_heat", answer, data=pd.DataFrame({"cell_c": cell_c, "power_w": watts})
    )


def _table_search() -> None:
    """Rows of the module table that pvlib carries, found by parts of their name."""
    typed = st.text_input(
        t("equipment.module.search"),
        key="equipment_search",
        type="search",
        live=True,
        placeholder=t_raw("equipment.module.search_example"),
        help=t("equipment.module.search_help"),
        disabled=not state.may_edit(),
        persist_state="session",
    )
    words = unaccented(typed).replace("_", " ").split()
    if not words or len("".join(words)) < 2:
        return
    found = [name for name in _names() if all(word in unaccented(name) for word in words)]
    if not found:
        st.caption(t("equipment.module.not_found"))
    for number, name in enumerate(found[:MOST_FOUND]):
        st.button(
            plain(name),
            key=f"equipment_row_{number}",
            type="tertiary",
            on_click=_take_row,
            args=(name.replace(" ", "_"),),
            icon=":material/table_rows:",
        )
    if len(found) > MOST_FOUND:
        st.caption(t("equipment.module.more_found", count=len(found) - MOST_FOUND))


def _names() -> list[str]:
    return cached.remember(
        "module_names",
        lambda: [str(name).replace("_", " ") for name in module_model.module_table().columns],
    )


def _take_row(name: str) -> None:
    made = layout.attempt(lambda: module_model.module_from_table(name))
    if made is not None:
        equipment = state.sketch().equipment.model_copy(update={"module": made})
        state.edit(state.sketch().model_copy(update={"equipment": equipment}), note="module")


def controller(sketch: Sketch) -> None:
    """The controller's window beside the voltages of the strings drawn."""
    picture, controls = layout.beside("equipment_controller")
    with picture:
        _voltages(sketch)
        cautions.show("array")
    with controls:
        left, right = st.columns(2)
        fields = (
            ("max_voc_v", "mppt_min_v", "mppt_max_v", "efficiency_frac"),
            ("inputs", "max_input_a", "max_power_w", "max_charge_a"),
        )
        for column, names in zip((left, right), fields, strict=True):
            with column:
                for name in names:
                    widgets.number(f"equipment.controller.{name}")


def _voltages(sketch: Sketch) -> None:
    output = layout.attempt(lambda: results.output(sketch))
    weather = layout.attempt(lambda: cached.weather(sketch)) if output is not None else None
    planes = [
        (row, plane) for row, plane in enumerate(sketch.roof_planes) if plane.modules_in_series
    ]
    if weather is None or not planes:
        st.info(t("equipment.controller.none"), icon=":material/solar_power:")
        return
    given = sketch.weather.record_low_c
    low_c = weather.record_low_c if given is None else given
    one, box = sketch.equipment.module, sketch.equipment.controller
    rows = []
    for row, plane in planes:
        hot_c = float(output.temp_cell[row].max())
        rows.append(
            (
                plane.name,
                string_rules.hot_vmp_v(one, plane.modules_in_series, hot_c),
                string_rules.cold_voc_v(one, plane.modules_in_series, low_c),
            )
        )
    coldest = max(high for _, _, high in rows)
    answer = chart_t(
        "equipment.controller.fits" if coldest <= box.max_voc_v else "equipment.controller.over",
        volts=digits(coldest, state.reader()),
        limit=digits(box.max_voc_v, state.reader()),
        low=quantity(low_c, "low_c", state.reader()),
    )
    figure = boxes.voltages(
        rows, box.mppt_min_v, box.mppt_max_v, box.max_voc_v, answer=answer, dark=theme.is_dark()
    )
    table = pd.DataFrame(rows, columns=["plane", "hot_vmp_v", "cold_voc_v"])
    charts.show(figure, "equipment_voltages", answer, data=table)


def losses(sketch: Sketch) -> None:
    """What is left of the light's worth after each loss, beside the losses."""
    picture, controls = layout.beside("equipment_losses")
    with picture:
        output = layout.attempt(lambda: results.output(sketch))
        if output is not None and output.chain:
            _chain(output.chain)
    with controls:
        for field in (
            "light_induced_frac",
            "age_per_year_frac",
            "age_years",
            "mismatch_frac",
            "wiring_frac",
            "availability_frac",
        ):
            widgets.number(f"equipment.losses.{field}")
        with st.expander(t("equipment.losses.soiling")):
            tables.twelve("equipment.losses.soiling_frac")
        st.caption(t("equipment.losses.sources", **_default_losses()))


def _default_losses() -> dict[str, str]:
    ours, reader = ArrayLosses(), state.reader()
    shares = {
        "soiling": ours.soiling_frac[0],
        "age": ours.age_per_year_frac,
        "induced": ours.light_induced_frac,
        "mismatch": ours.mismatch_frac,
        "wiring": ours.wiring_frac,
        "availability": ours.availability_frac,
    }
    return {name: percent(share, reader) for name, share in shares.items()}


def _chain(chain: tuple[tuple[str, float], ...]) -> None:
    names = []
    for name, _ in chain:
        key = f"equipment.stage.{STAGES.get(name, name)}"
        names.append(chart_t(key) if has(key) else name)
    left = np.array([share for _, share in chain])
    answer = chart_t("equipment.losses.answer", left=percent(float(left[-1]), state.reader()))
    figure = boxes.losses(names, left, answer=answer, dark=theme.is_dark())
    table = pd.DataFrame({"stage": names, "left_frac": left})
    charts.show(figure, "equipment_losses", answer, data=table)
