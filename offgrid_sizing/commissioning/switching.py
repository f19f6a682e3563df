"""Order of switching on and off with its waits, and the settings in plain words."""

from offgrid_sizing.chemistry import CHEMISTRIES, Chemistry
from offgrid_sizing.commissioning.layout import Row, Section
from offgrid_sizing.electrical.ac_input import one_setting
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.practice import WAIT_MIN
from offgrid_sizing.priority import PRIORITIES
from offgrid_sizing.sketch import Generator, Sketch, TimeWindow
from offgrid_sizing.strategy import StrategyNumbers, numbers_of
from offgrid_sizing.words import said

GENERATOR_BAND = (0.5, 0.8)  # IEC TS 62257-7-3, 5.2.2, as quoted


def switch_on(sketch: Sketch, design: ElectricalDesign) -> Section:
    """From dead to running."""
    machines = "all machines" if design.arrangement.machines > 1 else "the machine"
    rows = [Row("all breakers, isolators and units off; covers on; nobody at the boxes", "", "ok")]
    if design.bank:
        rows += [
            Row("switch on the units, lead unit first, one after the other", "", "ok",
                "wait until each shows its address"),
            Row("close the machines' battery fuses or breakers", "bank voltage at the machine",
                "V", "through a precharge resistor where the machine's manual asks for one"),
        ]  # fmt: skip
    rows += [
        Row(
            f"switch on {machines}, wait 1 minute for the self-test",
            "no alarm",
            "ok",
            "common practice; the machine's manual rules",
        ),
        Row("enter the settings and read them back", "", "ok"),
    ]
    if design.input_plans:
        rows.append(Row("close the array isolators, one string at a time", "voltage rises", "V"))
    rows.append(
        Row("with the output breakers off, measure the output", "see acceptance", "V")
    )  # fmt: skip
    rows.append(Row("close the output breakers, then the sub-board, load by load", "", "ok"))
    if design.run("ac_in"):
        rows.append(
            Row("close the alternating-current input last", "transfers after its delay", "ok")
        )
    lead = "From top to bottom. Stop at the first reading that is not as expected."
    return Section("on", "Switching on", lead, tuple(rows), True)


def switch_off(sketch: Sketch, design: ElectricalDesign) -> Section:
    """From running to dead, and how long to wait before touching."""
    wait = max(WAIT_MIN, sketch.equipment.inverter.wait_after_shutdown_min)
    rows = [Row("switch off the loads at the sub-board", "", "ok")]
    if design.run("ac_in"):
        rows.append(Row("open and lock the alternating-current input", "", "ok"))
    rows.append(Row("open and lock the output breakers", "", "ok"))
    if design.input_plans:
        rows.append(Row("open the array isolators", "", "ok", "strings stay live in light"))
    rows.append(Row("switch off all machines", "", "ok"))
    if design.bank:
        rows.append(Row("open the battery fuses or breakers, then switch off the units", "", "ok"))
    rows += [
        Row(f"wait {wait:g} minutes, counted from the last shutdown", f"{wait:g} min", "min",
            "capacitors discharge; the label on the box rules, then the tester"),
        Row("prove dead at the machines: array, bank and alternating-current terminals", "0 V", "V",
            "up to the isolators the strings, up to the fuses the bank stay live"),
    ]  # fmt: skip
    lead = "From top to bottom; lock what can be locked. No terminal is touched before the end."
    return Section("off", "Switching off", lead, tuple(rows), True)


def _hours(windows: tuple[TimeWindow, ...]) -> str:
    def clock(hour: float) -> str:
        return f"{int(hour):02d}:{round(hour % 1 * 60):02d}"

    return " and ".join(f"{clock(w.from_h)}–{clock(w.to_h)}" for w in windows) or "at any hour"


def _charge_hours(numbers: StrategyNumbers) -> str:
    if numbers.grid_charge_hours is None:
        return "in the hours cheaper than the year's mean price"
    return _hours(numbers.grid_charge_hours)


def _help(sketch: Sketch) -> str:
    floor = 1 - sketch.equipment.battery.usable_dod_frac
    return f"yes, down to {floor:.0%}" if sketch.strategy.bank_helps_below_hold else "no"


