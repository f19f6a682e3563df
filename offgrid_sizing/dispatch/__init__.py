"""The energy balance: one step's rules, run over a year for one design or for many at once."""

from offgrid_sizing.dispatch.cache import kernel_cache_dir, kernels_ready
from offgrid_sizing.dispatch.kernels import FLOWS, SERIES
from offgrid_sizing.dispatch.lanes import LaneSums, Stopped, cpu_count, run_lanes, run_planes
from offgrid_sizing.dispatch.params import Params
from offgrid_sizing.dispatch.trace import COLUMNS, EnergyError, Trace, outlast, residual_frac, run
from offgrid_sizing.dispatch.warm import warm_kernels, warm_kernels_in_subprocess

__all__ = [
    "COLUMNS",
    "FLOWS",
    "SERIES",
    "EnergyError",
    "LaneSums",
    "Params",
    "Stopped",
    "Trace",
    "cpu_count",
    "kernel_cache_dir",
    "kernels_ready",
    "outlast",
    "residual_frac",
    "run",
    "run_lanes",
    "run_planes",
    "warm_kernels",
    "warm_kernels_in_subprocess",
]
