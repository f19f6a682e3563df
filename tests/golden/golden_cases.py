"""The written numbers: which homes they are of, and how they are worked out today.

Run as a script it writes `answers.json` anew. Do that only after a change that is meant to move
the numbers, and read the difference line by line before it is kept.
"""

import json
import sys
from pathlib import Path

import numpy as np

from offgrid_sizing.demos import demo
from offgrid_sizing.economics.instead import instead_of
from offgrid_sizing.economics.priced import priced_year
from offgrid_sizing.outcome import with_strategy
from offgrid_sizing.report.electrical_summary import electrical_summary
from offgrid_sizing.simulation import inputs_of
from offgrid_sizing.sizing.autonomy import autonomy_of
from offgrid_sizing.sizing.search import size
from offgrid_sizing.sketch import Generator, Grid, Sketch, Tariff, TariffBand
from offgrid_sizing.strategy import numbers_of
from offgrid_sizing.system import drawn_system

FILE = Path(__file__).parent / "answers.json"
DEMOS = ("farmhouse", "town_house", "shop")
PRIORITIES = ("pv_first", "grid_first", "blended")
TWO_PRICES = Tariff(
    price_per_kwh=0.3, bands=(TariffBand(from_h=0, to_h=6, price_per_kwh=0.1),),
    export_price_per_kwh=0.05, fixed_per_month=8,
)  # fmt: skip
SUPPLIES = {
    "no supply": {"grid": Grid(), "generator": None},
    "steady grid, one price": {
        "grid": Grid(kind="steady", tariff=Tariff(price_per_kwh=0.25)), "generator": None,
    },
    "failing grid, two prices, export": {
        "grid": Grid(kind="failing", export_allowed=True, tariff=TWO_PRICES), "generator": None,
    },
    "generator": {"grid": Grid(), "generator": Generator(rated_w=3000)},
}  # fmt: skip


def home(name: str, years: int = 1) -> Sketch:
    """A demo with few weather years."""
    sketch = demo(name)
    if sketch.weather.source == "sample":
        return sketch
    return sketch.model_copy(update={"weather": sketch.weather.model_copy(update={"years": years})})


def years() -> dict:
    """Demos × supplies × priorities: totals, wear and money of one weather year."""
    found = {}
    for name in DEMOS:
        sketch = home(name)
        inputs = inputs_of(sketch)
        for supply, parts in SUPPLIES.items():
            for kind in PRIORITIES:
                one = with_strategy(sketch.model_copy(update=parts), kind)
                found[f"{name}, {supply}, {kind}"] = _year(one, inputs)
    return found


def _year(sketch: Sketch, inputs) -> dict:
    instead = instead_of(sketch, inputs)
    priced = priced_year(sketch, drawn_system(sketch), inputs, instead=instead)
    other = priced.life_cycle.alternative
    m = priced.simulation.metrics
    names = (
        "load_kwh", "unserved_kwh", "unserved_h", "longest_gap_h", "pv_available_kwh",
        "curtailed_kwh", "exported_kwh", "grid_import_kwh", "grid_to_bank_kwh", "generator_kwh",
        "generator_h", "generator_starts", "dump_kwh", "standby_kwh", "losses_kwh", "bank_in_kwh",
        "bank_out_kwh", "lowest_soc_frac", "fuel_l", "energy_cost", "performance_ratio",
    )  # fmt: skip
    return {name: getattr(m, name) for name in names} | {
        "bank_life_y": priced.ageing.life_y,
        "cost_per_year": priced.cost_per_year,
        "net_saving": priced.life_cycle.net_saving,
        "compared_with": other and other.kind,
        "compared_with_units": other and other.year.units,
        "compared_with_rated_w": other and other.year.rated_w,
        "compared_with_h": other and other.year.running_h,
    }


def strategies() -> dict:
    """The numbers of each priority, on a grid with one price and with two."""
    found = {}
    for words in ("steady grid, one price", "failing grid, two prices, export"):
        sketch = demo("town_house").model_copy(update=SUPPLIES[words])
        for kind in PRIORITIES:
            numbers = numbers_of(with_strategy(sketch, kind))
            found[f"{words}, {kind}"] = {
                name: value for name, value in vars(numbers).items() if name != "kind"
            }
    return found


