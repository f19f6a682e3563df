"""Equipment page, the inverter-charger: what it may give, when, and at which efficiency."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.ui import cautions, charts, layout, results, state, theme, widgets
from offgrid_sizing.ui.charts import boxes
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.curves import curve_text
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import percent, power

PATH = "equipment.inverter"
MAIN = (
    ("rated_w", "surge_va", "output_v", "standby_w", "charger_max_a"),
    ("rated_va", "surge_s", "bank_v", "transfer_max_a", "charger_efficiency_frac"),
)
MORE = (
    ("bank_min_v", "bank_max_v", "ac_breaker_a", "bank_fuse_a", "parallel_max", "mass_kg"),
    (
        *("height_mm", "width_mm", "depth_mm"),
        *("side_clearance_mm", "vertical_clearance_mm", "wait_after_shutdown_min"),
    ),
)


def draw(sketch: Sketch) -> None:
    """Efficiency at the home's usual load, beside the machine's data."""
    picture, controls = layout.beside("equipment_inverter")
    with picture:
        _efficiency(sketch)
        cautions.show("backfeed")
    with controls:
        widgets.text(f"{PATH}.name")
        widgets.numbers(PATH, MAIN)
        widgets.choice(f"{PATH}.frequency_hz")
        with st.expander(t("equipment.more")):
            widgets.numbers(PATH, MORE)
            widgets.toggle(f"{PATH}.can_split_phase")
            widgets.toggle(f"{PATH}.can_three_phase")
            curve_text(f"{PATH}.efficiency_curve")
            curve_text(f"{PATH}.overload_curve")


def _usual_w(sketch: Sketch) -> float | None:
    """Mean load on each machine; none while the sketch has no load."""
    if not sketch.loads.appliances and sketch.loads.metered is None:
        return None
    try:
        return results.loads(sketch).daily_kwh / 24 * 1000 / sketch.drawn.inverters
    except BadInput as fault:
        st.caption(t("equipment.inverter.no_load", reason=fault.sentences[0]))
        return None


def _efficiency(sketch: Sketch) -> None:
    machine, reader = sketch.equipment.inverter, state.reader()
    load, eta = (np.array(part) for part in zip(*sorted(machine.efficiency_curve), strict=True))
    usual = _usual_w(sketch)
    if usual is None:
        answer = chart_t("equipment.inverter.answer", best=percent(float(eta.max()), reader))
    else:
        at = float(np.interp(usual / machine.rated_w, load, eta))
        answer = chart_t(
            "equipment.inverter.answer_usual",
            load=power(usual, reader),
            eta=percent(at, reader),
            standby=power(machine.standby_w, reader),
        )
    figure = boxes.efficiency(
        load * machine.rated_w, eta, usual, answer=answer, dark=theme.is_dark()
    )
    table = pd.DataFrame({"load_w": load * machine.rated_w, "efficiency_frac": eta})
    charts.show(figure, "equipment_efficiency", answer, data=table)
