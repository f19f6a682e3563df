"""Prices and the terms of the calculation; every price is a placeholder until the user's."""

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from offgrid_sizing.sketch.base import Frac, NotNegative, Part

Currency = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=8)]
Price = Annotated[float, Field(ge=0, le=1e12)]


class Prices(Part):
    """Currency-free prices. Defaults are invented placeholders, dated in `as_of`."""

    currency: Currency = "EUR"
    as_of: str = Field("2026-01, placeholder prices", max_length=80)
    module_each: Price = 120
    mounting_per_module: Price = 60
    battery_unit_each: Price = 1100
    inverter_each: Price = 950
    generator_each: Price = 1500
    wiring_and_protection: Price = 900
    installation_frac: Frac = Field(0.25, description="labour, share of the equipment price")
    service_per_year: Price = 100
    inverter_life_y: float = Field(12, ge=0.5, le=60)
    module_life_y: float = Field(30, ge=0.5, le=60)
    generator_life_y: float = Field(15, ge=0.5, le=60)
    discount_rate_frac: float = Field(0.05, ge=0, lt=1, description="real, a year")
    energy_escalation_frac: float = Field(0.0, ge=-0.5, le=0.5, description="real, a year")
    battery_price_change_frac: float = Field(
        0.0, ge=-0.5, le=0.5, description="real change of the bank's price a year"
    )
    horizon_y: int = Field(20, ge=1, le=60)
    unserved_per_kwh: Price = Field(
        0, description="what an unserved kWh costs you; 0 leaves it out of the money"
    )
    alternative: Literal[
        "auto",
        "grid",
        "grid_with_generator",
        "grid_with_bank",
        "generator",
        "generator_with_bank",
        "grid_extension",
        "nothing",
    ] = Field("auto", description="what the money is compared with")
    grid_extension_m: float | None = Field(
        None, gt=0, le=1_000_000, description="line to build to the nearest grid; empty: none"
    )
    grid_extension_per_m: Price = Field(
        40, description="a metre of that line, built; placeholder, from memory"
    )
    grid_co2_kg_per_kwh: NotNegative = Field(
        0.4, le=1000, description="your grid's factor; placeholder, from memory"
    )
    fuel_co2_kg_per_l: NotNegative = Field(2.68, le=1000, description="diesel; from memory")
    co2_source: str = Field(
        "placeholders from memory: use your grid operator's published factor",
        max_length=200,
        description="where the two factors come from",
    )
