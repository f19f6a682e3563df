"""The hand methods of the standards and handbooks, one small formula each."""

import math

import numpy as np

from offgrid_sizing.rule_tables import rule_table

# IEEE Std 1562-2021 cl. 9.1 as quoted in public engineering notes: lower ends of 1.1-1.2, 1.3-1.4.
ARRAY_TO_LOAD_RATIO_MIN = {"non_critical": 1.1, "critical": 1.3}


def dc_energy_wh(ac_energy_wh: float, inverter_efficiency: float) -> float:
    """Energy the DC side must give for an AC load. [Wh]"""
    return ac_energy_wh / inverter_efficiency


def array_power_w(energy_wh_per_day: float, peak_sun_hours_h: float) -> float:
    """Array rating that gives an energy in the given peak sun hours. [W]"""
    return energy_wh_per_day / peak_sun_hours_h


def whole(number: float) -> int:
    """Next whole number of boxes; a rounding crumb does not buy another box."""
    return math.ceil(number - 1e-9)


def bank_unadjusted_kwh(
    autonomy_days: float, load_kwh_per_day: float, inverter_efficiency: float
) -> float:
    """Energy the bank must deliver over the days of autonomy (IEEE Std 1013-2019 6.1). [kWh]"""
    return autonomy_days * load_kwh_per_day / inverter_efficiency


def bank_adjusted_kwh(
    unadjusted_kwh: float,
    maximum_depth_of_discharge: float,
    end_of_life_frac: float,
    temperature_factor: float,
    design_margin: float,
) -> float:
    """Nominal bank after depth of discharge, end of life, cold and margin. [kWh]

    IEEE Std 1013-2019 6.2-6.3, as quoted in public engineering notes:
    max(unadjusted / MDOD, unadjusted / end of life) × temperature factor × margin.
    """
    base = max(unadjusted_kwh / maximum_depth_of_discharge, unadjusted_kwh / end_of_life_frac)
    return base * temperature_factor * design_margin


def cold_multiplier(table_name: str, temperature_c: float) -> float:
    """Cell size correction factor of a bank by a table.

    Below the table's coldest line its first two go on in a straight line (assumed: a flat end would
    be the unsafe side); above its warmest, where it is 1, no smaller bank is asked for.

    >>> cold_multiplier("worksheet_lead_acid_cold", 10.0)
    1.19
    """
    table = rule_table(table_name)
    temps_c, factors = table.numbers("temp_c"), table.numbers("multiplier")
    beyond_k = max(temps_c[0] - temperature_c, 0.0)
    slope = (factors[0] - factors[1]) / (temps_c[1] - temps_c[0])
    return float(np.interp(temperature_c, temps_c, factors) + slope * beyond_k)
