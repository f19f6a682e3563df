"""Prices and terms, beside the picture they move."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import widgets
from offgrid_sizing.ui.words import t

FIRST = ("module_each", "battery_unit_each", "inverter_each", "installation_frac")
BOXES = (
    "mounting_per_module",
    "wiring_and_protection",
    "generator_each",
    "service_per_year",
    "grid_extension_per_m",
)
TERMS = (
    "discount_rate_frac",
    "energy_escalation_frac",
    "battery_price_change_frac",
    "horizon_y",
    "unserved_per_kwh",
)
LIVES = ("inverter_life_y", "module_life_y", "generator_life_y")
CARBON = ("grid_co2_kg_per_kwh", "fuel_co2_kg_per_l")


def draw(sketch: Sketch) -> None:
    """The prices a seller changes first; the rest in folds."""
    widgets.text("prices.currency")
    for name in FIRST:
        widgets.number(f"prices.{name}")
    widgets.choice("prices.alternative")
    widgets.number("prices.grid_extension_m")
    with st.expander(t("money.more_prices")):
        for name in BOXES:
            widgets.number(f"prices.{name}")
        widgets.text("prices.as_of")
    with st.expander(t("money.terms")):
        for name in (*TERMS, *LIVES):
            widgets.number(f"prices.{name}")
    with st.expander(t("money.carbon")):
        for name in CARBON:
            widgets.number(f"prices.{name}")
        widgets.text("prices.co2_source")
