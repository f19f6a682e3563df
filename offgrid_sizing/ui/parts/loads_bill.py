"""Loads page, the bill: its energy, one number or twelve, beside the appliances'."""

import streamlit as st

from offgrid_sizing.loads.bill import is_far, monthly_kwh, with_bill
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import state, tables, widgets
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import digits


def draw(sketch: Sketch, year: LoadYear | None) -> None:
    """The number or the twelve, and what they make of the appliances."""
    if sketch.loads.metered is not None:
        st.caption(t("loads.bill.with_meter"))
        return
    st.caption(t("loads.bill.text"))
    if sketch.loads.bill_each_month_kwh is None:
        widgets.number("loads.bill_mean_month_kwh")
        _button("months", sketch, year)
    else:
        tables.twelve("loads.bill_each_month_kwh")
        _button("one", sketch, year)
    if sketch.loads.has_bill:
        _button("remove", sketch, year)
        _says(sketch, year)


def _button(name: str, sketch: Sketch, year: LoadYear | None) -> None:
    st.button(
        t(f"loads.bill.{name}"),
        key=f"loads_bill_{name}",
        type="tertiary",
        on_click=_become,
        args=(name, None if year is None else monthly_kwh(year, sketch.loads)),
        disabled=not state.may_edit() or (name == "months" and year is None),
    )


def _become(name: str, months: tuple[float, ...] | None) -> None:
    """Twelve begin as what one makes of them, one as the mean of the twelve."""
    state.edit(lambda sketch: with_bill(sketch, name, months), note="bill")


def _says(sketch: Sketch, year: LoadYear | None) -> None:
    if year is None or not year.listed_daily_kwh:
        return
    reader = state.reader()
    key = "says" if sketch.loads.bill_each_month_kwh is None else "says_months"
    factor = digits(year.whole_daily_kwh / year.listed_daily_kwh, reader)
    billed, listed = digits(year.whole_daily_kwh, reader), digits(year.listed_daily_kwh, reader)
    st.markdown(t(f"loads.bill.{key}", billed=billed, listed=listed, factor=factor))
    if is_far(year):
        st.warning(t("loads.bill.far", factor=factor), icon=":material/rule:")
