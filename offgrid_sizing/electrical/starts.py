"""Whether each motor of a home starts: on the bank, on the generator, on the grid.

A start is judged twice: beside everything else that may run at that moment, and alone. On the
bank the inverter-chargers' overload against time, the bank's 10 s current and its sag count; on a
generator its largest start; on a grid the dip over its line. The running load afterwards must be
carried as well. What else may run is taken at its most on every line, the safe side.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from offgrid_sizing.electrical.bank import discharge_a, lowest_bank_v
from offgrid_sizing.electrical.legs import LINES
from offgrid_sizing.electrical.overload import (
    DIP_LIMIT_FRAC,
    dip_frac,
    generator_reactance_frac,
    line_ohm,
    overload_spent,
    sag_v,
)
from offgrid_sizing.electrical.readings import rest_voltage_v
from offgrid_sizing.loads.boundary import unprotected_peak
from offgrid_sizing.loads.motors import StartEvent, start_event
from offgrid_sizing.loads.peaks import leg_shares, seasons
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System

VERDICTS = ("starts", "alone", "trips")
USABLE_LEFT_FRAC = 0.1  # of the bank's usable charge, when a start is judged
PEAK_S = 10.0  # as long a unit gives its peak current


@dataclass(frozen=True)
class Company:
    """What starts, on which lines, and the most that may run beside it there.

    `grid_beside_va` is what the unprotected supply may draw on its fullest line: on the grid alone.
    """

    event: StartEvent
    share: tuple[float, ...]
    beside_va: tuple[float, ...]
    beside_w: float
    grid_beside_va: float = 0.0


@dataclass(frozen=True)
class Strain:
    """What one start does to its source, and the limit it breaks ("" where none).

    Parameters
    ----------
    limit : str
        "overload": the machines' overload against time; "rating": the running load after it;
        "current": of the bank's units; "sag": the bank's voltage; "generator": its largest start;
        "dip": the grid's voltage.
    load_frac : float
        Largest load over the rating of the machines on a line, or of the generator.
    spent_frac : float or None
        Share of the machines' overload that the start spends; 1 trips them.
    bank_v, bank_a, dip_frac : float or None
        Where the source has them; a collapsed bank has none.
    start_s : float
        Length of the start at the voltage left. [s]
    """

    limit: str
    load_frac: float
    start_s: float
    spent_frac: float | None = None
    bank_v: float | None = None
    bank_a: float | None = None
    dip_frac: float | None = None


@dataclass(frozen=True)
class SourceStart:
    """A start on one source: beside all else, alone, and how much may run beside it."""

    source: str
    verdict: str
    beside: Strain
    alone: Strain
    room_va: float


@dataclass(frozen=True)
class MotorStart:
    """One motor's verdict: the worst of its sources, with remedies that were tried."""

    event: StartEvent
    beside_va: float
    sources: tuple[SourceStart, ...]
    remedies: tuple[str, ...] = ()

    @property
    def worst(self) -> SourceStart:
        """The source on which it fares worst."""
        return max(self.sources, key=lambda one: VERDICTS.index(one.verdict))

    @property
    def verdict(self) -> str:
        """One of `VERDICTS`."""
        return self.worst.verdict

    @property
    def starts_nowhere(self) -> bool:
        """Whether no source starts it, even with nothing else on."""
        return all(one.verdict == "trips" for one in self.sources)


@dataclass(frozen=True)
class Leads:
    """Resistance between cells and machines: both leads of a unit, and of one machine. [Ω]"""

    unit_ohm: float
    machine_ohm: float


def companies(sketch: Sketch, arrangement: str) -> tuple[Company, ...]:
    """Every start of the home with what may run beside it, in the appliances' order."""
    lines, unprotected = len(LINES[arrangement]), unprotected_peak(sketch)
    on_grid_va = max(unprotected.leg_va.values()) if unprotected else 0.0
    found: dict[int, Company] = {}
    for moments in seasons(sketch) if sketch.loads.protected else ():
        shares = leg_shares(moments, lines)
        by_line = [(moments.running_va * shares[:, k]) @ moments.allowed for k in range(lines)]
        total_w = moments.running_w @ moments.allowed
        for row, appliance in enumerate(moments.appliances):
            event, at = start_event(sketch, appliance), moments.allowed[row] > 0
            if event is None or not at.any():
                continue
            most = np.array([values[at].max() for values in by_line])
            share = _lines_of(appliance.leg, event, shares[row], most)
            beside_va = np.maximum(most - event.running_va * share, 0.0)
            beside_w = max(float(total_w[at].max()) - event.running_w, 0.0)
            key = sketch.loads.protected.index(appliance)
            old = found.get(key)
            if old is None or sum(old.beside_va) < beside_va.sum():
                found[key] = Company(
                    event, tuple(share.tolist()), tuple(beside_va.tolist()), beside_w, on_grid_va
                )
    return tuple(found[key] for key in sorted(found))


def _lines_of(leg: str, event: StartEvent, shares: np.ndarray, most: np.ndarray) -> np.ndarray:
    """Share of one unit's start on each line: where it sits, of several the fullest line."""
    if event.motor == "three_phase" and len(shares) == 3:
        return np.full(3, 1 / 3)
    if leg == "L1-L2" and len(shares) > 1:
        return np.asarray(shares, dtype=float)
    on = np.where(shares > 0, most, -inf)
    return np.eye(len(shares))[int(on.argmax())]


