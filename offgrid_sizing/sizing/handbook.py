"""The hand methods of the standards and handbooks, one small formula each."""

import math

# Stand-alone worksheet multipliers for lead-acid banks at the given temperatures.
LEAD_ACID_MULTIPLIER = (
    (-6.7, 1.59),
    (-1.1, 1.40),
    (4.4, 1.30),
    (10.0, 1.19),
    (15.6, 1.11),
    (21.2, 1.04),
    (26.7, 1.00),
)
# IEEE Std 1562-2021 cl. 9.1 as quoted in public engineering notes: lower ends of 1.1-1.2, 1.3-1.4.
ARRAY_TO_LOAD_RATIO_MIN = {"non_critical": 1.1, "critical": 1.3}


def daily_energy_wh(power_w: float, quantity: float, hours_h: float, duty_frac: float = 1) -> float:
    """Energy an appliance takes in a day. [Wh]

    >>> daily_energy_wh(18, 1, 4)
    72
    """
    return power_w * quantity * hours_h * duty_frac


def inverter_continuous_w(total_power_w: float, continuous_factor: float = 1.3) -> float:
    """Continuous rating wanted from the sum of running powers. [W]"""
    return total_power_w * continuous_factor


def inverter_surge_w(motor_power_w: float, other_power_w: float, motor_factor: float) -> float:
    """Surge wanted: what runs plus motors at their starting multiple. [W]"""
    return other_power_w + motor_factor * motor_power_w


def dc_energy_wh(ac_energy_wh: float, inverter_efficiency: float) -> float:
    """Energy the DC side must give for an AC load. [Wh]"""
    return ac_energy_wh / inverter_efficiency


def array_power_w(energy_wh_per_day: float, peak_sun_hours_h: float) -> float:
    """Array rating that gives an energy in the given peak sun hours. [W]"""
    return energy_wh_per_day / peak_sun_hours_h


def average_power_w(rated_w: float, peak_sun_hours_h: float) -> float:
    """Mean power over day and night of a rating in peak sun hours; of 1 W, the capacity factor."""
    return rated_w * peak_sun_hours_h / 24


def array_area_m2(
    energy_kwh_per_day: float, irradiation_kwh_per_m2_day: float, module_efficiency: float
) -> float:
    """Module area that collects an energy. [m²]"""
    return energy_kwh_per_day / (irradiation_kwh_per_m2_day * module_efficiency)


def whole(number: float) -> int:
    """Next whole number of boxes; a rounding crumb does not buy another box."""
    return math.ceil(number - 1e-9)


def bank_ah(
    daily_energy_wh: float,
    autonomy_days: float,
    depth_of_discharge: float,
    system_voltage_v: float,
    temperature_coefficient: float = 1.0,
) -> float:
    """Bank capacity by the classic hand formula. [Ah]

    C = E × days / (DoD × V × temperature coefficient).
    """
    return (
        daily_energy_wh
        * autonomy_days
        / (depth_of_discharge * system_voltage_v * temperature_coefficient)
    )


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


def unit_arrangement(
    unit_voltage_v: float, unit_capacity_ah: float, in_series: int, in_parallel: int
) -> tuple[float, float]:
    """Voltage and capacity of units in series and parallel. [V, Ah]"""
    return unit_voltage_v * in_series, unit_capacity_ah * in_parallel


def charge_current_a(array_power_w: float, system_voltage_v: float) -> float:
    """Current the array can push into the bank. [A]"""
    return array_power_w / system_voltage_v


def delivered_bank_energy_wh(
    load_w: float, duration_h: float, depth_of_discharge: float, discharge_efficiency: float
) -> float:
    """Nominal energy for a load over a time: P t / (DoD × η). [Wh]"""
    return load_w * duration_h / (depth_of_discharge * discharge_efficiency)


def autonomy_days_rule(minimum_peak_sun_hours_h: float, critical: bool) -> float:
    """Days of autonomy from the worst month's peak sun hours.

    Messenger & Ventre, Photovoltaic Systems Engineering (from memory): straight lines through the
    Sandia SAND87-7023 curves, for one peak sun hour or more.
    """
    sun = max(minimum_peak_sun_hours_h, 1.0)
    return -1.9 * sun + 18.3 if critical else -0.48 * sun + 4.58


def system_voltage_v(power_w: float) -> int:
    """Bank voltage for an inverter power (course lesson: 12 V to 1.2 kW, 24 V to 2 kW, then 48)."""
    if power_w <= 1200:
        return 12
    return 24 if power_w <= 2000 else 48


def lead_acid_temperature_multiplier(temperature_c: float) -> float:
    """Capacity multiplier for a cold lead-acid bank (stand-alone PV sizing worksheet)."""
    import numpy as np

    temperatures, factors = zip(*LEAD_ACID_MULTIPLIER, strict=True)
    return float(np.interp(temperature_c, temperatures, factors))


def round_trip_to_one_way(round_trip_efficiency: float) -> float:
    """One-way efficiency when charge and discharge share the loss evenly."""
    return math.sqrt(round_trip_efficiency)


def design_load_kwh(load_kwh_per_day: float, growth_frac: float) -> float:
    """Load with its planned growth. [kWh/day]"""
    return load_kwh_per_day * (1 + growth_frac)
