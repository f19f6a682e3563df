"""What one module gives on each roof plane, to compare planes before any is counted."""

import numpy as np

from offgrid_sizing.pv_array import ArrayOutput


def module_kwh_by_plane(output: ArrayOutput) -> np.ndarray:
    """Daily energy of one module by plane and month over all years, all array losses taken.

    Returns
    -------
    float64 array, shape (planes, 12)
        [kWh/day]
    """
    month = output.time.month.to_numpy()
    power = output.module_w.mean(axis=1)
    return np.stack([power[:, month == m].mean(axis=1) for m in range(1, 13)], axis=1) * 24 / 1000
