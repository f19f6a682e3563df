"""Before the first test: place, order of work, earth, terminals."""

from dataclasses import dataclass
from math import ceil

from offgrid_sizing.chemistry import CHEMISTRIES, Chemistry
from offgrid_sizing.commissioning.layout import HABIT, Row, Section, line, note, value
from offgrid_sizing.commissioning.manual import BLANK, by_manual, typed
from offgrid_sizing.electrical.design import ElectricalDesign, RunDesign
from offgrid_sizing.electrical.earthing import drawn_bonds
from offgrid_sizing.electrical.inspect_place import depth_m
from offgrid_sizing.electrical.practice import ARRAY_STRIP_MM, SIDE_MM, TORQUE_NM, VERTICAL_MM
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.sketch import InverterCharger, Sketch
from offgrid_sizing.words import Said, said, together

TWO_PEOPLE_KG = 25  # common practice, no source


def part(key: str, rows: list[Row], *, ordered: bool = False, **values: object) -> Section:
    """A section with its title and first sentence in the catalogues."""
    lead = said(f"sheet.{key}.lead", **values)
    return Section(key, said(f"commissioning.part.{key}"), lead, tuple(rows), ordered)


def clear_mm(machine: InverterCharger) -> tuple[float, float]:
    """Clearance at each side of an inverter-charger, and above and below it. [mm]"""
    return max(SIDE_MM, machine.side_clearance_mm), max(VERTICAL_MM, machine.vertical_clearance_mm)


def mounting(sketch: Sketch, design: ElectricalDesign) -> Section:
    """Clearances, walls, weights and working space."""
    machine, unit = sketch.equipment.inverter, sketch.equipment.battery
    side, vertical = clear_mm(machine)
    sides = value("at_least", value=side, unit="mm")
    above = value("at_least", value=vertical, unit="mm")
    mass = value("plain", value=machine.mass_kg, unit="kg")
    rows = [
        by_manual(
            "mounting.sides",
            sides,
            "mm",
            f"{SIDE_MM:g} mm",
            is_typed=typed(machine, "side_clearance_mm"),
        ),
        by_manual(
            "mounting.above",
            above,
            "mm",
            f"{VERTICAL_MM:g} mm",
            is_typed=typed(machine, "vertical_clearance_mm"),
        ),
        line("mounting.upright", blank="ok", note=HABIT),
        _working_space(sketch, design),
        by_manual("mounting.machine_mass", mass, "kg", "", is_typed=typed(machine, "mass_kg")),
    ]
    if design.bank:
        rows.append(
            by_manual(
                "mounting.unit_mass",
                value("plain", value=unit.mass_kg, unit="kg"),
                "kg",
                "",
                is_typed=typed(unit, "mass_kg"),
            )
        )
    rows.append(line("mounting.carry", blank="ok", note=HABIT, limit=TWO_PEOPLE_KG))
    if design.bank:
        window = value("span", low=unit.min_charge_c, high=unit.max_charge_c, unit="°C")
        rows.append(line("mounting.bank", window, "°C", note("charging")))
    return part("mounting", rows)


@dataclass(frozen=True)
class FreeRoom:
    """Free space before boxes that open, and why. [m]"""

    depth_m: float
    width_m: float
    height_m: float
    because: Said


def _highest_v(design: ElectricalDesign) -> float:
    volts = max((choice.cold_voc_v for choice in design.drawn_strings), default=0.0)
    return max(
        volts, design.bank.charging.highest_v if design.bank else 0.0, design.arrangement.line_v
    )


def free_room(sketch: Sketch, design: ElectricalDesign) -> FreeRoom | None:
    """Free space before boxes that open, by the code shown, else by the one set beside it.

    None beyond the voltages of its table.
    """
    volts = _highest_v(design)
    code = code_of(design.rule_book)
    own, beside = code.inspection.working_space, code_of(code.beside).inspection.working_space
    rule, opposite = own if own.depths else beside, sketch.building.opposite
    needed = depth_m(rule, volts, opposite)
    if needed is None:
        return None
    if volts <= rule.clear_up_to_v:
        room = rule.clear_m
        because = note("space", rule=rule.clear_rule, volts=rule.clear_up_to_v)
    else:
        room = (needed, rule.width_m, rule.clear_m[2])
        because = note(
            "space_by_table",
            rule=rule.clear_rule,
            volts=ceil(volts),
            opposite=said(f"inspection.opposite.{opposite}"),
        )
    if not own.depths:
        because = note("space_beside", clause=together(*own.clauses, by="; "), beside=because)
    depth, width, height = room
    return FreeRoom(depth, width, height, because)


