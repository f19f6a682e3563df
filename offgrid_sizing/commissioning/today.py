"""Expected readings for today, acceptance readings with blanks, faults and their first causes."""

from offgrid_sizing.commissioning.assembly import chemistry_of, part
from offgrid_sizing.commissioning.bank_alone import around
from offgrid_sizing.commissioning.layout import Row, Section, Words, line, note, value
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.readings import string_isc_a, string_voc_v
from offgrid_sizing.electrical.starts import MotorStart
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import said

VOC_SPREAD, ISC_SPREAD = 0.05, 0.10  # common practice, no source
OUTPUT_SPREAD = 0.05  # common practice, no source
MOST_STARTS = 4


def expected_today(
    sketch: Sketch,
    design: ElectricalDesign,
    *,
    cell_temp_c: float,
    irradiance_w_per_m2: float,
    soc_frac: float,
) -> Section:
    """String readings at the typed cell temperature and light; the bank's follow once joined."""
    module = sketch.equipment.module
    rows = []
    for plan in design.input_plans:
        voc = string_voc_v(module, plan.in_series, cell_temp_c, irradiance_w_per_m2)
        isc = string_isc_a(module, cell_temp_c, irradiance_w_per_m2)
        rows += [
            line(
                "today.voc",
                around(voc, VOC_SPREAD, "V"),
                "V",
                note("alike_strings"),
                plane=plan.plane,
                series=plan.in_series,
            ),
            line(
                "today.isc", around(isc, ISC_SPREAD, "A", 1), "A", note("steady"), plane=plan.plane
            ),
        ]
    return part(
        "today", rows, ordered=True, cell=cell_temp_c, light=irradiance_w_per_m2, soc=soc_frac
    )


def _start(row: MotorStart) -> Row:
    """A hard start, and the lowest bank voltage it should leave."""
    strains = [one.beside for one in row.sources if one.verdict == "starts"]
    volts = [strain.bank_v for strain in strains if strain.bank_v is not None]
    expect: Words = said(f"sheet.start.{row.verdict}")
    if volts:
        expect = said(f"sheet.start.{row.verdict}_bank", volts=round(volts[0], 1))
    because = note("reckoned" if row.verdict == "starts" else "remedy")
    return line("acceptance.start", expect, "V", because, name=row.event.name)


def acceptance(sketch: Sketch, design: ElectricalDesign) -> Section:
    """Readings that prove it works, with blanks to fill."""
    machine, plan = sketch.equipment.inverter, design.arrangement
    low, high = ((1 + side * OUTPUT_SPREAD) * machine.output_v for side in (-1, 1))
    spread = value("span", low=round(low), high=round(high), unit="V")
    rows = [line("acceptance.output", spread, "V", line=name) for name in plan.lines]
    if plan.machines > 1:
        because = note("never_join" if plan.between_lines_v else "before_join")
        rows.append(line("acceptance.between", f"{plan.between_lines_v:.0f} V", "V", because))
    rows.append(line("acceptance.frequency", f"{machine.frequency_hz} Hz", "Hz"))
    if len(plan.lines) > 1:
        loads = ", ".join(f"{name} {va:.0f} VA" for name, va in plan.legs.va.items())
        rows.append(line("acceptance.legs", value("as_connected", loads=loads), "A"))
    if design.bank:
        if design.bank.in_parallel > 1:
            share = design.bank.sharing.over_equal_frac
            rows.append(line("acceptance.share", value("share", share=share), "A"))
        rows += [
            line("acceptance.lugs", f"< {sketch.wiring.terminal_c:g} °C", "°C"),
            line("acceptance.charge", value("see_settings"), "A"),
        ]
    rows += [_start(row) for row in design.starts.rows[:MOST_STARTS]]
    if design.run("ac_in"):
        rows += [line("acceptance.cut", blank="ok"), line("acceptance.back", blank="ok")]
    rows += [line("acceptance.numbers", blank="ok"), line("acceptance.done", blank=" ")]
    return part("acceptance", rows)


def fault_table(sketch: Sketch, design: ElectricalDesign) -> Section:
    """Faults, each with the three causes to look at first (common practice, no source)."""
    held = {
        "data": bool(design.bank) and chemistry_of(sketch).managed,
        "low": bool(design.bank),
        "imbalance": bool(design.bank) and design.system.units > 1,
        "insulation": bool(design.input_plans),
        "no_sun": bool(design.input_plans),
        "together": design.arrangement.machines > 1,
    }
    rows = [
        line(f"fault.{name}", note=said(f"sheet.fault.{name}_causes"))
        for name, holds in held.items()
        if holds
    ]
    return part("faults", rows)
