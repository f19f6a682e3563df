"""Currents of several lines as vectors: what each line, and the neutral they share, carries."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import acos

import numpy as np

ANGLES_DEG = {
    "single": {"L1": 0.0},
    "parallel": {"L1": 0.0},
    "split_phase": {"L1": 0.0, "L2": 180.0},
    "three_phase": {"L1": 0.0, "L2": -120.0, "L3": 120.0},
}


@dataclass(frozen=True)
class Load:
    """What runs on a line, or across two joined by a dash; the power factor lags. [VA]"""

    line: str
    va: float
    power_factor: float = 1.0


def _line_voltages(arrangement: str, line_v: float) -> dict[str, complex]:
    angles = ANGLES_DEG[arrangement].items()
    return {line: complex(line_v * np.exp(1j * np.radians(deg))) for line, deg in angles}


def _current_a(load: Load, volts: complex) -> complex:
    """Current of a load at its own voltage, lagging behind it. [A]"""
    angle = np.angle(volts) - acos(min(1.0, load.power_factor))
    return complex(load.va / abs(volts) * np.exp(1j * angle))


def line_currents_a(loads: Sequence[Load], arrangement: str, line_v: float) -> dict[str, complex]:
    """Current in each line as a vector, that of a load across two lines there and back.

    Parameters
    ----------
    loads : sequence of Load
    arrangement : str
    line_v : float
        Line to neutral. [V]

    Notes
    -----
    A load of S across two lines draws S / U between them: S / (√3 U0) on three phases, 30° off
    either line's voltage.

    >>> one = line_currents_a([Load("L1-L2", 9600)], "three_phase", 230)
    >>> [round(abs(one[line]), 2) for line in ("L1", "L2", "L3")]
    [24.1, 24.1, 0.0]
    """
    volts = _line_voltages(arrangement, line_v)
    found = dict.fromkeys(volts, 0j)
    for load in loads:
        first, *second = load.line.split("-")
        if not second:
            found[first] += _current_a(load, volts[first])
            continue
        amperes = _current_a(load, volts[first] - volts[second[0]])
        found[first] += amperes
        found[second[0]] -= amperes
    return found


def neutral_currents_a(loads: Sequence[Load], arrangement: str, line_v: float) -> list[complex]:
    """What each load between line and neutral puts into the neutral, as vectors. [A]"""
    volts = _line_voltages(arrangement, line_v)
    return [_current_a(load, volts[load.line]) for load in loads if "-" not in load.line]


def largest_sum(vectors: Sequence[complex]) -> float:
    """Largest length of a sum of some of the vectors, over all ways of choosing them.

    The best choice for a direction is every vector that points its way at all; it changes only
    where a vector stands square to the direction, so one direction between each two such is enough.

    >>> largest_sum([10, -7]), round(largest_sum([10, 10j]), 3), largest_sum([])
    (10.0, 14.142, 0.0)
    """
    found = np.array([vector for vector in vectors if vector != 0], dtype=complex)
    if not len(found):
        return 0.0
    edges = np.concatenate([np.angle(found) + np.pi / 2, np.angle(found) - np.pi / 2])
    edges = np.sort(np.mod(edges, 2 * np.pi))
    middles = (edges + np.append(edges[1:], edges[0] + 2 * np.pi)) / 2
    reach = np.real(found[None, :] * np.exp(-1j * middles)[:, None])
    sums = np.where(reach > 0, found[None, :], 0).sum(axis=1)
    return float(np.abs(sums).max())