def _working_space(sketch: Sketch, design: ElectricalDesign) -> Row:
    room = free_room(sketch, design)
    if room is None:
        above = note("space_above", volts=ceil(_highest_v(design)))
        return line("mounting.space", f"{BLANK} m", "m", above)
    words = value("room", depth=room.depth_m, width=room.width_m, height=room.height_m)
    return line("mounting.space", words, "ok", room.because)


def work_order(sketch: Sketch, design: ElectricalDesign) -> Section:
    """What is done after what, from the wall to the last label."""
    managed = design.bank is not None and chemistry_of(sketch).managed
    steps = (
        ("fix", True),
        ("earth", True),
        ("leads", True),
        ("ready", True),
        ("dead", True),
        ("strings", bool(design.input_plans)),
        ("insulation", True),
        ("addresses", managed),
        ("level", bool(design.bank)),
        ("join_units", bool(design.bank)),
        ("join_machines", bool(design.bank)),
        ("join_ac", True),
        ("sources", True),
        ("join_strings", bool(design.input_plans)),
        ("live", True),
        ("labels", True),
    )
    words = code_of(design.earth.book).words
    rows = [line(f"order.{key}", blank="ok", **words) for key, wanted in steps if wanted]
    return part("order", rows, ordered=True)


def chemistry_of(sketch: Sketch) -> Chemistry:
    """What the bank's units are made of."""
    return CHEMISTRIES[sketch.equipment.battery.chemistry]


def run_of(design: ElectricalDesign, key: str) -> RunDesign:
    """A run that every design with these boxes has."""
    found = design.run(key)
    assert found is not None, key
    return found


def earthing(design: ElectricalDesign) -> Section:
    """Earth of boxes, frames and bank, laid before any other conductor."""
    earth = design.earth
    code = code_of(earth.book)
    because = note("rule", code=code.short)
    rows = [
        line("earthing.conductor", earth.label, "ok", because, **code.words),
        line("earthing.bar", blank="ok"),
        line("earthing.neutral", value("local_rules"), "ok"),
        *(Row(bond, blank="ok") for bond in drawn_bonds(design.earthing.states)),
    ]
    if design.bank:
        rows.append(line("earthing.bank", value("local_rules"), "ok"))
    return part("earthing", rows)


def torque(sketch: Sketch, design: ElectricalDesign) -> Section:
    """Terminals and their torque; what only a manual knows is left open."""
    unit = sketch.equipment.battery
    rows = []
    if design.bank:
        own = value("to", low=unit.torque_min_nm, high=unit.torque_max_nm, unit="N·m")
        low, high = TORQUE_NM
        rows.append(
            by_manual(
                "torque.bank",
                own,
                "N·m",
                f"{low}–{high} N·m",
                is_typed=typed(unit, "torque_min_nm", "torque_max_nm"),
            )
        )
        rows.append(line("torque.bars", f"{BLANK} N·m", "N·m", note("manual")))
        lead = run_of(design, "bank_to_inverter")
        rows.append(
            line(
                "torque.machine",
                f"{BLANK} N·m",
                "N·m",
                note("alike"),
                size=lead.shown.label,
                length=lead.need.run.length_m,
            )
        )
    if design.input_plans:
        size = run_of(design, "string").shown.label
        low, high = ARRAY_STRIP_MM
        rows.append(
            line(
                "torque.array", f"{BLANK} N·m", "N·m", note("strip", low=low, high=high), size=size
            )
        )
    rows.append(
        line(
            "torque.ac",
            f"{BLANK} N·m",
            "N·m",
            note("manual"),
            size=run_of(design, "ac_out").shown.label,
        )
    )
    rows.append(
        line("torque.earth", f"{BLANK} N·m", "N·m", note("manual"), size=design.earth.label)
    )
    return part("torque", rows)
