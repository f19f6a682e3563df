"""Unserved energy of every bank size at once, from the falls of one series of net energy.

A bank of usable capacity C that begins full holds x ← clip(x + n, 0, C) after the net energy n of
a step; what is cut off at 0 is unserved. Let charge fill the empty Wh nearest full first and a drop
empty the full ones nearest full first. Then, step by step, the full Wh of a bank are those of any
larger one down to its own bottom: a Wh at depth z below full does the same in every bank that has
it (`dispatch.layers`), and what a drop does not find above the bottom is unserved. With u(z) for
how often the Wh at depth z is emptied

    U(C) = all drops − ∫₀ᶜ u(z) dz,   −dU/dC = u(C),   U(C) = Σ max(rᵢ − C, 0)

where the falls rᵢ are the depths of which u(z) are deeper than z. They are the falls of the
cumulated net energy, paired as on a stack: a lesser fall and the rise that makes it good are taken
out of the greater one that goes on below them. A fall that nothing makes good any more counts like
any other; of the end nothing is assumed, of the begin that the bank is full.

That a store is sized by the falls of its cumulated inflow is Rippl's (Minutes of Proceedings of the
Institution of Civil Engineers 71, 1883, 270; from memory); numbering the Wh, which makes the sum
exact, is an own derivation.
"""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.dispatch.cache import compiled_kernels


@dataclass(frozen=True, eq=False)
class Falls:
    """Falls in rising order of depth; arrays of shape (k,).

    Parameters
    ----------
    depth_wh : float64 array
    times : float64 array
        How many falls end at this depth, less those that begin to count there.
    worth : float64 array
        The same, each fall with what a Wh of it is worth.
    always_wh : float
        Unserved whatever the capacity. [Wh]
    """

    depth_wh: np.ndarray
    times: np.ndarray
    worth: np.ndarray
    always_wh: float


def falls_of(net_wh: np.ndarray, *, worth=1.0, times=1.0, always_wh: float = 0.0) -> Falls:
    """The falls of a store that begins full.

    Parameters
    ----------
    net_wh : float64 array, shape (m,)
        Into the store, negative out of it, in order. [Wh]
    worth, times : float or float64 arrays, shape (m,)
        What a Wh of each drop and the drop itself count.

    >>> falls_of(np.array([-5.0, 3.0, -4.0])).depth_wh
    array([3., 6.])
    """
    net = np.ascontiguousarray(net_wh, dtype=np.float64)
    count = len(net)
    weights = [np.broadcast_to(one, count).astype(np.float64) for one in (worth, times)]
    edges, top, bottom = np.empty((3, 2 * count + 1)), np.zeros(count), np.full(count, np.inf)
    found = compiled_kernels().layers_used(net, *weights, *edges, top, bottom)
    depth, more_worth, more_times = edges[:, :found][:, np.argsort(edges[0, :found])]
    first = 1 + np.flatnonzero(np.diff(depth) > 0)  # edges at 0 are where falls begin
    depth = depth[first]
    more_worth, more_times = (np.add.reduceat(one, first) for one in (more_worth, more_times))
    some = (more_worth != 0) | (more_times != 0)
    return Falls(depth[some], more_times[some], more_worth[some], always_wh)


def unserved_wh(falls: Falls, capacity_wh) -> np.ndarray:
    """Unserved energy of banks of any number of usable capacities. [Wh]"""
    bends = np.append(0.0, falls.depth_wh)
    # added up from the deepest fall, beyond which nothing is unserved: small sums keep their digits
    lost = _deeper(np.diff(bends) * _deeper(falls.worth)[:-1])
    return falls.always_wh + np.interp(capacity_wh, bends, lost)


def uses_per_year(falls: Falls, capacity_wh) -> np.ndarray:
    """How often the last Wh of these banks is emptied: the falls deeper than the capacity.

    Of a capacity that is a fall's very depth: the first Wh beyond it.
    """
    at = np.searchsorted(falls.depth_wh, np.asarray(capacity_wh, dtype=np.float64), side="right")
    return _deeper(falls.times)[at]


def _deeper(values: np.ndarray) -> np.ndarray:
    """Sum from each place on, and 0 beyond the last; shape (k + 1,)."""
    return np.append(np.cumsum(values[::-1])[::-1], 0.0)
