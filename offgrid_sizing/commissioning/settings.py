"""What to enter in the machine, in plain words, as the strategy of the sketch wants it."""

from offgrid_sizing.chemistry import Chemistry
from offgrid_sizing.commissioning.assembly import chemistry_of, part
from offgrid_sizing.commissioning.layout import Row, Section, Words, line, note, value
from offgrid_sizing.electrical.ac_input import InputLimit, one_setting
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.priority import PRIORITIES
from offgrid_sizing.sketch import Generator, Sketch, TimeWindow
from offgrid_sizing.strategy import StrategyNumbers, generator_starts_late, numbers_of
from offgrid_sizing.words import Said, said

GENERATOR_BAND = (0.5, 0.8)  # IEC TS 62257-7-3, 5.2.2, as quoted


def _share(frac: float) -> Said:
    return value("share_of", share=frac)


def _clock(hour: float) -> str:
    return f"{int(hour):02d}:{round(hour % 1 * 60):02d}"


def _hours(windows: tuple[TimeWindow, ...]) -> Words:
    spans = [f"{_clock(window.from_h)}–{_clock(window.to_h)}" for window in windows]
    return ", ".join(spans) if spans else value("any_hour")


def _charge_hours(numbers: StrategyNumbers) -> Words:
    if numbers.grid_charge_hours is None:
        return value("cheap_hours")
    return _hours(numbers.grid_charge_hours)


def _help(sketch: Sketch) -> Said:
    if not sketch.strategy.bank_helps_below_hold:
        return value("no")
    return value("yes_down_to", share=1 - sketch.equipment.battery.usable_dod_frac)


def _grid_rows(sketch: Sketch, numbers: StrategyNumbers) -> list[Row]:
    target, until = numbers.grid_charge_target_frac, numbers.recharge_until_frac
    charged = (
        value("up_to", hours=_charge_hours(numbers), share=target)
        if target > until
        else value("recharge_only")
    )
    rows = [
        line("set.hold", _share(numbers.hold_soc_frac), "%"),
        line("set.resume", _share(numbers.resume_soc_frac), "%"),
        line("set.help", _help(sketch), "ok"),
        line("set.grid_charge", charged, "ok"),
    ]
    if numbers.recharge_soc_frac > 0:
        band = value("recharge", below=numbers.recharge_soc_frac, until=until)
        rows.append(line("set.recharge", band, "%"))
    if numbers.peak_price_per_kwh > 0:
        # the price is a figure of the sketch's own currency
        peak = value(
            "peak_price",
            price=float(f"{numbers.peak_price_per_kwh:.3g}"),
            currency=sketch.prices.currency,
        )
        rows.append(line("set.peak_price", peak, "ok"))
    allowed = value("feed_yes" if sketch.grid.export_allowed else "feed_no")
    rows.append(line("set.feed", allowed, "ok"))
    return rows


def _generator_rows(sketch: Sketch, generator: Generator) -> list[Row]:
    late = note("generator_late") if generator_starts_late(sketch) else ""
    low, high = (round(share * generator.rated_w) for share in GENERATOR_BAND)
    rows = [
        line("set.generator_start", _share(generator.start_soc_frac), "%", late),
        line("set.generator_stop", _share(generator.stop_soc_frac), "%"),
        line(
            "set.generator_load",
            value("span", low=low, high=high, unit="W"),
            "W",
            note("generator_load"),
        ),
    ]
    if generator.quiet_hours:
        rows.append(line("set.generator_rests", _hours(generator.quiet_hours), "ok"))
    return rows


def _input_rows(design: ElectricalDesign) -> list[Row]:
    """Input limits by source, and the smaller where one setting must serve both."""
    rows = [
        line(
            "set.input", limit.words, "A", _why(limit), source=said(f"input.source.{limit.source}")
        )
        for limit in design.input_limits
    ]
    both = one_setting(design.input_limits)
    if both is not None:
        small, large = sorted(design.input_limits, key=lambda limit: limit.each_a)
        alike = small.each_a == large.each_a
        because = said("input.alike") if alike else said(f"input.smaller.{small.source}")
        rows.append(line("set.one_input", both[0].words, "A", because))
    return rows


def _why(limit: InputLimit) -> Words:
    if not limit.too_small:
        return said("input.sentence", because=limit.because)
    return said("input.sentences", because=limit.because, small=limit.too_small)


def _equalising(chemistry: Chemistry) -> Row:
    """Whether the machine may give the bank an equalising charge, and what goes with it."""
    held = said(f"commissioning.sheet.equalise_{'as_told' if chemistry.equalised else 'off'}")
    because = said(f"commissioning.sheet.equalise_{'vented' if chemistry.vented else 'note'}")
    return Row(said("commissioning.sheet.equalise"), held, "ok", because)


def _bank_rows(sketch: Sketch, design: ElectricalDesign) -> list[Row]:
    unit, bank, plan = sketch.equipment.battery, design.bank, design.arrangement
    assert bank is not None  # asked for with a bank only
    chemistry = chemistry_of(sketch)
    each_a = bank.limits.charge_set_a
    current = value("each_in_all", each=each_a, total=each_a * plan.machines)
    return [
        line("set.kind", said(chemistry.short_key), "ok"),
        _equalising(chemistry),
        line("set.charge_v", value("plain", value=bank.highest_v, unit="V"), "V"),
        line("set.charge_a", current, "A", note("leads_sized")),
        line("set.cutoff", value("plain", value=unit.cutoff_v * bank.in_series, unit="V"), "V"),
        line("set.floor", _share(1 - unit.usable_dod_frac), "%"),
    ]


def settings(sketch: Sketch, design: ElectricalDesign) -> Section:
    """What to enter, in plain words, as the strategy of the sketch wants it."""
    machine, plan = sketch.equipment.inverter, design.arrangement
    numbers = numbers_of(sketch)
    rows = [line("set.arrangement", said(f"sheet.arrangement.{plan.arrangement}"), "ok")]
    if len(plan.lines) > 1:
        rows.append(line("set.lines", value("in_turn", lines=", ".join(plan.lines)), "ok"))
    output = value("output", volts=machine.output_v, hertz=machine.frequency_hz)
    rows.append(line("set.output", output, "ok"))
    if design.bank:
        rows += _bank_rows(sketch, design)
        if sketch.grid.kind == "none":  # there is nothing to be first before
            rows.append(line("set.priority", value("off_grid"), "ok"))
        else:
            rows.append(line("set.priority", said(PRIORITIES[numbers.kind].key("setting")), "ok"))
            rows += _grid_rows(sketch, numbers)
        if sketch.generator:
            rows += _generator_rows(sketch, sketch.generator)
    rows += _input_rows(design)
    return part("settings", rows)