def strain_on_bank(
    sketch: Sketch, system: System, leads: Leads, company: Company, part: float = 1.0
) -> Strain:
    """The start on inverter-chargers and bank, beside a part of what may run."""
    machine, unit, event = sketch.equipment.inverter, sketch.equipment.battery, company.event
    line_va = machine.rated_va * system.inverters / len(company.share)
    share, beside = np.array(company.share), part * np.array(company.beside_va)
    during = float((beside + event.start_va * share)[share > 0].max()) / line_va
    after = float((beside + event.running_va * share)[share > 0].max()) / line_va
    spent = overload_spent(machine, [(during, event.start_s)])
    power_w = event.start_w + part * company.beside_w
    dc_w = discharge_a(sketch, power_w, 1.0)
    rest_v, ohm = _source_of(sketch, system, leads)
    volts = sag_v(rest_v, ohm, dc_w)
    amperes = dc_w / volts if volts else None
    each = unit.peak_discharge_a if event.start_s <= PEAK_S else unit.max_discharge_a
    bears_a = each * system.units_in_parallel
    if spent >= 1.0:
        limit = "overload"
    elif volts is None or amperes is None or volts < lowest_bank_v(sketch, system):
        limit = "sag"
    elif amperes > bears_a:
        limit = "current"
    else:
        limit = "rating" if after > 1.0 else ""
    return Strain(limit, during, event.start_s, spent, volts, amperes)


def _source_of(sketch: Sketch, system: System, leads: Leads) -> tuple[float, float]:
    """Rest voltage of the nearly empty bank, and the resistance up to the machines. [V, Ω]"""
    unit, series = sketch.equipment.battery, system.units_in_series
    soc = 1 - unit.usable_dod_frac * (1 - USABLE_LEFT_FRAC)
    ohm = (unit.internal_resistance_ohm * series + leads.unit_ohm) / system.units_in_parallel
    return rest_voltage_v(unit, series, soc), ohm + leads.machine_ohm / system.inverters


def strain_on_generator(sketch: Sketch, company: Company, part: float = 1.0) -> Strain:
    """The start on the generator alone: its largest start, and the dip of the step."""
    generator, event = sketch.generator, company.event
    assert generator is not None
    rated, beside = generator.rated_w, part * sum(company.beside_va)
    step = dip_frac(generator_reactance_frac(generator.start_multiple), event.start_va / rated)
    during = (beside + event.start_va) / rated
    limit = "generator" if during > generator.start_multiple else ""
    if not limit and beside + event.running_va > rated:
        limit = "rating"
    return Strain(limit, during, _slower(event.start_s, step), dip_frac=step)


def strain_on_grid(sketch: Sketch, system: System, company: Company, part: float = 1.0) -> Strain:
    """The start on the grid: the dip over the line's impedance on the motor's own line."""
    event, volts = company.event, sketch.equipment.inverter.output_v
    share = np.array(company.share)
    beside = part * (np.array(company.beside_va) + company.grid_beside_va)
    line_va = float((beside + event.start_va * share)[share > 0].max())
    ohm = line_ohm(sketch.grid.line_ohm, volts)
    dip = dip_frac(ohm / volts, line_va / volts)
    limit_va = sketch.grid.import_limit_w / len(company.share)
    limit = "dip" if dip > DIP_LIMIT_FRAC else ""
    return Strain(limit, line_va / limit_va, _slower(event.start_s, dip), dip_frac=dip)


def _slower(start_s: float, dip: float) -> float:
    """Torque goes with volts squared, so does the time a start takes (the load's own left out)."""
    return start_s / (1 - dip) ** 2


def sources_of(sketch: Sketch, system: System) -> tuple[str, ...]:
    """What may have to carry a start: a bank, a generator, a grid."""
    there = {
        "bank": system.units > 0,
        "generator": sketch.generator is not None,
        "grid": sketch.grid.kind != "none",
    }
    return tuple(name for name, is_there in there.items() if is_there)


def strain_on(
    source: str, sketch: Sketch, system: System, leads: Leads, company: Company, part: float = 1.0
) -> Strain:
    """The start on one of `sources_of`, beside a part of what may run."""
    if source == "bank":
        return strain_on_bank(sketch, system, leads, company, part)
    if source == "generator":
        return strain_on_generator(sketch, company, part)
    return strain_on_grid(sketch, system, company, part)


def starts_beside_all(sketch: Sketch, system: System, leads: Leads, company: Company) -> bool:
    """Whether every source starts it beside all that may run."""
    return not any(
        strain_on(source, sketch, system, leads, company).limit
        for source in sources_of(sketch, system)
    )


def judged(sketch: Sketch, system: System, leads: Leads, company: Company) -> MotorStart:
    """One motor on every source of a system."""

    def on(source: str, part: float) -> Strain:
        return strain_on(source, sketch, system, leads, company, part)

    found = []
    for source in sources_of(sketch, system):
        beside, alone = on(source, 1.0), on(source, 0.0)
        verdict = "starts" if not beside.limit else "alone" if not alone.limit else "trips"
        room = 1.0 if verdict == "starts" else 0.0
        if verdict == "alone":
            room = _largest_part(lambda part, source=source: not on(source, part).limit)
        found.append(SourceStart(source, verdict, beside, alone, room * sum(company.beside_va)))
    return MotorStart(company.event, sum(company.beside_va), tuple(found))


def _largest_part(fits) -> float:
    """Largest part of what may run beside that still fits; the rule is monotone."""
    low, high = 0.0, 1.0
    for _ in range(24):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low
