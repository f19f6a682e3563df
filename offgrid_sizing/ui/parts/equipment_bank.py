"""Equipment page, the bank: the battery unit with its curves, and where the bank stands."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.ageing import cycles_to_end
from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.sketch import BatteryUnit, Sketch
from offgrid_sizing.ui import cautions, charts, layout, state, theme, widgets
from offgrid_sizing.ui.charts import boxes
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.curves import curve_text
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import energy, percent, quantity, unit_of, whole

PATH = "equipment.battery"
MAIN = (
    ("nominal_v", "max_charge_a", "charge_efficiency_frac", "charge_v"),
    ("capacity_ah", "max_discharge_a", "discharge_efficiency_frac", "cutoff_v"),
)
MORE = (
    (
        "peak_discharge_a",
        "self_discharge_per_month_frac",
        "standby_w",
        "min_charge_c",
        "max_charge_c",
        "min_discharge_c",
        "max_discharge_c",
        "internal_resistance_ohm",
    ),
    (
        "calendar_life_y",
        "end_of_life_frac",
        "fault_current_a",
        "max_fuse_a",
        "equalise_v",
        "charge_v_per_k",
        "max_parallel",
        "mass_kg",
        "height_mm",
        "width_mm",
        "depth_mm",
    ),
)
PLACE = {
    "indoor": ("indoor_c",),
    "outdoor": ("time_constant_h",),
    "cupboard": ("time_constant_h", "sun_rise_k"),
    "heated": ("time_constant_h", "sun_rise_k", "heated_c"),
}


def unit(sketch: Sketch) -> None:
    """Cycle life and cold beside the unit's data."""
    one = sketch.equipment.battery
    picture, controls = layout.beside("equipment_battery")
    with picture:
        _cycles(one)
        _cold(one)
        _illustrative(one)
        cautions.show("bank")
    with controls:
        widgets.text(f"{PATH}.name")
        widgets.choice(f"{PATH}.chemistry")
        _usual(one)
        widgets.number(f"{PATH}.usable_dod_frac")
        widgets.numbers(PATH, MAIN)
        with st.expander(t("equipment.more")):
            widgets.numbers(PATH, MORE)
            widgets.number(f"{PATH}.torque_min_nm")
            widgets.number(f"{PATH}.torque_max_nm")
            curve_text(f"{PATH}.capacity_vs_temp", across="cell_c")
            curve_text(f"{PATH}.cycle_life")
            if CHEMISTRIES[one.chemistry].ageing.cell is not None:
                widgets.choice(f"{PATH}.life_from", radio=True)
                widgets.number(f"{PATH}.calendar_soc_frac")


def _illustrative(one: BatteryUnit) -> None:
    """Say that a curve is nobody's data sheet while it is the one a unit begins with."""
    fields = BatteryUnit.model_fields
    for name in ("cycle_life", "capacity_vs_temp"):
        if getattr(one, name) == fields[name].get_default():
            st.caption(t(f"equipment.battery.illustrative_{name}"))


def _usual(one: BatteryUnit) -> None:
    """What is usual for the chemistry, to hold the unit's sheet against."""
    usual, reader = CHEMISTRIES[one.chemistry], state.reader()
    st.caption(
        t(
            "equipment.battery.usual",
            depth=percent(usual.usual_dod_frac, reader),
            cold=quantity(usual.usual_min_charge_c, "min_charge_c", reader),
        )
    )


def _cycles(one: BatteryUnit) -> None:
    depth, cycles = (
        np.array(part, dtype=float) for part in zip(*sorted(one.cycle_life), strict=True)
    )
    reader = state.reader()
    at = float(cycles_to_end(one, one.usable_dod_frac))
    key = "cycles_answer" if one.usable_dod_frac <= depth[-1] else "cycles_beyond"
    answer = chart_t(
        f"equipment.battery.{key}",
        last=percent(float(depth[-1]), reader),
        cycles=whole(at, reader),
        depth=percent(one.usable_dod_frac, reader),
        usable=energy(one.energy_wh, reader),
    )
    figure = boxes.curve(
        depth * 100,
        cycles,
        answer=answer,
        x=chart_t("pictures.depth"),
        y=chart_t("pictures.cycles"),
        marks=((one.usable_dod_frac * 100, chart_t("pictures.allowed")),),
        dark=theme.is_dark(),
    )
    table = pd.DataFrame({"depth_of_discharge_frac": depth, "cycles": cycles})
    charts.show(figure, "equipment_cycles", answer, data=table)


def _cold(one: BatteryUnit) -> None:
    air_c, share = (np.array(part) for part in zip(*sorted(one.capacity_vs_temp), strict=True))
    reader, shown = state.reader(), unit_of("air_c", state.reader())
    at_zero = float(np.interp(0.0, air_c, share))
    answer = chart_t(
        "equipment.battery.cold_answer",
        freezing=quantity(0.0, "air_c", reader),
        share=percent(at_zero, reader),
        charge=quantity(one.min_charge_c, "min_charge_c", reader),
    )
    figure = boxes.curve(
        np.asarray(shown.shown(air_c)),
        share * 100,
        answer=answer,
        x=chart_t("pictures.bank_air", unit=shown.label),
        y=chart_t("pictures.capacity"),
        marks=((shown.shown(one.min_charge_c), chart_t("pictures.no_charge")),),
        dark=theme.is_dark(),
    )
    table = pd.DataFrame({"bank_c": air_c, "capacity_frac": share})
    charts.show(figure, "equipment_cold", answer, data=table)


def place(sketch: Sketch) -> None:
    """Where the bank stands decides its temperature."""
    st.caption(t("equipment.place.text"))
    widgets.choice("equipment.bank_place.kind", radio=True)
    for name in PLACE[sketch.equipment.bank_place.kind]:
        widgets.number(f"equipment.bank_place.{name}")
    _cold(sketch.equipment.battery)
    cautions.show("bank")
