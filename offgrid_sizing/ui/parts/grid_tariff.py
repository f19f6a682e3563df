"""Grid page, the tariff: what a kWh costs by hour, day and season."""

import streamlit as st

from offgrid_sizing.sketch import Sketch, TariffBand
from offgrid_sizing.ui import layout, widgets
from offgrid_sizing.ui.parts import week_windows
from offgrid_sizing.ui.parts.grid_supply import week_picture
from offgrid_sizing.ui.words import t


def draw(sketch: Sketch) -> None:
    """The week's prices beside the bands."""
    if sketch.grid.kind == "none":
        st.info(t("grid.supply.none"), icon=":material/power_off:")
        return
    picture, controls = layout.beside("grid_tariff")
    with picture:
        week_picture(sketch, "tariff_week")
    with controls:
        widgets.number("grid.tariff.price_per_kwh")
        widgets.number("grid.tariff.fixed_per_month")
        if sketch.grid.export_allowed:
            widgets.number("grid.tariff.export_price_per_kwh")
        st.markdown(f"**{t('grid.tariff.bands')}**")
        st.caption(t("grid.tariff.bands_text"))
        price = sketch.grid.tariff.price_per_kwh
        week_windows.edit("grid.tariff.bands", TariffBand, "price_per_kwh", price_per_kwh=price)
