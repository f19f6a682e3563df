"""The energy balance: one step's rules, run over a year for one design or for many at once."""

from offgrid_sizing.dispatch.kernels import FLOWS, SERIES
from offgrid_sizing.dispatch.trace import (
    COLUMNS,
    EnergyError,
    Params,
    Trace,
    residual_frac,
    run,
)

__all__ = ["COLUMNS", "FLOWS", "SERIES", "EnergyError", "Params", "Trace",
           "residual_frac", "run"]  # fmt: skip
