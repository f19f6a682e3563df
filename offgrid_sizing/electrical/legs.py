"""Lines of the home: which appliance sits where, how even they are, what the neutral carries."""

from dataclasses import dataclass
from math import sqrt
from typing import Literal

from offgrid_sizing.electrical.phasors import (
    Load,
    largest_sum,
    line_currents_a,
    neutral_currents_a,
)
from offgrid_sizing.sketch import Appliance
from offgrid_sizing.words import sentence

Arrangement = Literal["single", "parallel", "split_phase", "three_phase"]
LINES = {
    "single": ("L1",),
    "parallel": ("L1",),
    "split_phase": ("L1", "L2"),
    "three_phase": ("L1", "L2", "L3"),
}
IMBALANCE_LIMIT_FRAC = 0.10  # common practice, no source


@dataclass(frozen=True)
class Placed:
    """One appliance kind on its line.

    Parameters
    ----------
    name : str
    va : float
        Running VA of all of this kind. [VA]
    line : str
        "L1", "L2", "L3" or two joined by a dash.
    by : str
        "sketch" where the sketch says so, "balance" where it was put to even the lines.
    power_factor : float
        Lagging.
    """

    name: str
    va: float
    line: str
    by: str
    power_factor: float = 1.0


@dataclass(frozen=True)
class Legs:
    """The connected running load by line.

    Parameters
    ----------
    placed : tuple of Placed
    va : dict of str to float
        What the machine of each line gives while all runs: the line's current times its voltage to
        neutral. A load across two lines counts half on each in split phase and 1/√3 on each, 30°
        off, on three phases. [VA]
    imbalance_frac : float
        Largest departure from the mean, over the mean; 0 with one line or no load.
    limit_frac : float
        What is accepted.
    neutral_a : float
        Current of the common neutral when everything runs at once. [A]
    neutral_worst_a : float
        The largest over all ways of switching the appliances, one or two lines off included. [A]
    across : tuple of str
        Appliances across two lines.
    faults : tuple of str
    notes : tuple of str
        Appliances put on another line than the sketch names.
    """

    placed: tuple[Placed, ...]
    va: dict[str, float]
    imbalance_frac: float
    limit_frac: float
    neutral_a: float
    neutral_worst_a: float
    across: tuple[str, ...]
    faults: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def balanced(self) -> bool:
        """Whether the lines are even within the limit."""
        return self.imbalance_frac <= self.limit_frac


def neutral_current_a(arrangement: Arrangement, amperes: tuple[float, ...]) -> float:
    """Neutral current from the line currents, all of the same power factor. [A]

    Split phase: the difference. Three phase: phasor sum of three currents 120° apart,
    sqrt(a² + b² + c² − ab − bc − ca). One phase: the line's own current.

    >>> neutral_current_a("split_phase", (30.0, 22.0))
    8.0
    >>> neutral_current_a("three_phase", (10.0, 10.0, 10.0))
    0.0
    """
    if arrangement == "split_phase":
        return abs(amperes[0] - amperes[1])
    if arrangement == "three_phase":
        a, b, c = amperes
        return sqrt(max(0.0, a * a + b * b + c * c - a * b - b * c - c * a))
    return amperes[0]


def _running_va(appliance: Appliance) -> float:
    return appliance.count * appliance.running_w / appliance.power_factor


def _place(
    appliance: Appliance, lines: tuple[str, ...], va: dict[str, float]
) -> tuple[str, str, str | None]:
    """Line, who chose it, and a fault if what the sketch asks cannot be."""
    wish = appliance.leg
    lightest = min(lines, key=lambda line: (va[line], line))
    if wish == "L1-L2":
        if len(lines) > 1:
            return wish, "sketch", None
        fault = sentence("arrangement.no_second_line", name=appliance.name)
        return "L1", "balance", fault
    if wish in lines:
        return wish, "sketch", None
    return lightest, "balance", None


def legs_of(appliances: tuple[Appliance, ...], arrangement: Arrangement, output_v: float) -> Legs:
    """Put every appliance on a line, the free ones largest first onto the lightest line.

    Parameters
    ----------
    appliances : tuple of Appliance
    arrangement : str
    output_v : float
        Line to neutral. [V]

    Notes
    -----
    Connected running VA, everything on at once: a fair weight for balancing. On three phases
    currents are added as vectors, each load lagging by its power factor; elsewhere as numbers,
    which is the safe side. The greedy rule is the longest-processing-time rule, within 7/6 of the
    best for two lines (Graham, 1969).
    """
    lines = LINES[arrangement]
    va = dict.fromkeys(lines, 0.0)
    placed, faults = [], []
    fixed_first = sorted(appliances, key=lambda a: (a.leg == "auto", -_running_va(a), a.name))
    for appliance in fixed_first:
        line, by, fault = _place(appliance, lines, va)
        own_va = _running_va(appliance)
        for part in line.split("-"):
            va[part] += own_va / len(line.split("-"))
        placed.append(Placed(appliance.name, own_va, line, by, appliance.power_factor))
        faults += [fault] if fault else []
    loads = [Load(one.line, one.va, one.power_factor) for one in placed]
    if arrangement == "three_phase":
        amperes = line_currents_a(loads, arrangement, output_v)
        va = {line: abs(amperes[line]) * output_v for line in lines}
    mean = sum(va.values()) / len(lines)
    imbalance = max(abs(x - mean) for x in va.values()) / mean if mean > 0 else 0.0
    across = tuple(p.name for p in placed if "-" in p.line)
    return Legs(
        placed=tuple(placed),
        va=va,
        imbalance_frac=imbalance,
        limit_frac=IMBALANCE_LIMIT_FRAC,
        neutral_a=_all_on_a(arrangement, loads, output_v),
        neutral_worst_a=_worst_a(arrangement, loads, output_v),
        across=across,
        faults=tuple(faults),
        notes=_moved(appliances, lines),
    )


def _to_neutral_a(loads: list[Load], line: str, output_v: float) -> float:
    return sum(load.va for load in loads if load.line == line) / output_v


def _all_on_a(arrangement: Arrangement, loads: list[Load], output_v: float) -> float:
    """Neutral current with everything on. [A]"""
    if arrangement == "three_phase":
        return abs(sum(neutral_currents_a(loads, arrangement, output_v)))
    amperes = (_to_neutral_a(loads, line, output_v) for line in LINES[arrangement])
    return neutral_current_a(arrangement, tuple(amperes))


def _worst_a(arrangement: Arrangement, loads: list[Load], output_v: float) -> float:
    """Largest neutral current over all ways of switching the loads. [A]"""
    if arrangement == "three_phase":
        return largest_sum(neutral_currents_a(loads, arrangement, output_v))
    # In split phase the other line's loads only take away, so the worst is that line switched off.
    return max(_to_neutral_a(loads, line, output_v) for line in LINES[arrangement])


def _moved(appliances: tuple[Appliance, ...], lines: tuple[str, ...]) -> tuple[str, ...]:
    """One sentence on appliances whose line this arrangement does not have."""
    moved = [a.name for a in appliances if a.leg in ("L1", "L2", "L3") and a.leg not in lines]
    if not moved:
        return ()
    return (sentence(f"arrangement.moved_{len(lines)}", names=", ".join(moved)),)
