"""Before the first switch: place, order of work, torque, units, addresses, earth, polarity."""

from offgrid_sizing.commissioning.layout import Row, Section
from offgrid_sizing.electrical.bank import BankWiring
from offgrid_sizing.electrical.design import ElectricalDesign, RunDesign
from offgrid_sizing.electrical.practice import ARRAY_STRIP_MM, SIDE_MM, VERTICAL_MM
from offgrid_sizing.sketch import Sketch

# NFPA 70, 110.26(A), 0 to 150 V to ground: 36 in deep, 30 in wide, 78 in high
WORKING_SPACE_M = (0.914, 0.762, 1.98)
MAX_SPREAD_V = 0.05  # common practice: an article on paralleling LiFePO4 batteries
RESISTOR_ABOVE_V = 0.3  # the same
TWO_PEOPLE_KG = 25  # common practice, no source
HABIT = "common practice, no source"


def mounting(sketch: Sketch) -> Section:
    """Clearances, walls, weights and working space."""
    machine, unit = sketch.equipment.inverter, sketch.equipment.battery
    side = max(SIDE_MM, machine.side_clearance_mm)
    vertical = max(VERTICAL_MM, machine.vertical_clearance_mm)
    depth, width, height = WORKING_SPACE_M
    window = f"{unit.min_charge_c:g} to {unit.max_charge_c:g} °C while charging"
    carry = "two people" if max(machine.mass_kg, unit.mass_kg) > TWO_PEOPLE_KG else "one person"
    return Section(
        "mounting",
        "Place and mounting",
        "Where the boxes hang and stand. The boxes' own manuals come first.",
        (
            Row("Inverter-charger: free space at each side", f"≥ {side:g} mm", "mm", HABIT),
            Row("free space above and below", f"≥ {vertical:g} mm", "mm", HABIT),
            Row("upright, cable entry down, on a wall that does not burn", "", "ok", HABIT),
            Row(
                "clear working space in front of every box that opens",
                f"{depth:g} m deep, {width:g} m wide, {height:g} m high",
                "ok",
                "NFPA 70, 110.26(A), 0 to 150 V to ground",
            ),
            Row("weight of a machine, of a unit", f"{machine.mass_kg:g} kg, {unit.mass_kg:g} kg",
                "", f"lift with {carry}"),
            Row("bank in a dry place, within its temperature", window, "°C"),
        ),
    )  # fmt: skip


def work_order(sketch: Sketch, design: ElectricalDesign) -> Section:
    """What is done after what, from the wall to the last cover."""
    steps = [
        "Fix machines, controllers' isolators, bank rack and sub-board; join nothing yet.",
        "Lay the earth conductor and join every box, module frame and the bank's earth point.",
        "Make up all leads, lug and mark them plus and minus at both ends; leave them open.",
        "Charge each unit full on its own and compare voltages (section on joining the bank).",
        "Set the addresses and plug the communication cables, lead unit first.",
        "Join the units to the busbars with their switches off; torque every terminal.",
        "Join the machines to the busbars with their fuses out or breakers off.",
        "Join alternating-current outputs, then inputs, with all breakers off.",
        "Join the strings with all isolators off; modules are live in any light.",
        "Check polarity and voltages, cover busbars and terminals, then switch on.",
    ]
    skip = []
    if not design.bank:
        skip += [3, 4, 5, 6]
    if not design.input_plans:
        skip.append(8)
    rows = tuple(Row(step, "", "ok") for place, step in enumerate(steps) if place not in skip)
    return Section("order", "Order of work", "From top to bottom, nothing left out.", rows, True)


def _run(design: ElectricalDesign, key: str) -> RunDesign:
    """A run that every design with these boxes has."""
    found = design.run(key)
    assert found is not None, key
    return found


