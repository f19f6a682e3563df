"""How paralleled battery units share the current: leads and busbars as a linear network."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.words import sentence

Feed = Literal["end", "diagonal", "centre"]
FEEDS: tuple[Feed, ...] = ("diagonal", "centre", "end")


@dataclass(frozen=True)
class Sharing:
    """Shares of the bank's current, unit by unit along the busbar.

    Parameters
    ----------
    feed : str
        Where the busbars are tapped.
    shares : tuple of float
        Each unit's share of the total, adding up to 1.
    worst_unit : int
        Number of the unit that works hardest, counted from 1.
    worst_ratio : float
        Its share over the equal share.
    """

    feed: Feed
    shares: tuple[float, ...]
    worst_unit: int
    worst_ratio: float

    @property
    def over_equal_frac(self) -> float:
        """By how much the worst unit's share exceeds an equal one; no last digit below nothing."""
        return max(self.worst_ratio - 1, 0.0)


def _ends(feed: Feed, units: int) -> tuple[float, float]:
    """Places of the positive and negative tap along the busbar, in segments from unit 1."""
    last = float(units - 1)
    return {"end": (0.0, 0.0), "diagonal": (0.0, last), "centre": (last / 2, last / 2)}[feed]


def _bar(units: int, first: int, tap: float, segment_ohm: float) -> tuple[list, int, int]:
    """Branches (node, node, Ω) of one busbar; a tap between two units is a node of its own."""
    left = int(tap)
    between = tap - left
    tap_node = first + units if between else first + left
    branches = []
    for unit in range(units - 1):
        here, there = first + unit, first + unit + 1
        if between and unit == left:
            branches.append((here, tap_node, segment_ohm * between))
            branches.append((tap_node, there, segment_ohm * (1 - between)))
        else:
            branches.append((here, there, segment_ohm))
    return branches, tap_node, first + units + (1 if between else 0)


def current_shares(
    units: int, unit_ohm: float, segment_ohm: float, feed: Feed = "diagonal"
) -> Sharing:
    """Share of each of several equal units joined along two busbars.

    All units have the same source voltage, so the currents follow from the resistances alone:
    a linear network with the total current drawn between the two taps, solved by node voltages.

    Parameters
    ----------
    units : int
        Units (or series groups) in parallel.
    unit_ohm : float
        Inner resistance of a unit and both its leads, above zero. [Ω]
    segment_ohm : float
        Busbar between two neighbours, one polarity. [Ω]
    feed : {"end", "diagonal", "centre"}
        Both taps at unit 1; positive at unit 1 and negative at the last; both in the middle.

    Raises
    ------
    BadInput
        Without a unit, or with a resistance that is not above zero.

    Notes
    -----
    Two units, end-fed: the first carries (R + 2r) / (2R + 2r). Three, diagonal: the outer ones
    carry (R + r) / R times the middle one.

    >>> [round(share, 4) for share in current_shares(2, 1.0, 0.5, "end").shares]
    [0.6667, 0.3333]
    """
    if units < 1:
        raise BadInput(sentence("bank.no_unit"))
    if not unit_ohm > 0 or segment_ohm < 0:
        raise BadInput(sentence("bank.no_resistance", unit_ohm=unit_ohm, busbar_ohm=segment_ohm))
    if segment_ohm < unit_ohm * 1e-7:  # far below any effect, and the network would be singular
        return Sharing(feed, (1 / units,) * units, 1, 1.0)
    plus_tap, minus_tap = _ends(feed, units)
    plus, plus_node, free = _bar(units, 0, plus_tap, segment_ohm)
    minus, minus_node, nodes = _bar(units, free, minus_tap, segment_ohm)
    pairs = [(unit, free + unit, unit_ohm) for unit in range(units)]
    volts = _node_voltages([*plus, *minus, *pairs], nodes, plus_node, minus_node)
    shares = tuple(float((volts[a] - volts[b]) / ohm) for a, b, ohm in pairs)
    worst = max(range(units), key=lambda unit: shares[unit])
    return Sharing(feed, shares, worst + 1, shares[worst] * units)


def _node_voltages(branches: list, nodes: int, source: int, sink: int) -> np.ndarray:
    """Node voltages with 1 A put in at `source` and taken out at `sink`, the sink at 0 V."""
    matrix = np.zeros((nodes, nodes))
    for a, b, ohm in branches:
        siemens = 1 / ohm
        matrix[a, a] += siemens
        matrix[b, b] += siemens
        matrix[a, b] -= siemens
        matrix[b, a] -= siemens
    current = np.zeros(nodes)
    current[source], current[sink] = 1.0, -1.0
    kept = [node for node in range(nodes) if node != sink]
    volts = np.zeros(nodes)
    if source != sink:
        volts[kept] = np.linalg.solve(matrix[np.ix_(kept, kept)], current[kept])
    return volts


def all_feeds(units: int, unit_ohm: float, segment_ohm: float) -> tuple[Sharing, ...]:
    """The three ways of tapping, most even first. Ties keep diagonal before centre before end."""
    found = [current_shares(units, unit_ohm, segment_ohm, feed) for feed in FEEDS]
    return tuple(sorted(found, key=lambda one: round(one.worst_ratio, 9)))
