"""The boxes: module, controller, battery unit, inverter-charger, losses, and how many of each."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import array_peak_w, bank_nominal_wh, drawn_system
from offgrid_sizing.ui import cautions, layout, state
from offgrid_sizing.ui.parts import (
    equipment_array,
    equipment_bank,
    equipment_counts,
    equipment_inverter,
)
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import energy, power

SECTIONS = {
    "counts": equipment_counts.draw,
    "module": equipment_array.module,
    "controller": equipment_array.controller,
    "losses": equipment_array.losses,
    "battery": equipment_bank.unit,
    "place": equipment_bank.place,
    "inverter": equipment_inverter.draw,
}


def draw() -> None:
    """What stands in the sketch now, in one sentence, then each box."""
    sketch = state.sketch()
    st.title(t("equipment.title"))
    layout.answer(_sentence(sketch))
    chosen = layout.sections("equipment", tuple(SECTIONS))
    SECTIONS[chosen](sketch)
    cautions.foot()


def _sentence(sketch: Sketch) -> str:
    system, reader = drawn_system(sketch), state.reader()
    return t(
        "equipment.answer",
        modules=system.modules,
        units=system.units,
        inverters=system.inverters,
        array=power(array_peak_w(sketch, system), reader),
        bank=energy(bank_nominal_wh(sketch, system), reader),
        machines=power(system.inverters * sketch.equipment.inverter.rated_w, reader),
    )
