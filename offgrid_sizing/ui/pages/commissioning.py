"""Commissioning: the sheet for this sketch, with the readings to expect today."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import answers, cautions, layout, state, steps
from offgrid_sizing.ui.parts import commissioning_labels, commissioning_sheet
from offgrid_sizing.ui.parts.warnings import electrical as electrical_cautions
from offgrid_sizing.ui.words import t

CELL, LIGHT, CHARGE = "commissioning_cell", "commissioning_light", "commissioning_charge"
_START = {CELL: 25.0, LIGHT: 800.0, CHARGE: 100.0}


def draw() -> None:
    """Today's conditions, the sheet, and the same to print."""
    sketch = state.sketch()
    st.title(t("commissioning.title"))
    design = layout.attempt(lambda: answers.design(sketch))
    if design is not None:
        layout.answer(t("commissioning.answer"))
        electrical_cautions(sketch.wiring.rule_book)
        _draw(sketch, design)
    else:
        electrical_cautions(sketch.wiring.rule_book)
    steps.onward("commissioning")
    cautions.foot()


def _draw(sketch: Sketch, design) -> None:
    picture, controls = layout.beside("commissioning")
    with controls:
        cell, light, charge = _today()
    sheet = layout.attempt(
        lambda: answers.sheet(sketch, cell_temp_c=cell, irradiance_w_per_m2=light, soc_frac=charge)
    )
    if sheet is None:
        return
    with controls:
        commissioning_sheet.downloads(sketch, sheet)
        commissioning_labels.downloads(sketch, design)
    with picture:
        commissioning_sheet.draw(sheet)
        commissioning_labels.draw(sketch, design)


def _today() -> tuple[float, float, float]:
    """What the meters show outside today: cells, light, charge."""
    from offgrid_sizing.units import unit_of

    degrees = unit_of("cell_temp_c")  # the sheet beside it is a paper, in SI whoever reads it
    for key, value in _START.items():
        st.session_state.setdefault(key, value)
    st.markdown(f"**{t('commissioning.today')}**")
    st.session_state[f"{CELL}_shown"] = degrees.shown(st.session_state[CELL])
    st.number_input(
        t("commissioning.cell", unit=degrees.label),
        key=f"{CELL}_shown",
        step=1.0,
        value=st.session_state[f"{CELL}_shown"],
        format="%.1f",
        help=t("commissioning.cell_help"),
        on_change=_keep_cell,
        args=(degrees,),
    )
    st.number_input(
        t("commissioning.light"),
        min_value=0.0,
        max_value=1500.0,
        step=50.0,
        key=LIGHT,
        value=st.session_state[LIGHT],
        format="%.0f",
        help=t("commissioning.light_help"),
        persist_state="session",
    )
    st.number_input(
        t("commissioning.charge"),
        min_value=0.0,
        max_value=100.0,
        step=5.0,
        key=CHARGE,
        value=st.session_state[CHARGE],
        format="%.0f",
        help=t("commissioning.charge_help"),
        persist_state="session",
    )
    return st.session_state[CELL], st.session_state[LIGHT], st.session_state[CHARGE] / 100


def _keep_cell(degrees) -> None:
    st.session_state[CELL] = degrees.entered(st.session_state[f"{CELL}_shown"])
