"""Labels and placards this system needs by the wiring code shown, with the design's values."""

from dataclasses import dataclass
from math import ceil
from typing import Protocol

from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.electrical.arrangement import ArrangementPlan
from offgrid_sizing.electrical.bank import BankWiring
from offgrid_sizing.electrical.designations import Designations
from offgrid_sizing.electrical.practice import WAIT_MIN
from offgrid_sizing.electrical.sizes import RuleBook, code_of
from offgrid_sizing.electrical.sources import Source
from offgrid_sizing.electrical.strings import InputPlan, StringChoice
from offgrid_sizing.site_rules import LabelRule, Signal, site_rules
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import Said, said
from offgrid_sizing.words.spoken import spoken

SINGLE_120_UP_TO_V = 127.0  # nominal 120 V and its upper limit, common practice, no source
BLANK = "____________"
# The devices a label hangs on, and those of each step of the shutdown, by their keys.
HANGS_ON = {
    "array_isolator": ("array_isolator",),
    "pv_disconnect": ("array_isolator",),
    "max_dc": ("array_isolator",),
    "inverter": ("machine",),
    "hazard": ("machine", "board"),
    "bank": ("unit",),
    "bank_disconnect": ("bank_switch",),
    "dual_supply": ("board",),
    "own_supply": ("board",),
    "single_120": ("board",),
}
STEP_DEVICES = {
    "grid": ("grid_switch",),
    "generator": ("generator_breaker",),
    "output": ("ac_out_breaker", "ac_out_common_breaker"),
    "array": ("array_isolator",),
    "inverter": ("machine",),
    "bank": ("bank_fuse", "bank_switch", "unit_fuse"),
}


class Labelled(Protocol):
    """What labels read of a design; the design itself counts them in its bill."""

    @property
    def rule_book(self) -> RuleBook: ...
    @property
    def arrangement(self) -> ArrangementPlan: ...
    @property
    def bank(self) -> BankWiring | None: ...
    @property
    def input_plans(self) -> tuple[InputPlan, ...]: ...
    @property
    def drawn_strings(self) -> tuple[StringChoice, ...]: ...
    @property
    def sources(self) -> tuple[Source, ...]: ...
    @property
    def designations(self) -> Designations: ...


@dataclass(frozen=True)
class Label:
    """One label.

    Parameters
    ----------
    key : str
    signal : {"danger", "warning", "notice"}
    title, place : Said
        What stands large on it, and where it is put.
    lines : tuple of Said
        What stands below the title; `____` where a figure is filled in on site.
    clause : str
        Why it is asked for.
    devices : str
        Designations of what it hangs on; empty where it hangs on no device.
    """

    key: str
    signal: Signal
    title: Said
    place: Said
    lines: tuple[Said, ...]
    clause: str
    devices: str = ""


def conditions(sketch: Sketch, design: Labelled) -> frozenset[str]:
    """What the system has, by the names that rules of labels ask for."""
    grid, generator = sketch.grid.kind != "none", sketch.generator is not None
    plan, bank = design.arrangement, design.bank
    held = {
        "array": bool(design.input_plans),
        "bank": bank is not None,
        "vented": bank is not None and CHEMISTRIES[sketch.equipment.battery.chemistry].vented,
        "grid": grid,
        "no_grid": not grid,
        "ac_input": grid or generator,
        "no_ac_input": not (grid or generator),
        "single_120": len(plan.lines) == 1 and plan.line_v <= SINGLE_120_UP_TO_V and not grid,
    }
    return frozenset(name for name, holds in held.items() if holds)


def label_values(sketch: Sketch, design: Labelled) -> dict[str, object]:
    """Every figure a label may carry, from the one design; voltages rounded up, never down.

    What no design can know, such as the supplier's short-circuit current until it was typed, is a
    line to fill in.
    """
    drawn, bank = design.drawn_strings, design.bank
    waits = max(WAIT_MIN, sketch.equipment.inverter.wait_after_shutdown_min)
    grid_a = next((one.short_circuit_a for one in design.sources if one.kind == "grid"), None)
    values: dict[str, object] = {
        "blank": BLANK,
        "wait": waits,
        "grid_fault": BLANK if grid_a is None else round(grid_a / 1000, 1),
        "sources": sources_of(sketch, design),
        "steps": _shutdown(sketch, design),
    }
    if drawn:
        values["max_dc"] = ceil(max(choice.cold_voc_v for choice in drawn))
        values["max_current"] = round(max(choice.max_current_a for choice in drawn), 1)
    if bank is not None:
        unit = sketch.equipment.battery
        values |= {
            "bank_nominal": round(bank.nominal_v, 1),
            "bank_highest": ceil(bank.charging.highest_v),
            "bank_fault": round(bank.fault_a / 1000, 1),
            "bank_energy": round(bank.nominal_wh / 1000, 1),
            "chemistry": said(CHEMISTRIES[unit.chemistry].short_key),
        }
    return values


def sources_of(sketch: Sketch, design: Labelled) -> tuple[Said, ...]:
    """Every source of this system by name."""
    """Every source of this system by name."""
    held = conditions(sketch, design)
    names: list[str] = [name for name in ("array", "bank", "grid") if name in held]
    names += ["generator"] if sketch.generator is not None else []
    return tuple(said(f"labels.source.{name}") for name in names)


def _shutdown(sketch: Sketch, design: Labelled) -> tuple[Said, ...]:
    """The order of switching off, as on the commissioning sheet."""
    held = conditions(sketch, design)
    wanted = (
        ("loads", True),
        ("grid", "grid" in held),
        ("generator", sketch.generator is not None),
        ("output", True),
        ("array", "array" in held),
        ("inverter", True),
        ("bank", "bank" in held),
    )
    return tuple(_step(name, design) for name, holds in wanted if holds)


def _step(name: str, design: Labelled) -> Said:
    """A step of the shutdown with the designations of what is switched."""
    step = said(f"labels.step.{name}")
    marks = design.designations.label(*STEP_DEVICES.get(name, ()))
    return said("labels.step_of", step=step, devices=marks) if marks else step


def labels_of(sketch: Sketch, design: Labelled) -> tuple[Label, ...]:
    """The labels in the order they are put up; empty where the code's data names none.

    Parameters
    ----------
    sketch : Sketch
    design : Labelled

    References
    ----------
    The clause beside each label, `site.toml` of the wiring code shown.
    """
    held, values = conditions(sketch, design), label_values(sketch, design)
    code = code_of(design.rule_book)
    rules = site_rules(code).labels
    marks = design.designations
    found = tuple(
        _label(rule, values, code.words, marks.label(*HANGS_ON.get(rule.key, ())))
        for rule in rules
        if held.issuperset(rule.when)
    )
    return spoken(found, code.words)


def _label(
    rule: LabelRule, values: dict[str, object], words: dict[str, Said], devices: str
) -> Label:
    lines = tuple(said(f"labels.line.{name}", **values) for name in rule.lines)
    return Label(
        key=rule.key,
        signal=rule.signal,
        title=said(f"labels.title.{rule.key}", **words),
        place=said(f"labels.place.{rule.key}", **words),
        lines=lines,
        clause=rule.clause,
        devices=devices,
    )
