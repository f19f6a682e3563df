"""Twelve homes of every chemistry and supply: is the answer the cheapest of a dense scan?

Every bank × array × number of inverter-chargers of a home's window is drawn, run through each of
its years, priced by the life-cycle cost that Money prints, and held to the targets one by one;
of the search only its list of boxes that can be joined is used. All homes are invented. By hand, a
quarter of an hour for all; `test_dense_table.py` runs three of them in a smaller window:

    PYTHONPATH=. python tests/sizing/dense_table.py [home ...]
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from time import perf_counter

import numpy as np

from offgrid_sizing.demos import demo
from offgrid_sizing.economics.priced import priced_year
from offgrid_sizing.loads.presets import with_preset
from offgrid_sizing.outcome import outcome_of
from offgrid_sizing.simulation import Inputs, inputs_of, simulate
from offgrid_sizing.sizing.autonomy import autonomy_of, ride_through_h
from offgrid_sizing.sizing.candidates import candidates_of
from offgrid_sizing.sizing.least import units_for_current
from offgrid_sizing.sizing.reliability import reliability_of
from offgrid_sizing.sizing.search import size
from offgrid_sizing.sketch import (
    BankPlace,
    BatteryUnit,
    Generator,
    Grid,
    RoofPlane,
    Site,
    Sketch,
    Strategy,
    Tariff,
    TariffBand,
    TimeWindow,
    WeatherChoice,
    WeekWindow,
)
from offgrid_sizing.system import System, with_system

CENT = 0.01

LEAD = {
    "nominal_v": 12, "capacity_ah": 200, "usable_dod_frac": 0.5, "max_charge_a": 40,
    "max_discharge_a": 120, "peak_discharge_a": 400, "charge_efficiency_frac": 0.9,
    "discharge_efficiency_frac": 0.95, "standby_w": 0, "min_charge_c": -20, "max_charge_c": 45,
    "charge_v": 14.4, "cutoff_v": 10.8, "internal_resistance_ohm": 0.004,
}  # fmt: skip
UNITS = {
    "lifepo4": BatteryUnit(),
    "lead_acid_sealed": BatteryUnit(
        name="Sealed 12 V 200 Ah (invented)", chemistry="lead_acid_sealed",
        cycle_life=((0.3, 1500), (0.5, 800), (0.8, 400)), calendar_life_y=8, **LEAD,
    ),
    "lead_acid_flooded": BatteryUnit(
        name="Vented 12 V 200 Ah (invented)", chemistry="lead_acid_flooded",
        cycle_life=((0.3, 2200), (0.5, 1200), (0.8, 600)), calendar_life_y=10, **LEAD,
    ),
    "sodium_ion": BatteryUnit(
        name="48 V 100 Ah sodium-ion (invented)", chemistry="sodium_ion", nominal_v=49.6,
        charge_v=57.6, cutoff_v=40.0, min_charge_c=-10, charge_efficiency_frac=0.95,
        discharge_efficiency_frac=0.96, cycle_life=((0.5, 6000), (0.8, 3500), (1.0, 2500)),
        calendar_life_y=12,
    ),
}  # fmt: skip
EACH = {"lifepo4": 1100, "lead_acid_sealed": 320, "lead_acid_flooded": 260, "sodium_ion": 800}

TWO_PRICES = Tariff(
    price_per_kwh=0.42,
    bands=(TariffBand(from_h=0, to_h=6, price_per_kwh=0.08),),
    export_price_per_kwh=0.05,
)  # fmt: skip
EVENINGS = (
    WeekWindow(from_h=17, to_h=22),
    WeekWindow(from_h=8, to_h=11, days=(True, False) * 3 + (False,)),
)
NIGHT = (TimeWindow(from_h=0, to_h=6),)


def _home(
    chemistry: str,
    supply: dict,
    kind: str = "pv_first",
    *,
    base: str = "",
    strategy: dict | None = None,
    **targets,
) -> Sketch:
    """A demo, or a small home in Spain, with this unit, supply and priority."""
    if base:
        sketch = demo(base)
        if sketch.weather.source != "sample":
            sketch = _part(sketch, "weather", {"years": 2})
    else:
        sketch = with_preset(
            Sketch(
                title="Small home (invented)",
                site=Site(name="Nowhere", latitude_deg=40.4, longitude_deg=-3.7, elevation_m=650),
                weather=WeatherChoice(years=2),
                roof_planes=(RoofPlane(modules_in_series=3),),
            ),
            "small_home",
        )
    sketch = _part(sketch, "equipment", {"battery": UNITS[chemistry]})
    sketch = _part(sketch, "prices", {"battery_unit_each": EACH[chemistry], "unserved_per_kwh": 0})
    sketch = _part(sketch, "targets", {"max_units": 12, "max_modules": 30} | targets)
    return sketch.model_copy(
        update={"grid": Grid(), "generator": None}
        | supply
        | {"strategy": Strategy(kind=kind, **(strategy or {}))}
    )


def _part(sketch: Sketch, part: str, changes: dict) -> Sketch:
    return sketch.model_copy(update={part: getattr(sketch, part).model_copy(update=changes)})


def _outdoors(sketch: Sketch) -> Sketch:
    return _part(sketch, "equipment", {"bank_place": BankPlace(kind="outdoor")})


HOMES: dict[str, Callable[[], Sketch]] = {
    "LiFePO4, no supply": lambda: _home("lifepo4", {}, days_of_autonomy=1),
    "LiFePO4, generator": lambda: _home(
        "lifepo4", {"generator": Generator(rated_w=3000)}, base="farmhouse", days_of_autonomy=0.5
    ),
    "LiFePO4, failing grid": lambda: _home(
        "lifepo4",
        {"grid": Grid(kind="failing", mean_time_between_cuts_h=40, mean_cut_length_h=6,
                      tariff=TWO_PRICES)},
        "blended", strategy={"grid_charge_hours": NIGHT}, days_of_autonomy=0.3, ride_through_h=4,
    ),
    "sealed lead-acid, no supply": lambda: _home(
        "lead_acid_sealed", {}, base="farmhouse", days_of_autonomy=1, max_unserved_frac=0.03
    ),
    "sealed lead-acid, scheduled cuts": lambda: _home(
        "lead_acid_sealed",
        {"grid": Grid(kind="scheduled", cuts=EVENINGS, tariff=TWO_PRICES)},
        "grid_first", days_of_autonomy=0.25,
    ),
    "sealed lead-acid, generator": lambda: _home(
        "lead_acid_sealed", {"generator": Generator(rated_w=2500)}, days_of_autonomy=0
    ),
    "vented lead-acid, generator": lambda: _home(
        "lead_acid_flooded",
        {"generator": Generator(rated_w=4000, quiet_hours=(TimeWindow(from_h=22, to_h=6),))},
        base="shop", days_of_autonomy=0.5, max_unserved_frac=0.01,
    ),
    "vented lead-acid, steady grid": lambda: _home(
        "lead_acid_flooded",
        {"grid": Grid(kind="steady", import_limit_w=250, tariff=TWO_PRICES)},
        "blended", strategy={"grid_charge_hours": NIGHT}, days_of_autonomy=0,
        max_unserved_frac=0.002,
    ),
    "vented lead-acid, failing grid": lambda: _outdoors(
        _home(
            "lead_acid_flooded",
            {"grid": Grid(kind="failing", mean_time_between_cuts_h=30, mean_cut_length_h=8)},
            "grid_first", days_of_autonomy=0,
        )
    ),
    "sodium-ion, no supply": lambda: _outdoors(
        _home("sodium_ion", {}, base="farmhouse", days_of_autonomy=1, max_unserved_frac=0.02)
    ),
    "sodium-ion, steady grid": lambda: _home(
        "sodium_ion",
        {"grid": Grid(kind="steady", import_limit_w=350, export_allowed=True, tariff=TWO_PRICES)},
        "pv_first", days_of_autonomy=0, max_unserved_frac=0.001,
    ),
    "sodium-ion, timetable and failures": lambda: _home(
        "sodium_ion",
        {"grid": Grid(kind="scheduled_and_failing", cuts=EVENINGS, tariff=TWO_PRICES)},
        "blended", base="town_house", days_of_autonomy=0.25, ride_through_h=3,
    ),
}  # fmt: skip


@dataclass(frozen=True)
class Scanned:
    """What trying everything found: the cheapest that passes, and how it lies in the window.

    `served` counts the systems within the unserved share; `second` is the next cost that passes.
    """

    system: System
    cost_per_year: float
    second: float
    tried: int
    served: int
    inside: bool


def dense_scan(sketch: Sketch, inputs: Inputs) -> Scanned:
    """Draw and run every whole system of the window, price all that serve, judge by rising cost."""
    found = candidates_of(sketch, inputs.loads.peak, inputs.weather.record_low_c)
    fewest_units = max(units_for_current(sketch, inputs.loads.peak, found.units_in_series))
    systems = [
        found.system(sketch, int(units), array, machines)
        for units in found.units
        for array, fewest in enumerate(found.fewest)
        for machines in range(fewest, _most(sketch, fewest) + 1, found.lines)
    ]
    bearing = [one for one in systems if one.units_in_parallel >= fewest_units]
    costs = [_cost_if_served(sketch, inputs, one) for one in bearing]
    served = [(cost, k) for k, cost in enumerate(costs) if cost is not None]
    passing = []
    for cost, k in sorted(served):
        if _lasts(sketch, inputs, bearing[k]):
            passing.append((cost, bearing[k]))
        if len(passing) == 2:
            break
    cost, system = passing[0]
    second = passing[1][0] if len(passing) > 1 else np.inf
    inside = (
        0 < system.units_in_parallel < found.units[-1] and 0 < system.modules < found.modules[-1]
    )
    return Scanned(system, cost, second, len(systems), len(served), inside)


def _most(sketch: Sketch, fewest: int) -> int:
    """Machines tried: three more than an array needs, where so many work together."""
    return min(sketch.equipment.inverter.parallel_max, int(fewest) + 3)


def _cost_if_served(sketch: Sketch, inputs: Inputs, system: System) -> float | None:
    """Cost a year of the judged year as Money prints it; None where too much goes unserved."""
    drawn = with_system(sketch, system)
    judged = reliability_of(drawn, system, inputs).judged
    if judged.unserved_frac > sketch.targets.max_unserved_frac + 1e-9:
        return None
    return priced_year(drawn, system, inputs, year=judged.year, draw=judged.draw).cost_per_year


def _lasts(sketch: Sketch, inputs: Inputs, system: System) -> bool:
    """Whether it bears the days without sun and the cuts that are asked."""
    drawn, targets = with_system(sketch, system), sketch.targets
    judged = reliability_of(drawn, system, inputs).judged
    if targets.days_of_autonomy > 0:
        dark_h = autonomy_of(drawn, system, inputs, year=judged.year).dark_median_h
        if dark_h < 24 * targets.days_of_autonomy:
            return False
    if targets.ride_through_h > 0:
        trace = simulate(drawn, system, inputs=inputs, year=judged.year, draw=judged.draw).trace
        bridged_h = ride_through_h(drawn, system, inputs, trace, year=judged.year)
        return bridged_h >= targets.ride_through_h
    return True


@dataclass(frozen=True)
class Row:
    """One home: the search's answer as Money prints it, beside the dense scan."""

    name: str
    priority: str
    answer: System
    met: bool
    said: float
    printed: float
    life_y: float
    scanned: Scanned

    @property
    def agrees(self) -> bool:
        """Answered, printed and scanned cost are one to the cent."""
        least = self.scanned.cost_per_year
        return self.met and abs(self.printed - least) < CENT and abs(self.said - least) < CENT