def _grid_rows(sketch: Sketch, numbers: StrategyNumbers) -> list[Row]:
    hold, resume = numbers.hold_soc_frac, numbers.resume_soc_frac
    rows = [
        Row("while the grid is there do not discharge below", f"{hold:.0%}", "%"),
        Row("and discharge again only above", f"{resume:.0%}", "%"),
        Row("where the grid's limit would leave loads dark, help below that", _help(sketch), "ok"),
    ]
    if numbers.grid_charge_target_frac > numbers.rescue_until_frac:
        rows.append(
            Row("charge from the grid", f"{_charge_hours(numbers)} up to "
                f"{numbers.grid_charge_target_frac:.0%}", "ok")
        )  # fmt: skip
    else:
        rows.append(Row("charge from the grid", "no, except the rescue below", "ok"))
    if numbers.rescue_soc_frac > 0:
        rows.append(
            Row("rescue: at any hour the grid charges below",
                f"{numbers.rescue_soc_frac:.0%}, up to {numbers.rescue_until_frac:.0%}", "%")
        )  # fmt: skip
    if numbers.dear_price_per_kwh > 0:
        price = f"{numbers.dear_price_per_kwh:.3g} {sketch.prices.currency}/kWh"
        rows.append(Row("use the bank before the grid only in hours that cost", f"≥ {price}", "ok"))
    feed = "allowed" if sketch.grid.export_allowed else "not allowed: set export to 0 W"
    rows.append(Row("feeding the grid", feed, "ok"))
    return rows


def _generator_rows(generator: Generator) -> list[Row]:
    rows = [
        Row("generator starts at", f"{generator.start_soc_frac:.0%}", "%"),
        Row("and stops at", f"{generator.stop_soc_frac:.0%}", "%"),
    ]
    low, high = (share * generator.rated_w for share in GENERATOR_BAND)
    rows.append(
        Row("generator's load while it charges", f"{low:.0f} to {high:.0f} W", "W",
            "set the charge current so; IEC TS 62257-7-3 as quoted: 50 to 80 % of its rating")
    )  # fmt: skip
    if generator.quiet_hours:
        rows.append(Row("generator rests", _hours(generator.quiet_hours), "ok"))
    return rows


def _input_rows(design: ElectricalDesign) -> list[Row]:
    """Input limits by source, and the smaller where one setting must serve both."""
    rows = [
        Row(f"largest current from the {limit.source}, each machine", limit.words, "A",
            f"{limit.because}. {_sentence(limit.too_small)}".strip())
        for limit in design.input_limits
    ]  # fmt: skip
    both = one_setting(design.input_limits)
    if both is not None:
        rows.append(
            Row("where a machine has one such setting for both sources", both[0].words, "A",
                both[1])
        )  # fmt: skip
    return rows


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _equalising(chemistry: Chemistry) -> Row:
    """Whether the machine may give the bank an equalising charge, and what goes with it."""
    held = said(f"commissioning.sheet.equalise_{'as_told' if chemistry.equalised else 'off'}")
    note = said(f"commissioning.sheet.equalise_{'vented' if chemistry.vented else 'note'}")
    return Row(str(said("commissioning.sheet.equalise")), str(held), "ok", str(note))


def settings(sketch: Sketch, design: ElectricalDesign) -> Section:
    """What to enter, in plain words, as the strategy of the sketch wants it."""
    machine, plan = sketch.equipment.inverter, design.arrangement
    numbers = numbers_of(sketch)
    rows = [Row("arrangement", plan.name, "ok")]
    if len(plan.lines) > 1:
        rows.append(Row("line of each machine", ", ".join(plan.lines) + ", in turn", "ok"))
    rows.append(Row("output", f"{machine.output_v:g} V, {machine.frequency_hz} Hz", "ok"))
    if design.bank:
        unit, bank = sketch.equipment.battery, design.bank
        chemistry = CHEMISTRIES[unit.chemistry]
        each_a = bank.limits.charge_set_a
        floor = 1 - unit.usable_dod_frac
        rows += [
            Row("battery kind", str(said(chemistry.short_key)), "ok"),
            _equalising(chemistry),
            Row("charge voltage", f"{bank.highest_v:g} V", "V"),
            Row("charge-current limit, all sources together, each machine",
                f"{each_a} A ({each_a * plan.machines} A in all)", "A",
                "the leads are sized for this; no unit takes more than it may"),
            Row("low-voltage cut-off", f"{unit.cutoff_v * bank.in_series:g} V", "V"),
            Row("without a grid stop discharging at", f"{floor:.0%}", "%"),
        ]  # fmt: skip
        rows.append(Row("priority", str(said(PRIORITIES[numbers.kind].key("setting"))), "ok"))
        if sketch.grid.kind != "none":
            rows += _grid_rows(sketch, numbers)
        if sketch.generator:
            rows += _generator_rows(sketch.generator)
    rows += _input_rows(design)
    lead = "In plain words; find the matching item in the machine's own menu."
    return Section("settings", "Settings", lead, tuple(rows))
