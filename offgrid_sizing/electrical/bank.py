"""The bank as joined: voltages, currents, busbar, sharing, addresses, torque and lead lengths."""

from dataclasses import dataclass
from typing import Literal

from offgrid_sizing.electrical.charge_voltage import ChargeVoltage, charge_voltage
from offgrid_sizing.electrical.protection import FaultCurrent, unit_fault_current
from offgrid_sizing.electrical.sharing import Sharing, all_feeds, current_shares
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.electrical.unit_limits import UnitLimits, unit_limits
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.rule_tables import rule_table
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import said, sentence

BAR_A_PER_MM2 = 2.0  # common practice, no source: copper bar in free air
BAR_OHM_MM2_PER_M = 0.017241 * (1 + 0.00393 * 45)  # IEC 60028 copper, bar at 65 °C
Case = Literal["discharge", "charge"]
CASES: tuple[Case, Case] = ("discharge", "charge")
NO_BANK = sentence("bank.none")


@dataclass(frozen=True)
class Busbar:
    """A flat copper bar for one polarity.

    Parameters
    ----------
    label : str
        Width × thickness in mm.
    area_mm2 : float
    bears_a : float
        At 2 A/mm². [A]
    segment_ohm : float
        Between two neighbouring units. [Ω]
    """

    label: str
    area_mm2: float
    bears_a: float
    segment_ohm: float


@dataclass(frozen=True)
class BankWiring:
    """The bank as it is joined.

    Parameters
    ----------
    in_series, in_parallel : int
    nominal_v, highest_v, lowest_v : float
        Nominal, at full charge voltage, at cut-off. [V]
    nominal_wh : float
        [Wh]
    discharge_a, charge_a : float
        Largest lasting currents of the whole bank. [A]
    busbar : Busbar or None
        None for a single string of units.
    sharing : Sharing
        As drawn.
    feeds : tuple of Sharing
        All ways of tapping, most even first.
    unit_discharge_max_a, unit_charge_max_a : float
        What one unit may give and take for long. [A]
    fault : FaultCurrent
        Of one unit.
    fault_a : float
        Of the whole bank at its busbar. [A]
    addresses : tuple of (int, str)
        Address and unit, in the order of the communication cable, lead unit first.
    charging : ChargeVoltage
        How high it is charged, equalising and cold included.
    limits : UnitLimits
        What it gives and takes as joined, and what to set at the machines.
    faults, advice : tuple of str
        What is broken, and what is recommended.
    """

    in_series: int
    in_parallel: int
    nominal_v: float
    highest_v: float
    lowest_v: float
    nominal_wh: float
    discharge_a: float
    charge_a: float
    busbar: Busbar | None
    sharing: Sharing
    feeds: tuple[Sharing, ...]
    unit_discharge_max_a: float
    unit_charge_max_a: float
    fault: FaultCurrent
    fault_a: float
    addresses: tuple[tuple[int, str], ...]
    charging: ChargeVoltage
    limits: UnitLimits
    faults: tuple[str, ...]
    advice: tuple[str, ...]

    @property
    def governs(self) -> Case:
        """The case with the larger current, which sizes busbar and leads."""
        return governing_case(self.discharge_a, self.charge_a)

    def unit_a(self, case: Case) -> tuple[float, ...]:
        """Current of each unit in one case, in their order along the busbar. [A]"""
        total_a = self.discharge_a if case == "discharge" else self.charge_a
        return tuple(share * total_a for share in self.sharing.shares)

    def unit_max_a(self, case: Case) -> float:
        """What one unit bears for long in one case. [A]"""
        return self.unit_discharge_max_a if case == "discharge" else self.unit_charge_max_a

    def worst_unit_a(self, case: Case) -> float:
        """Current of the unit that works hardest in one case. [A]"""
        return max(self.unit_a(case))

    def worst_lasting_a(self, case: Case) -> float:
        """The same with the machines set as told, where there is something to set. [A]"""
        worst_a = self.worst_unit_a(case)
        is_set = case == "charge" or self.limits.discharge_set_a is not None
        return min(worst_a, self.unit_max_a(case)) if is_set else worst_a