def torque(sketch: Sketch, design: ElectricalDesign) -> Section:
    """Terminals and their torque."""
    unit = sketch.equipment.battery
    low, high = ARRAY_STRIP_MM
    rows = []
    if design.bank:
        span = f"{unit.torque_min_nm:g}–{unit.torque_max_nm:g} N·m"
        rows.append(Row("bank terminals, each unit, plus and minus", span, "N·m", HABIT))
        rows.append(Row("busbar bolts", "as the bar's maker says", "N·m"))
        lead = _run(design, "bank_to_inverter")
        words = f"{lead.shown.label}, {lead.need.run.length_m:g} m"
        rows.append(Row("machine's battery terminals", words, "N·m", "all machines alike"))
    if design.input_plans:
        string = _run(design, "string").shown.label
        rows.append(
            Row("array terminals", f"{string}, stripped {low}–{high} mm", "N·m", HABIT)
        )  # fmt: skip
    outlet = _run(design, "ac_out").shown.label
    rows.append(Row("alternating-current terminals", outlet, "N·m"))
    rows.append(Row("earth terminals", design.earth.label, "N·m"))
    lead_text = "With a torque wrench; mark each terminal when done. The label on the box rules."
    return Section("torque", "Terminals and torque", lead_text, tuple(rows))


def joining(sketch: Sketch, bank: BankWiring) -> Section:
    """Charge each unit before paralleling, and the spread allowed."""
    unit = sketch.equipment.battery
    rows = [
        Row(f"unit {number}: charge full alone to {unit.charge_v:g} V, rest an hour, read",
            "", "V")
        for number, _ in bank.addresses
    ]  # fmt: skip
    rows += [
        Row("highest less lowest reading", f"≤ {MAX_SPREAD_V * 1000:g} mV", "mV",
            "common practice (an article on paralleling LiFePO4 batteries)"),
        Row(f"above {RESISTOR_ABOVE_V * 1000:g} mV never join directly: charge the low one, or "
            "level them through a resistor", "", "ok"),
    ]  # fmt: skip
    if bank.in_parallel > 1:
        rows.append(
            Row(f"join along the busbars, tapped: {bank.sharing.feed}",
                f"worst unit {bank.sharing.worst_ratio - 1:.1%} above an equal share", "ok")
        )  # fmt: skip
    lead = "Each unit is charged full before paralleling; unequal units would level in a flash."
    return Section("joining", "Joining the bank", lead, tuple(rows), True)


def addresses(bank: BankWiring) -> Section:
    """Address of each unit and order of the communication cable."""
    rows = [
        Row(f"address {number}", name, "ok", "to the machine's bank port" if number == 1 else "")
        for number, name in bank.addresses
    ]
    rows.append(Row("close the last unit's cable as its manual says", "", "ok"))
    lead = "Units are addressed in sequence, the lead unit first; one cable from unit to unit."
    return Section("addresses", "Addresses", lead, tuple(rows), True)


def earthing(design: ElectricalDesign) -> Section:
    """Earth of boxes, frames and bank."""
    earth = design.earth
    rows = [
        Row("earth conductor", earth.label, "ok", earth.because),
        Row("boxes, frames, rack and bank earth point joined to one bar", "", "ok"),
        Row("resistance from each box to the bar", "≤ 0.2 Ω", "Ω", HABIT),
        Row("neutral bonded to earth at one place only", "where local rules say", "ok"),
    ]
    lead = "The bank is earthed. Earth first, before any other conductor."
    return Section("earthing", "Earthing", lead, tuple(rows))


def polarity(design: ElectricalDesign) -> Section:
    """Polarity of strings and bank before anything is switched on."""
    rows = []
    if design.input_plans:
        rows += [
            Row(f"{plan.plane}: every string ({plan.strings}), plus on plus", "+", "ok")
            for plan in design.input_plans
        ]
    if design.bank:
        rows.append(Row("each unit and the busbars, plus on plus", "+", "ok"))
        rows.append(Row("each machine's battery terminals, plus on plus", "+", "ok"))
    lead = "With the meter's red lead on plus the reading is positive. A reversed lead destroys."
    return Section("polarity", "Polarity", lead, tuple(rows))
