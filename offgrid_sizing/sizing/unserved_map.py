"""The map of unserved energy over bank × array."""

import numpy as np

from offgrid_sizing.sizing.field import Field
from offgrid_sizing.sizing.least import LeastBanks
from offgrid_sizing.sizing.result import UnservedMap
from offgrid_sizing.sizing.scan import Tried, every_system, thin, try_systems

MAP_UNITS, MAP_ARRAYS = 30, 30


def unserved_map(field: Field, least: LeastBanks, tried: Tried, whole: bool, stop) -> UnservedMap:
    """Unserved share over bank × array, at most 30 × 30."""
    c = field.candidates
    units, arrays = thin(c.units, MAP_UNITS), thin(np.arange(len(c.modules)), MAP_ARRAYS)
    if not whole:
        tried = try_systems(field, least, *every_system(field, units, arrays), stop)
    order = np.lexsort(  # for each pair the first is shown
        (
            np.where(tried.met, tried.least_cost, tried.unserved_frac),
            ~tried.met,
            tried.arrays,
            tried.units,
        )
    )
    pairs = tried.units[order] * len(c.modules) + tried.arrays[order]
    kept, first = np.unique(pairs, return_index=True)
    wanted = (units[:, None] * len(c.modules) + arrays[None, :]).ravel()
    rows = order[first[np.searchsorted(kept, wanted)]]
    shape = (len(units), len(arrays))
    return UnservedMap(
        units=units,
        modules=c.modules[arrays],
        inverters=tried.inverters[rows].reshape(shape),
        unserved_frac=tried.unserved_frac[rows].reshape(shape),
        met=tried.met[rows].reshape(shape),
    )
