"""The designations of what each row of the sheet tests or operates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from offgrid_sizing.commissioning.layout import Row, Section
from offgrid_sizing.electrical.designations import Designations
from offgrid_sizing.words import Said, said

_AC_RUNS = tuple(
    f"run.{name}"
    for name in ("grid_in", "generator_in", "ac_in_common", "ac_in", "ac_out", "ac_out_common")
)
_INPUT = ("ac_in_common_breaker", "ac_in_breaker")
_OUTPUT = ("ac_out_breaker", "ac_out_common_breaker")
_BANK = ("bank_switch", "bank_fuse")
_SURGE = ("surge_array", "surge_ac")
# By row below `sheet.`; a key that ends in a dot stands for all that begin with it.
MARKS: dict[str, tuple[str, ...]] = {
    "earthing.conductor": ("run.earth",),
    "earthing.bar": ("earth_terminal",),
    "torque.bank": ("unit",),
    "torque.bars": ("busbar",),
    "torque.machine": ("run.bank_to_inverter",),
    "torque.array": ("run.string", "run.array_feeder"),
    "torque.ac": _AC_RUNS,
    "torque.earth": ("earth_terminal", "run.earth", "electrode"),
    "visual.array": ("array.",),
    "visual.isolators": ("array_isolator", "string_fuse"),
    "visual.bank": ("unit_fuse", "bank_fuse"),
    "visual.surge": _SURGE,
    "live.surge": _SURGE,
    "polarity.bank": ("run.unit_lead", "run.bank_to_inverter"),
    "insulation.array": ("run.string",),
    "insulation.ac": _AC_RUNS,
    "insulation.bank": ("run.unit_lead", "run.bank_to_inverter", "busbar"),
    "bank.machine_polarity": _BANK,
    "bank.join_machine": _BANK,
    "on.units": ("unit",),
    "on.unit_switches": ("unit_fuse",),
    "on.fuses": _BANK,
    "on.machine": ("machine",),
    "on.machines": ("machine",),
    "on.output": _OUTPUT,
    "on.array": ("array_isolator",),
    "on.loads": (*_OUTPUT, "board"),
    "on.generator": ("generator", "generator_breaker", "changeover"),
    "on.grid": ("grid_switch", "grid_breaker", "changeover"),
    "on.input_last": (*_INPUT, "input_bar"),
    "live.open_input": _INPUT,
    "live.monitor": ("insulation_monitor",),
    "off.loads": ("board",),
    "off.input": (*_INPUT, "grid_switch"),
    "off.block": ("generator", "generator_breaker"),
    "off.output": _OUTPUT,
    "off.array": ("array_isolator",),
    "off.machines": ("machine",),
    "off.bank": (*_BANK, "unit_fuse"),
}
_RESIDUAL = "live.residual"


def _labels(keys: tuple[str, ...], marks: Designations) -> Iterator[str]:
    for key in keys:
        for one in marks:
            if one.key == key or (key.endswith(".") and one.key.startswith(key)):
                yield one.label


def _marked(row: Row, marks: Designations) -> Row:
    if not isinstance(row.what, Said):
        return row
    name = row.what.key.removeprefix("sheet.")
    keys = ("residual.",) if name.startswith(_RESIDUAL) else MARKS.get(name, ())
    found = ", ".join(_labels(keys, marks))
    return replace(row, what=said("sheet.marked", what=row.what, marks=found)) if found else row


def with_designations(section: Section, marks: Designations) -> Section:
    """A section whose rows name what they test or operate as the drawing does.

    Parameters
    ----------
    section : Section
    marks : Designations
    """
    return replace(section, rows=tuple(_marked(row, marks) for row in section.rows))