def governing_case(discharge_a: float, charge_a: float) -> Case:
    """Which of two lasting currents is the larger; equal ones count as discharging.

    >>> governing_case(81.0, 100.0), governing_case(100.0, 100.0)
    ('charge', 'discharge')
    """
    return "charge" if charge_a > discharge_a else "discharge"


def lowest_v(sketch: Sketch, in_series: int) -> float:
    """Lowest voltage at which the machines still draw full power. [V]"""
    unit, inverter = sketch.equipment.battery, sketch.equipment.inverter
    return max(unit.cutoff_v * in_series, inverter.bank_min_v)


def lowest_bank_v(sketch: Sketch, system: System) -> float:
    """The same for a system's bank. [V]"""
    return lowest_v(sketch, system.units_in_series)


def discharge_a(sketch: Sketch, power_w: float, bank_v: float) -> float:
    """Direct current the bank gives for an AC power, at the efficiency of full load. [A]"""
    efficiency = sorted(sketch.equipment.inverter.efficiency_curve)[-1][1]
    return power_w / (efficiency * bank_v)


def machine_discharge_a(sketch: Sketch, system: System) -> float:
    """Direct current of one machine at full power and the lowest bank voltage. [A]

    Inverter input current at its lowest input voltage; the code's data name their clause.
    """
    lowest_v = lowest_bank_v(sketch, system)
    return discharge_a(sketch, sketch.equipment.inverter.rated_w, lowest_v)


def has_ac_source(sketch: Sketch) -> bool:
    """Whether a grid or a generator feeds the machines' inputs."""
    return sketch.grid.kind != "none" or sketch.generator is not None


def machine_charge_a(sketch: Sketch, system: System) -> float:
    """Largest charge current through one machine's battery lead. [A]

    Array and grid (or generator) may charge together; each machine's charge-current setting
    holds its share of what the bank may take.
    """
    controller, inverter = sketch.equipment.controller, sketch.equipment.inverter
    from_ac_a = inverter.charger_max_a if has_ac_source(sketch) else 0.0
    bank_limit_a = sketch.equipment.battery.max_charge_a * system.units_in_parallel
    return min(controller.max_charge_a + from_ac_a, bank_limit_a / system.inverters)


def pick_busbar(current_a: float, length_m: float, groups: int) -> Busbar:
    """Smallest stock bar that bears a current.

    Raises
    ------
    BadInput
        When the current is beyond the largest stock bar.
    """
    table = rule_table("copper_bars")
    sizes = zip(table.numbers("width_mm"), table.numbers("thickness_mm"), strict=True)
    for width, thickness in sorted(sizes, key=lambda bar: (bar[0] * bar[1], bar[1])):
        area = width * thickness
        if area * BAR_A_PER_MM2 >= current_a:
            segment_m = length_m / max(1, groups - 1)
            return Busbar(
                label=f"{width:g} × {thickness:g} mm",
                area_mm2=area,
                bears_a=area * BAR_A_PER_MM2,
                segment_ohm=BAR_OHM_MM2_PER_M * segment_m / area,
            )
    raise BadInput(sentence("bank.beyond_busbar", current_a=current_a))


def peak_discharge_a(sketch: Sketch, system: System, peak: Peak) -> float:
    """Direct current of the home's running peak at the lowest bank voltage. [A]"""
    return discharge_a(sketch, peak.running_w, lowest_bank_v(sketch, system))


def _faults(sketch: Sketch, system: System) -> tuple[str, ...]:
    unit, inverter = sketch.equipment.battery, sketch.equipment.inverter
    series, parallel = system.units_in_series, system.units_in_parallel
    nominal_v, full_v = unit.nominal_v * series, unit.charge_v * series
    faults = []
    if not 0.8 * inverter.bank_v <= nominal_v <= 1.2 * inverter.bank_v:
        faults.append(
            sentence("bank.wrong_voltage", bank_v=nominal_v, series=series, needs_v=inverter.bank_v)
        )
    if full_v > inverter.bank_max_v:
        faults.append(sentence("bank.charged_too_high", full_v=full_v, bears_v=inverter.bank_max_v))
    if unit.cutoff_v * series < inverter.bank_min_v:
        faults.append(
            sentence(
                "bank.cutoff_below", cutoff_v=unit.cutoff_v * series, stops_v=inverter.bank_min_v
            )
        )
    if parallel > unit.max_parallel:
        faults.append(sentence("bank.too_many", units=parallel, most=unit.max_parallel))
    return tuple(faults)


