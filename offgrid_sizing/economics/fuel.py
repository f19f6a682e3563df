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
