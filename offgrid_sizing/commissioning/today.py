"""Expected readings for today, acceptance readings with blanks, faults and their first causes."""

from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.commissioning.layout import Row, Section
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.readings import rest_voltage_v, string_isc_a, string_voc_v
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import said

VOC_SPREAD, ISC_SPREAD = 0.05, 0.10  # common practice, no source
# IEC 62446-1, insulation of the array by system voltage: (up to V, test V, least MΩ), from memory
INSULATION = ((120, 250, 0.5), (500, 500, 1.0), (1500, 1000, 1.0))


def _span(value: float, spread: float, unit: str, digits: int = 0) -> str:
    low, high = value * (1 - spread), value * (1 + spread)
    return f"{value:.{digits}f} {unit} ({low:.{digits}f} to {high:.{digits}f})"


def expected_today(
    sketch: Sketch,
    design: ElectricalDesign,
    *,
    cell_temp_c: float,
    irradiance_w_per_m2: float,
    soc_frac: float,
) -> Section:
    """String and bank readings at the typed cell temperature, light and state of charge."""
    module, unit = sketch.equipment.module, sketch.equipment.battery
    rows = []
    for plan in design.input_plans:
        voc = string_voc_v(module, plan.in_series, cell_temp_c, irradiance_w_per_m2)
        isc = string_isc_a(module, cell_temp_c, irradiance_w_per_m2)
        rows += [
            Row(f"{plan.plane}: open circuit of each string ({plan.in_series} in series)",
                _span(voc, VOC_SPREAD, "V"), "V", "strings of one plane alike within 2 %"),
            Row(f"{plan.plane}: short circuit of each string, only with a rated shorting device",
                _span(isc, ISC_SPREAD, "A", 1), "A", "the light must be steady"),
        ]  # fmt: skip
    if design.bank:
        rest = rest_voltage_v(unit, design.bank.in_series, soc_frac)
        note = ""
        chemistry = CHEMISTRIES[unit.chemistry]
        if chemistry.rest.is_flat(soc_frac):
            note = str(said("commissioning.sheet.flat", chemistry=said(chemistry.short_key)))
        rows.append(
            Row(f"bank at rest, {soc_frac:.0%} charged", _span(rest, 0.01, "V", 1), "V", note)
        )
    lead = (
        f"Cells at {cell_temp_c:g} °C, {irradiance_w_per_m2:g} W/m² on the modules, bank "
        f"{soc_frac:.0%} charged. Outside the span: stop and find out why. Spans are common "
        "practice, no source."
    )
    return Section("today", "Expected readings today", lead, tuple(rows))


def _insulation(design: ElectricalDesign) -> Row:
    volts = max(choice.cold_voc_v for choice in design.drawn_strings)
    test_v, least = next((t, r) for up_to, t, r in INSULATION if volts <= up_to)
    return Row(
        "insulation of each string to earth, machines disconnected",
        f"≥ {least:g} MΩ at {test_v} V",
        "MΩ",
        "IEC 62446-1 (from memory)",
    )


MOST_STARTS = 4
_STARTS = {
    "starts": "starts, lights hardly flicker",
    "alone": "only with nothing else on",
    "trips": "not to be tried before it is remedied",
}


def _starts(design: ElectricalDesign) -> list[Row]:
    """The hardest starts, and the lowest bank voltage each should leave."""
    rows = []
    for row in design.starts.rows[:MOST_STARTS]:
        strains = [one.beside for one in row.sources if one.verdict == "starts"]
        volts = [strain.bank_v for strain in strains if strain.bank_v is not None]
        expect = _STARTS[row.verdict] + (f", bank above {volts[0]:.1f} V" if volts else "")
        note = "reckoned, nearly empty bank" if row.verdict == "starts" else "; ".join(row.remedies)
        rows.append(Row(f"start of {row.event.name} with the home in use", expect, "V", note))
    return rows


def acceptance(sketch: Sketch, design: ElectricalDesign) -> Section:
    """Readings that prove it works, with blanks to fill."""
    machine, plan = sketch.equipment.inverter, design.arrangement
    rows = [_insulation(design)] if design.drawn_strings else []
    spread = f"{0.95 * machine.output_v:.0f} to {1.05 * machine.output_v:.0f} V"
    rows += [Row(f"output {line} to neutral", spread, "V") for line in plan.lines]
    if plan.machines > 1:
        between = f"{plan.between_lines_v:.0f} V"
        note = "never join these lines" if plan.between_lines_v else "before joining them"
        rows.append(Row("between the line outputs of two machines", between, "V", note))
    rows += [
        Row("output frequency", f"{machine.frequency_hz} Hz", "Hz"),
        Row("neutral to earth under load", "< 2 V", "V", "common practice, no source"),
    ]
    if len(plan.lines) > 1:
        loads = ", ".join(f"{line} {va / 1000:.1f} kVA" for line, va in plan.legs.va.items())
        rows.append(Row("line currents with the home in use", f"as connected: {loads}", "A"))
    if design.bank:
        worst = design.bank.sharing.worst_ratio - 1
        rows += [
            Row("discharge at half load for ten minutes: current of each unit",
                f"equal, worst {worst:.1%} above the mean by wiring alone", "A"),
            Row("busbar and lug temperature after an hour of load",
                f"< {sketch.wiring.terminal_c:g} °C", "°C"),
            Row("charge current reaches its limit and stops at full", "see settings", "A"),
        ]  # fmt: skip
    rows += _starts(design)
    if design.run("ac_in"):
        rows.append(Row("open the alternating-current input: loads go on", "", "ok"))
        rows.append(Row("close it again: loads move back after the delay", "", "ok"))
    rows += [
        Row("read and write down serial and software numbers of all boxes", "", "ok"),
        Row("done by, date, signature", "", " "),
    ]
    lead = (
        "Readings that stay with the system's papers; limits without a source beside them are "
        "common practice."
    )
    return Section("acceptance", "Acceptance readings", lead, tuple(rows))


_FAULTS = (
    ("The machine gets no data from the bank",
     "cable in the wrong port or its order broken",
     "addresses double or the lead unit not first",
     "bank protocol not chosen in the machine, or the last unit not closed"),
    ("Under-voltage, the machine stops early",
     "a loose or too long lead: measure the drop under load",
     "the bank really is empty, or its cut-off is set too high",
     "one unit has switched itself off and the others carry all"),
    ("Imbalance: one unit works harder or fills first",
     "leads unequal in length, size or torque; wrong tapping of the busbars",
     "units joined unequally charged: charge all full and let them level",
     "a weak unit: compare voltages at rest and under load"),
    ("Insulation fault of the array",
     "water in a connector or junction box",
     "a cable crushed under a clamp or a frame edge",
     "a module with a broken back sheet: test string by string, then half by half"),
    ("No array power in bright light",
     "isolator off or a string fuse blown",
     "string voltage outside the tracker's window or reversed",
     "bank full and nothing asks for power: that is no fault"),
    ("The machines do not join (parallel, split or three phase)",
     "communication cables or the phase setting of one machine",
     "different software versions",
     "unequal input phases or a missing neutral"),
)  # fmt: skip


def fault_table() -> Section:
    """Faults, each with the three causes to look at first (common practice, no source)."""
    rows = tuple(
        Row(name, "", "", f"1) {first}; 2) {second}; 3) {third}.")
        for name, first, second, third in _FAULTS
    )
    lead = (
        "What to look at first (common practice, no source). Switch off in order before opening "
        "anything."
    )
    return Section("faults", "Faults and first causes", lead, rows)
