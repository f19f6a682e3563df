"""Fuel of a generator: a straight line of its output, as makers' charts show it."""

import numpy as np


def fuel_l_per_h(output_kw, rated_kw: float, slope_l_per_kwh: float, intercept_l_per_h_kw: float):
    """Litres an hour while running: `slope × output + intercept × rating`.

    Parameters
    ----------
    output_kw : float or array
        Mean output while running. [kW]
    rated_kw : float
        [kW]

    References
    ----------
    O. Skarstein, K. Uhlen, *Design considerations with respect to long-term diesel saving in
    wind/diesel plants*, Wind Engineering 13 (1989) 72–87: 0.246 and 0.08415 (from memory; 0.08145
    circulates too).

    >>> round(float(fuel_l_per_h(5.0, 10.0, 0.246, 0.08415)), 4)
    2.0715
    """
    return slope_l_per_kwh * np.asarray(output_kw, dtype=float) + intercept_l_per_h_kw * rated_kw


def fit_fuel_line(rated_kw: float, output_kw, litres_per_h) -> tuple[float, float]:
    """Slope [L/kWh] and intercept [L/h per rated kW] of the least-squares line through a chart."""
    slope, intercept = np.polyfit(np.asarray(output_kw, float), np.asarray(litres_per_h, float), 1)
    return float(slope), float(intercept / rated_kw)


def fuel_kg_per_h(output_kw: float, efficiency_frac: float, calorific_kcal_per_kg: float) -> float:
    """Fuel mass from overall efficiency and heat value, with 860 kcal in a kWh. [kg/h]"""
    return output_kw * 860 / (efficiency_frac * calorific_kcal_per_kg)


def kwh_per_tonne(efficiency_frac: float, calorific_kcal_per_kg: float) -> float:
    """Energy got from a tonne of fuel. [kWh/t]"""
    return 1000 * calorific_kcal_per_kg * efficiency_frac / 860