def loads() -> dict:
    """Peaks, and how long the drawn bank lasts without sun by month."""
    found = {}
    for name in DEMOS:
        sketch = home(name)
        inputs = inputs_of(sketch)
        autonomy = autonomy_of(sketch, drawn_system(sketch), inputs)
        peak = inputs.loads.peak
        found[name] = {
            "daily_kwh": inputs.loads.daily_kwh,
            "running_w": peak.running_w,
            "running_va": peak.running_va,
            "starting_va": peak.starting_va,
            "starts": peak.starts,
            "leg_va": peak.leg_va,
            "dark_median_h": autonomy.dark_median_h,
            "dark_1_in_20_h": autonomy.dark_1_in_20_h,
            "dark_by_month_h": autonomy.dark_by_month_h,
            "sunlit_by_month_h": autonomy.sunlit_by_month_h,
        }
    return found


def wires() -> dict:
    """The electrical half of each demo in both wiring codes."""
    from offgrid_sizing.outcome import outcome_of

    found = {}
    for name in DEMOS:
        for book in ("iec60364", "nfpa70"):
            sketch = home(name)
            wiring = sketch.wiring.model_copy(update={"rule_book": book})
            sketch = sketch.model_copy(update={"wiring": wiring})
            told = electrical_of(outcome_of(sketch, inputs_of(sketch)))
            found[f"{name}, {book}"] = told
    return found


def electrical_of(outcome) -> dict:
    """Figures of the electrical summary, without its sentences."""
    told = electrical_summary(outcome.wiring, outcome.design)
    runs = {
        run["key"]: {
            name: run[name]
            for name in (
                "count", "largest_lasting_current_a", "design_current_a", "conductor",
                "ampacity_a", "voltage_drop_frac", "device_rating_a",
            )
        }
        for run in told["runs"]
    }  # fmt: skip
    strings = [
        {k: v for k, v in one.items() if k not in ("refused_because", "roof_plane")}
        for one in told["strings"]
    ]
    return {"runs": runs, "strings": strings, "bank": _figures(told["bank"])}


def _figures(part) -> dict:
    return {k: v for k, v in (part or {}).items() if isinstance(v, int | float | None)}


def searches() -> dict:
    """What the search finds, its cost, and the cheapest system with each bank."""
    found = {}
    for name in DEMOS:
        sketch = home(name, years=2)
        result = size(sketch, inputs=inputs_of(sketch))
        system = result.system
        found[name] = {
            "units_in_parallel": system.units_in_parallel,
            "modules": system.modules,
            "inverters": system.inverters,
            "met": result.met,
            "cost_per_year": result.cost_per_year,
            "judged_unserved_frac": result.judged_unserved_frac,
            "least_units": result.least.units,
            "least_days": result.least.days,
            "modules_low": result.modules_low,
            "modules_high": result.modules_high,
            "systems_tried": result.systems_tried,
            "pairs_met": int(result.map.met.sum()),
            "frontier": [list(vars(point).values()) for point in result.frontier],
        }
    return found


PARTS = {
    "years": years, "strategies": strategies, "loads": loads, "wires": wires, "searches": searches,
}  # fmt: skip


def plain(value):
    """JSON's own types."""
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, np.ndarray | list | tuple):
        return [plain(item) for item in value]
    if hasattr(value, "model_dump"):
        return plain(value.model_dump())
    if isinstance(value, np.generic):
        return plain(value.item())
    return float(f"{value:.9g}") if isinstance(value, float) else value


if __name__ == "__main__":
    wanted = sys.argv[1:] or list(PARTS)
    written = json.loads(FILE.read_text(encoding="utf-8")) if FILE.exists() else {}
    written |= {name: plain(PARTS[name]()) for name in wanted}
    FILE.write_text(json.dumps(written, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