def row_of(name: str, **window: int) -> Row:
    """Search a home, then try everything; `window` narrows `max_units` and `max_modules`."""
    sketch = _part(HOMES[name](), "targets", window)
    inputs = inputs_of(sketch)
    found = size(sketch, inputs=inputs)
    outcome = outcome_of(sketch, inputs, system=found.system)
    return Row(
        name=name,
        priority=sketch.strategy.kind,
        answer=found.system,
        met=found.met and outcome.target_met,
        said=found.cost_per_year,
        printed=outcome.life_cycle.equivalent_annual,
        life_y=outcome.ageing.life_y,
        scanned=dense_scan(sketch, inputs),
    )


def _boxes(system: System) -> str:
    return f"{system.units:2d} units {system.modules:2d} modules {system.inverters} machines"


def main(names: list[str]) -> None:
    """Print the table."""
    for name in names or HOMES:
        begun = perf_counter()
        row = row_of(name)
        scanned = row.scanned
        print(
            f"{name:35s} {row.priority:10s} answer {_boxes(row.answer)}, bank {row.life_y:5.2f} y, "
            f"printed {row.printed:10.2f} | cheapest of {scanned.tried} ({scanned.served} serve) "
            f"{_boxes(scanned.system)} {scanned.cost_per_year:10.2f}, next {scanned.second:10.2f} "
            f"{'' if scanned.inside else '(at the edge) '}"
            f"| {'equal' if row.agrees else 'NOT EQUAL'} | {perf_counter() - begun:.0f} s",
            flush=True,
        )


if __name__ == "__main__":
    main(sys.argv[1:])
