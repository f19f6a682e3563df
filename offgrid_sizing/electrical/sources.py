"""Every source of current with its limits, its means of disconnection and its own device."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from offgrid_sizing.electrical.bank import BankWiring
from offgrid_sizing.electrical.protection import Device
from offgrid_sizing.electrical.run_need import Choice, RunNeed
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.electrical.source_device import Feed, feeds
from offgrid_sizing.electrical.strings import InputPlan
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import Said, said

Sized = tuple[RunNeed, Choice]
SourceKind = Literal["grid", "generator", "inverter", "array", "unit"]


@dataclass(frozen=True)
class Source:
    """One source of current; grid and generator by the line, an array by the controller input.

    Parameters
    ----------
    kind : {"grid", "generator", "inverter", "array", "unit"}
    name : Said
    rated_w, rated_a : float
        What it gives for long, in all and on each line. [W], [A]
    largest_a : float
        Largest current it gives in use: a start, the brightest sky, ten seconds of a unit. [A]
    short_circuit_a : float or None
        What it gives into a short circuit; None where nobody has said it. [A]
    isolated : bool or None
        Whether nothing joins it to the other sources but a transformer; None: not known.
    disconnect : Said
        How it is cut off.
    run : str
        Key of the run its device protects.
    device : Device or None
    no_device : str
        Why none is needed; empty where there is one.
    usable_a : float
        What the conductors behind the device carry. [A]
    notes : tuple of Said
        What is not known, and what follows.
    """

    kind: SourceKind
    name: Said
    rated_w: float
    rated_a: float
    largest_a: float
    short_circuit_a: float | None
    isolated: bool | None
    disconnect: Said
    run: str
    device: Device | None
    no_device: str
    usable_a: float
    notes: tuple[Said, ...] = ()

    @property
    def limit_known(self) -> bool:
        """Whether its short-circuit current is known."""
        return self.short_circuit_a is not None


def _common(kind: SourceKind, run: Sized) -> dict:
    need, shown = run
    return {
        "kind": kind,
        "disconnect": said(f"sources.disconnect.{kind}"),
        "run": need.key,
        "device": shown.device,
        "no_device": "" if shown.device else need.no_device,
        "usable_a": shown.judged.usable_a,
    }


def _feed(sketch: Sketch, feed: Feed, run: Sized) -> Source:
    own = sketch.generator
    multiple, short_a = 1.0, None
    if feed.source == "grid":
        known_ka = sketch.grid.prospective_short_circuit_ka
        short_a = None if known_ka is None else 1000 * known_ka
    elif own is not None:
        multiple, short_a = own.start_multiple, own.short_circuit_a
    notes = [] if short_a else [said(f"sources.unknown.{feed.source}")]
    if feed.device_bears_a < feed.rated_a * (1 - 1e-9):
        notes.append(said("sources.device_below", lasting_a=round(feed.lasting_a, 1)))
    if feed.beside_a:
        notes.append(said("sources.carries_beside", beside_a=round(feed.beside_a, 1)))
    common = _common(feed.source, run)
    if sketch.grid.kind == "none":  # a generator alone: nothing to transfer between
        common["disconnect"] = said("sources.disconnect.generator_alone")
    return Source(
        name=said(f"sources.kind.{feed.source}"),
        rated_w=feed.source_w,
        rated_a=feed.rated_a,
        largest_a=feed.rated_a * multiple,
        short_circuit_a=short_a,
        isolated=False if feed.source == "grid" else None,
        notes=tuple(notes),
        **common,
    )


def _inverters(sketch: Sketch, system: System, run: Sized) -> list[Source]:
    machine = sketch.equipment.inverter
    one = Source(
        name=said("sources.kind.inverter"),
        rated_w=machine.rated_w,
        rated_a=machine.rated_va / machine.output_v,
        largest_a=machine.surge_va / machine.output_v,
        short_circuit_a=None,
        isolated=None,
        notes=(said("sources.unknown.inverter"),),
        **_common("inverter", run),
    )
    return _numbered(one, system.inverters)


def _numbered(one: Source, count: int) -> list[Source]:
    kind = one.kind
    return [
        replace(one, name=said("sources.numbered", source=said(f"sources.kind.{kind}"), number=n))
        for n in range(1, count + 1)
    ]


def _arrays(sketch: Sketch, plans: Sequence[InputPlan], string: Sized) -> list[Source]:
    module, found = sketch.equipment.module, []
    code = code_of(sketch.wiring.rule_book)
    for plan in plans:
        isc_a = module.isc_a * plan.in_parallel
        bright_a = code.strings.bright_sky_factor * isc_a
        one = Source(
            name=said("sources.kind.array"),
            rated_w=module.power_w * plan.in_series * plan.in_parallel,
            rated_a=module.imp_a * plan.in_parallel,
            largest_a=bright_a,
            short_circuit_a=bright_a,
            isolated=None,
            notes=(said("sources.array_poles", why=code.string_fuse_poles_rule),)
            if string[1].device
            else (),
            **_common("array", string),
        )
        found += [
            replace(one, name=said("sources.array_input", plane=plan.plane, number=n))
            for n in range(1, plan.inputs + 1)
        ]
    return found


def _units(sketch: Sketch, system: System, bank: BankWiring, run: Sized) -> list[Source]:
    unit = sketch.equipment.battery
    one = Source(
        name=said("sources.kind.unit"),
        rated_w=unit.max_discharge_a * bank.nominal_v,
        rated_a=unit.max_discharge_a,
        largest_a=max(unit.peak_discharge_a, unit.max_discharge_a),
        short_circuit_a=bank.fault.unit_a,
        isolated=False if bank.in_parallel > 1 else None,
        notes=(said("sources.in_series", count=bank.in_series),) if bank.in_series > 1 else (),
        **_common("unit", run),
    )
    return _numbered(one, bank.in_parallel)


def sources_of(
    sketch: Sketch,
    system: System,
    plans: Sequence[InputPlan],
    runs: Sequence[Sized],
    bank: BankWiring | None,
) -> tuple[Source, ...]:
    """Every source of a system with the device of the rule book shown, in the order of the runs.

    Parameters
    ----------
    sketch, system : Sketch, System
    plans : sequence of InputPlan
        The strings as drawn.
    runs : sequence of (RunNeed, Choice)
        In the rule book shown; a source's device and conductors are those of its own run.
    bank : BankWiring or None
    """
    by_key = {run[0].key: run for run in runs}
    found = [_feed(sketch, feed, by_key[f"{feed.source}_in"]) for feed in feeds(sketch, system)]
    found += _inverters(sketch, system, by_key["ac_out"])
    if plans:
        found += _arrays(sketch, plans, by_key["string"])
    if bank is not None:
        found += _units(sketch, system, bank, by_key["unit_lead"])
    return tuple(found)


def grouped(sources: Sequence[Source]) -> tuple[tuple[Source, int], ...]:
    """Sources that differ in name only, the first of them with how many there are, in order."""
    found: dict[Source, tuple[Source, int]] = {}
    for one in sources:
        key = replace(one, name=said(f"sources.kind.{one.kind}"))
        first, count = found.get(key, (one, 0))
        found[key] = (first, count + 1)
    return tuple(found.values())