def _addresses(system: System) -> tuple[tuple[int, str], ...]:
    rows = []
    for group in range(system.units_in_parallel):
        for place in range(system.units_in_series):
            number = group * system.units_in_series + place + 1
            name = sentence(f"bank.{'lead_unit' if number == 1 else 'unit'}", number=number)
            if system.units_in_series > 1:
                where = {"string": group + 1, "place": place + 1}
                name = sentence("bank.placed", unit=name, **where)
            rows.append((number, name))
    return tuple(rows)


def _advice(feeds: tuple[Sharing, ...], drawn: Sharing, parallel: int) -> tuple[str, ...]:
    advice = []
    if parallel > 1:
        best = feeds[0]
        if drawn.worst_ratio > best.worst_ratio + 0.005:
            advice.append(
                sentence(
                    "bank.tap_better",
                    feed=said(f"sources.feed.{drawn.feed}"),
                    unit=drawn.worst_unit,
                    more=100 * drawn.over_equal_frac,
                    best=said(f"sources.feed.{best.feed}"),
                    best_more=100 * best.over_equal_frac,
                )
            )
        advice.append(sentence("bank.leads_alike"))
    return tuple(advice)


def bank_wiring(
    sketch: Sketch,
    system: System,
    lead_ohm: float,
    peak: Peak | None = None,
    *,
    record_low_c: float,
) -> BankWiring:
    """Join the bank and say how its units share the work.

    Parameters
    ----------
    sketch : Sketch
    system : System
    lead_ohm : float
        Both leads of one unit (or series group) to the busbar. [Ω]
    peak : Peak, optional
    record_low_c : float
        Coldest air, for a bank outdoors. [°C]

    Raises
    ------
    BadInput
        Without a unit in the bank, or beyond the largest busbar.
    """
    series, parallel = system.units_in_series, system.units_in_parallel
    if parallel == 0:
        raise BadInput(NO_BANK)
    unit = sketch.equipment.battery
    total_discharge_a = machine_discharge_a(sketch, system) * system.inverters
    charge_a = machine_charge_a(sketch, system) * system.inverters
    total_a = max(total_discharge_a, charge_a)
    bar = pick_busbar(total_a, sketch.wiring.busbar_length_m, parallel) if parallel > 1 else None
    group_ohm = unit.internal_resistance_ohm * series + lead_ohm
    segment_ohm = bar.segment_ohm if bar else 0.0
    drawn = current_shares(parallel, group_ohm, segment_ohm, sketch.wiring.bank_feed)
    feeds = all_feeds(parallel, group_ohm, segment_ohm)
    fault = unit_fault_current(unit)
    charging = charge_voltage(sketch, system, record_low_c)
    limits = unit_limits(
        unit,
        drawn,
        feeds[0],
        machines=system.inverters,
        discharge_a=total_discharge_a,
        charge_a=charge_a,
        home_a=None if peak is None else peak_discharge_a(sketch, system, peak),
        rule=code_of(sketch.wiring.rule_book).limits.lasting_current,
    )
    return BankWiring(
        in_series=series,
        in_parallel=parallel,
        nominal_v=unit.nominal_v * series,
        highest_v=unit.charge_v * series,
        lowest_v=lowest_bank_v(sketch, system),
        nominal_wh=unit.energy_wh * system.units,
        discharge_a=total_discharge_a,
        charge_a=charge_a,
        busbar=bar,
        sharing=drawn,
        feeds=feeds,
        unit_discharge_max_a=unit.max_discharge_a,
        unit_charge_max_a=unit.max_charge_a,
        fault=fault,
        fault_a=fault.unit_a * parallel,
        addresses=_addresses(system),
        charging=charging,
        limits=limits,
        faults=(*_faults(sketch, system), *charging.faults, *limits.faults),
        advice=(*_advice(feeds, drawn, parallel), *limits.advice, *charging.unknown),
    )
