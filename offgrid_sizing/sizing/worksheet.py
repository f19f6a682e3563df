"""The hand method, line by line, so that a person can check the hourly search with a pencil."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sizing import handbook
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System, drawn_system
from offgrid_sizing.words import Sentence, sentence


@dataclass(frozen=True)
class Line:
    """One line of the worksheet: what, how much, in what unit, from where."""

    key: str
    label: str
    value: float
    unit: str
    how: str
    source: str


@dataclass(frozen=True)
class Worksheet:
    """All lines in order, and the whole boxes they come to.

    `modules_bare` is without the array-to-load ratio and the reserve, `units_bare` without the
    margins for end of life, cold and design: what the fixed surplus comes to.
    """

    lines: tuple[Line, ...]
    modules: int
    units_in_parallel: int
    inverters: int
    modules_bare: int
    units_bare: int

    def value(self, key: str) -> float:
        """The number on the line of that key."""
        return next(line.value for line in self.lines if line.key == key)


def _line(key: str, value: float, unit: str = "", source: str = "here", **more: str) -> Line:
    """A line with its words by its key; `more` holds a label or a how of its own."""
    return Line(
        key=key,
        label=more.get("label") or sentence(f"sizing.line.{key}"),
        value=value,
        unit=unit,
        how=more.get("how") or sentence(f"worksheet.how.{key}"),
        source=sentence(f"worksheet.source.{source}"),
    )


def monthly_load_kwh(inputs: Inputs) -> np.ndarray:
    """Mean daily demand by month, deferrable loads included, over all years. [kWh/day], (12,)"""
    month = inputs.loads.time.month.to_numpy()
    power = inputs.loads.load_w.mean(axis=0)
    fixed = np.array([power[month == m].mean() for m in range(1, 13)]) * 24 / 1000
    steps_a_day = round(24 / inputs.loads.step_h)
    month_of_day = month[::steps_a_day]
    for load in inputs.loads.deferrable:
        daily = load.daily_wh.mean(axis=0) / 1000
        fixed += np.array([daily[month_of_day == m].mean() for m in range(1, 13)])
    return fixed


def _on_planes(sketch: Sketch, values: np.ndarray) -> np.ndarray:
    """Mean over years and planes, planes weighted by drawn modules; (planes, years, n) to (n,)."""
    if not sketch.roof_planes:
        return np.zeros(values.shape[-1])
    weights = np.array([plane.modules for plane in sketch.roof_planes], dtype=float)
    if weights.sum() == 0:
        weights = np.ones(len(sketch.roof_planes))
    return np.average(values.mean(axis=1), axis=0, weights=weights)


def _daily_by_month(inputs: Inputs, power: np.ndarray) -> np.ndarray:
    """Mean daily energy by month of a power series: (n,) in W to (12,) in kWh/day."""
    month = inputs.weather.time.month.to_numpy()
    return np.array([power[month == m].mean() for m in range(1, 13)]) * 24 / 1000


def monthly_peak_sun_hours(sketch: Sketch, inputs: Inputs) -> np.ndarray:
    """Peak sun hours a day on the planes by month, weighted by drawn modules. [h/day], (12,)"""
    return _daily_by_month(inputs, _on_planes(sketch, inputs.output.poa_global))


def monthly_module_kwh(sketch: Sketch, inputs: Inputs) -> np.ndarray:
    """Energy one module gives a day by month, all array losses taken. [kWh/day], (12,)"""
    return _daily_by_month(inputs, _on_planes(sketch, inputs.output.module_w))


def _curve_at(curve, x: float) -> float:
    xs, ys = zip(*sorted(curve), strict=True)
    return float(np.interp(x, xs, ys))


def bank_temperature_factor(sketch: Sketch, coldest_month_c: float) -> float:
    """How much larger the bank must be for its cold: by maker's curve, or the chemistry's table."""
    place = sketch.equipment.bank_place
    temperature = place.indoor_c if place.kind == "indoor" else coldest_month_c
    if place.kind == "heated":
        temperature = max(temperature, place.heated_c)
    battery = sketch.equipment.battery
    table = CHEMISTRIES[battery.chemistry].worksheet_cold_table
    if table:
        return handbook.cold_multiplier(table, temperature)
    return 1 / max(_curve_at(battery.capacity_vs_temp, temperature), 0.05)


def _cold_line(sketch: Sketch, factor: float) -> Line:
    if not CHEMISTRIES[sketch.equipment.battery.chemistry].worksheet_cold_table:
        return _line("cold", factor)
    how = sentence("worksheet.how.cold_table")
    return _line("cold", factor, source="cold_table", how=how)


def worksheet_of(sketch: Sketch, inputs: Inputs) -> Worksheet:
    """Fill the worksheet for a sketch."""
    load = monthly_load_kwh(inputs)
    sun = monthly_peak_sun_hours(sketch, inputs)
    array = _array_lines(sketch, inputs, load, sun)
    design_month = int(array[0].value) - 1
    bank = _bank_lines(sketch, inputs, float(load[design_month]))
    inverter = _inverter_lines(sketch, inputs)
    lines = (*array, *bank, *inverter)
    values = {line.key: line.value for line in lines}
    rated_kw = sketch.equipment.module.power_w / 1000
    array_kw = values["array"] / values["ratio"]
    bank_kwh = values["unadjusted"] / values["dod"]
    return Worksheet(
        lines=lines,
        modules=round(values["modules"]),
        units_in_parallel=round(values["units_in_parallel"]),
        inverters=round(values["inverters"]),
        modules_bare=min(handbook.whole(array_kw / rated_kw), round(values["modules"])),
        units_bare=min(
            handbook.whole(bank_kwh / _string_kwh(sketch)), round(values["units_in_parallel"])
        ),
    )


def differences(sheet: Worksheet, found: System) -> tuple[Sentence, ...]:
    """Where the worksheet and the hourly search come to other counts, and what makes it so.

    What a fixed surplus comes to is counted; the rest is what either way of counting knows.
    """
    pairs = (
        ("bank", sheet.units_in_parallel, found.units_in_parallel, sheet.units_bare),
        ("array", sheet.modules, found.modules, sheet.modules_bare),
        ("machines", sheet.inverters, found.inverters, sheet.inverters),
    )
    return tuple(
        sentence(
            f"worksheet.differ.{name}_{_way(hand, hours)}",
            by=abs(hand - hours),
            sheet=hand,
            surplus=hand - bare,
            days=sheet.value("days"),
        )
        for name, hand, hours, bare in pairs
    )


def _way(hand: int, hours: int) -> str:
    return "same" if hand == hours else "more" if hand > hours else "less"


def _array_lines(sketch: Sketch, inputs: Inputs, load, sun) -> tuple[Line, ...]:
    module_kwh = monthly_module_kwh(sketch, inputs)
    month = int(np.argmax(load / np.maximum(sun, 1e-6)))
    standby_kwh = _standby_w(sketch) * 24 / 1000
    inverter = _curve_at(sketch.equipment.inverter.efficiency_curve, 0.3)
    dc_kwh = handbook.dc_energy_wh(load[month] * 1000, inverter) / 1000 + standby_kwh
    night = _night_share(sketch, inputs)
    battery = sketch.equipment.battery
    round_trip = battery.charge_efficiency_frac * battery.discharge_efficiency_frac
    path = sketch.equipment.controller.efficiency_frac * (1 - night + night * round_trip)
    ratio = handbook.ARRAY_TO_LOAD_RATIO_MIN[sketch.targets.load_class]
    rated_kw = sketch.equipment.module.power_w / 1000
    derate = module_kwh[month] / max(sun[month] * rated_kw, 1e-9)
    wanted_kwh = dc_kwh * ratio / path
    array_w = handbook.array_power_w(wanted_kwh * 1000, max(sun[month], 1e-3)) / max(derate, 1e-3)
    reserve = sketch.weather.array_reserve
    modules = handbook.whole(array_w * reserve / 1000 / rated_kw) if sketch.roof_planes else 0
    per_day = sentence("worksheet.unit.per_day")
    return (
        _line("design_month", month + 1, source="method"),
        _line("load", load[month], per_day),
        _line("sun", sun[month], sentence("worksheet.unit.sun")),
        _line("inverter_eff", inverter),
        _line("standby", standby_kwh, per_day),
        _line("dc_load", dc_kwh, per_day, "method"),
        _line("night", night),
        _line("path_eff", path),
        _line("ratio", ratio, source="ratio"),
        _line("derate", derate),
        _line("array", array_w / 1000, "kW", "method"),
        _line("reserve", reserve),
        _line("modules", modules),
    )


def _standby_w(sketch: Sketch) -> float:
    drawn = drawn_system(sketch)
    return (
        sketch.equipment.inverter.standby_w * drawn.inverters
        + sketch.equipment.battery.standby_w * drawn.units
    )


def _night_share(sketch: Sketch, inputs: Inputs) -> float:
    """Share of the load that falls in steps where the array gives less than the load."""
    power = inputs.loads.load_w.mean(axis=0)
    output = _on_planes(sketch, inputs.output.module_w)
    scaled = output * power.sum() / max(output.sum(), 1e-9)
    return float(1 - np.minimum(power, scaled).sum() / max(power.sum(), 1e-9))


def _bank_lines(sketch: Sketch, inputs: Inputs, load_kwh: float) -> tuple[Line, ...]:
    targets, battery = sketch.targets, sketch.equipment.battery
    inverter = _curve_at(sketch.equipment.inverter.efficiency_curve, 0.3)
    days = targets.days_of_autonomy
    standby_kwh = _standby_w(sketch) * 24 / 1000
    unadjusted = handbook.bank_unadjusted_kwh(days, load_kwh, inverter) + days * standby_kwh
    month = inputs.weather.time.month.to_numpy()
    air = inputs.weather.temp_air.mean(axis=0)
    coldest = min(air[month == m].mean() for m in range(1, 13))
    factor = bank_temperature_factor(sketch, coldest)
    margin = 1 + targets.design_margin_frac
    adjusted = handbook.bank_adjusted_kwh(
        unadjusted, battery.usable_dod_frac, battery.end_of_life_frac, factor, margin
    )
    units = handbook.whole(adjusted / _string_kwh(sketch))
    label = sentence("worksheet.units_in_parallel", in_series=_in_series(sketch))
    return (
        _line("days", days, sentence("worksheet.unit.days")),
        _line("unadjusted", unadjusted, "kWh", "bank"),
        _line("dod", battery.usable_dod_frac),
        _line("end_of_life", battery.end_of_life_frac),
        _cold_line(sketch, factor),
        _line("margin", margin, source="bank"),
        _line("bank", adjusted, "kWh", "bank"),
        _line("units_in_parallel", units, label=label),
    )


def _in_series(sketch: Sketch) -> int:
    equipment = sketch.equipment
    return max(round(equipment.inverter.bank_v / equipment.battery.nominal_v), 1)


def _string_kwh(sketch: Sketch) -> float:
    """Rated energy of the units that are in series at one bank voltage. [kWh]"""
    return sketch.equipment.battery.energy_wh * _in_series(sketch) / 1000


def _inverter_lines(sketch: Sketch, inputs: Inputs) -> tuple[Line, ...]:
    inverter, peak = sketch.equipment.inverter, inputs.loads.peak
    by_running = peak.running_va / inverter.rated_va
    by_power = peak.running_w / inverter.rated_w
    by_start = peak.starting_va / inverter.surge_va
    need = max(by_running, by_power, by_start, 1e-9)
    least = {"single": 1, "parallel": 2, "split_phase": 2, "three_phase": 3}
    arrangement = sketch.drawn.arrangement
    step = least[arrangement] if arrangement in ("split_phase", "three_phase") else 1
    count = max(handbook.whole(need / step) * step, least[arrangement])
    return (
        _line("running", peak.running_va, "VA"),
        _line("starting", peak.starting_va, "VA", how=peak.starts),
        _line("inverters", count),
    )
