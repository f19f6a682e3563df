"""The smallest runs that make the compiler do all of its work."""

import numpy as np

from offgrid_sizing.dispatch import kernels
from offgrid_sizing.dispatch.lanes import run_lanes, run_planes
from offgrid_sizing.dispatch.params import Params
from offgrid_sizing.dispatch.trace import outlast, run


def run_small() -> None:
    """Two steps through each of the loops."""
    params = Params(dict.fromkeys(("ctrl", "ray", "charger", "ce", "de", "h", "b1", "b2", "b3"), 1))
    series = np.zeros((2, len(kernels.SERIES)))
    run(params, series, compiled=True)
    outlast(params, series, np.zeros(2), most=1)
    run_lanes(params, {}, [series])
    run_planes(np.zeros((1, 11)), np.zeros((1, 9)), np.ones(2), 0.0)
