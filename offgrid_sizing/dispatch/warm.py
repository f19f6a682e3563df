"""Compiling the kernels ahead of need, here or in a process of low priority."""

import os
import subprocess
import sys

import numpy as np

from offgrid_sizing.dispatch import kernels
from offgrid_sizing.dispatch.cache import kernel_cache_dir, kernels_are_ready, kernels_ready
from offgrid_sizing.dispatch.lanes import run_lanes, run_planes
from offgrid_sizing.dispatch.params import Params
from offgrid_sizing.dispatch.trace import outlast, run


def _run_small(bends: int) -> None:
    """The smallest runs that make the compiler do all of its work for curves of so many bends."""
    curve = tuple((k + 1.0, k + 1.0) for k in range(bends + 1))
    params = Params({**dict.fromkeys(("ctrl", "charger", "ce", "de", "h"), 1), "curve": curve})
    series = np.zeros((2, len(kernels.SERIES)))
    run(params, series, compiled=True)
    outlast(params, series, np.zeros(2), most=1)
    run_lanes(params, {}, [series])
    run_planes(np.zeros((1, 11)), np.zeros((1, 9)), np.ones(2), 0.0)


def warm_kernels(*, long: bool = False) -> None:
    """Compile the kernels, or load them from the cache, and say so to other processes.

    `long`: those for sheets of more points than usual, which have loops of their own.
    """
    _run_small(kernels.BENDS if long else kernels.FEW_BENDS)
    kernels_are_ready(long=long)


def warm_kernels_in_subprocess(*, long: bool = False) -> subprocess.Popen | None:
    """Fill the cache in a process of low priority, so that this one stays quick meanwhile.

    Returns
    -------
    Popen or None
        None when nothing is to be done: ready already, or nowhere to keep compiled code.
    """
    if kernels_ready(long=long) or kernel_cache_dir() is None:
        return None
    code = (
        "from offgrid_sizing.dispatch.cache import step_back; "
        "from offgrid_sizing.dispatch.warm import warm_kernels; "
        f"step_back(); warm_kernels(long={long})"
    )
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(filter(None, sys.path))}
    return subprocess.Popen([sys.executable, "-c", code], env=environment)
