"""`summary.json`: the numbers of an answer under documented keys, units in their names."""

import dataclasses
import json
import math
from pathlib import Path

import numpy as np

from offgrid_sizing import __version__
from offgrid_sizing.economics.alternatives import Alternative
from offgrid_sizing.electrical.cautions import cautions
from offgrid_sizing.loads.boundary import import_left_w
from offgrid_sizing.outcome import Outcome, StrategyYear
from offgrid_sizing.report.electrical_summary import electrical_summary
from offgrid_sizing.simulation import Simulation
from offgrid_sizing.sizing.futures import Futures
from offgrid_sizing.sizing.reliability import OneYear
from offgrid_sizing.sizing.result import SizingResult
from offgrid_sizing.sizing.shedding import who_goes_dark
from offgrid_sizing.sizing.within_hour import WithinHour
from offgrid_sizing.system import array_peak_w, bank_nominal_wh
from offgrid_sizing.weather.bands import reserve_for
from offgrid_sizing.weather.yearly import year_light
from offgrid_sizing.words import all_to_words

# Raised with every change of keys; tests/report/test_summary_version.py holds it to them.
SUMMARY_VERSION = 11


def plain(value):
    """JSON's own types: arrays become lists, what is not finite becomes null."""
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, np.ndarray | list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def _system(outcome: Outcome) -> dict:
    sketch, system = outcome.sketch, outcome.system
    return {
        "modules": system.modules,
        "array_kw": array_peak_w(sketch, system) / 1000,
        "strings": [
            {
                "roof_plane": plane.name,
                "modules_in_series": strings.modules_in_series,
                "strings": strings.strings,
            }
            for plane, strings in zip(sketch.roof_planes, system.planes, strict=True)
        ],
        "battery_units": system.units,
        "units_in_series": system.units_in_series,
        "units_in_parallel": system.units_in_parallel,
        "bank_kwh": bank_nominal_wh(sketch, system) / 1000,
        "inverters": system.inverters,
        "arrangement": system.arrangement,
    }


def _loads(outcome: Outcome) -> dict:
    """The two boards; what is of the unprotected supply is null where nothing stands there."""
    simulation = outcome.simulation
    loads, household = simulation.inputs.loads, outcome.sketch.loads
    beside, year = loads.unprotected, simulation.unprotected
    return {
        "protected_appliances": [one.name for one in household.protected],
        "protected_daily_kwh": loads.daily_kwh,
        "protected_peak_va": loads.peak.running_va,
        "unprotected_appliances": [one.name for one in household.unprotected],
        "unprotected_daily_kwh": beside.daily_kwh if beside else None,
        "unprotected_peak_va": beside.peak.running_va if beside else None,
        "unprotected_starting_va": beside.peak.starting_va if beside else None,
        "unprotected_bought_kwh": year.bought_kwh if year else None,
        "unprotected_from_system_kwh": year.from_system_kwh if year else None,
        "unprotected_dark_kwh": year.dark_kwh if year else None,
        "unprotected_dark_h": year.dark_h if year else None,
        "unprotected_cost": year.cost if year else None,
        "import_left_w": import_left_w(outcome.sketch) if beside else None,
    }


def _year(simulation: Simulation) -> dict:
    weather = simulation.inputs.weather
    return {
        "weather_year": weather.year_names[simulation.year],
        **dataclasses.asdict(simulation.metrics),
        "losses_kwh_by_converter": {
            name: wh / 1000 for name, wh in simulation.trace.losses_wh.items()
        },
        "unserved_by_appliance_kwh": unserved_by_appliance_kwh(simulation),
    }


def unserved_by_appliance_kwh(simulation: Simulation) -> dict[str, float]:
    """What each kind of appliance missed; rows of one name are added up."""
    missed: dict[str, float] = {}
    for one in who_goes_dark(simulation):
        missed[one.name] = missed.get(one.name, 0.0) + one.unserved_kwh
    return missed


def _autonomy(outcome: Outcome) -> dict:
    autonomy = outcome.autonomy
    return {
        "days_of_autonomy": autonomy.dark_median_h / 24,
        "days_of_autonomy_1_in_20": autonomy.dark_1_in_20_h / 24,
        "days_with_real_sun": autonomy.sunlit_median_h / 24,
        "days_with_real_sun_1_in_20": autonomy.sunlit_1_in_20_h / 24,
        "days_of_autonomy_by_month": autonomy.dark_by_month_h / 24,
        "measured_up_to_days": autonomy.enough_h / 24,
    }


def _reliability(outcome: Outcome) -> dict:
    """The judged year; median and bad year only where several weather years stand behind them."""
    reliability = outcome.reliability
    told = {
        "weather_years": reliability.weather_years,
        "years": len(reliability.unserved_frac),
        "target_met": outcome.target_met,
        "judged_as": outcome.year_words,
        **_one_year("judged", reliability.judged),
        "loss_of_load_probability": reliability.loss_of_load_probability,
        "longest_gap_h": reliability.longest_gap_year_h,
        "unserved_frac_by_year": reliability.unserved_frac,
        "unserved_h_by_year": reliability.unserved_h,
    }
    if reliability.bad is not None:
        told |= _one_year("median", reliability.median)
        told |= {"bad_year_frac": reliability.bad_year_frac}
        told |= _one_year("bad", reliability.bad)
    return told


def _one_year(which: str, year: OneYear) -> dict:
    return {
        f"{which}_year": year.name,
        f"{which}_year_cuts_draw": year.draw,
        f"{which}_year_unserved_frac": year.unserved_frac,
        f"{which}_year_unserved_h": year.unserved_h,
        f"{which}_year_unserved_kwh": year.unserved_kwh,
        f"{which}_year_longest_gap_h": year.longest_gap_h,
    }


def _weather(outcome: Outcome) -> dict:
    weather = outcome.simulation.inputs.weather
    light = year_light(weather)
    return {
        "source": weather.kind,
        "provenance": weather.provenance,
        "caveats": weather.caveats,
        "years": weather.years,
        "year_ghi_mean_kwh_per_m2": light.mean_kwh_per_m2,
        "year_ghi_low_kwh_per_m2": light.low_kwh_per_m2,
        "year_ghi_high_kwh_per_m2": light.high_kwh_per_m2,
        "array_needed_low_frac": weather.band_frac[0],
        "array_needed_high_frac": weather.band_frac[1],
        "array_reserve_offered": reserve_for(weather.array_reserves, outcome.bank_days),
        "array_reserve_applied": outcome.sketch.weather.array_reserve,
        "temp_air_design_low_c": weather.record_low_c,
    }


def _futures(futures: Futures) -> dict:
    """The system in many futures; the array factors are null where none looked at does."""
    known = {one.name: one.array_factor for one in futures.if_known}
    return {
        "count": futures.count,
        "wanted_share_frac": futures.wanted_share_frac,
        "served_frac_in_wanted_share": futures.served_frac,
        "target_kept_frac": futures.kept_frac,
        "array_factor_for_wanted_share": futures.array_factor,
        "unknowns": [
            dataclasses.asdict(one) | {"array_factor_if_known": known.get(one.name)}
            for one in futures.spreads
        ],
        "band": None if futures.band is None else dataclasses.asdict(futures.band),
    }


def _within_hour(minutes: WithinHour | None) -> dict | None:
    if minutes is None:
        return None
    return {
        "sentence": minutes.sentence,
        "load_even_within_step": minutes.metered,
        "weeks": [dataclasses.asdict(week) for week in minutes.weeks],
    }


def _worksheet(outcome: Outcome) -> dict:
    sheet = outcome.worksheet
    return {
        "modules": sheet.modules,
        "units_in_parallel": sheet.units_in_parallel,
        "inverters": sheet.inverters,
        "lines": [dataclasses.asdict(line) for line in sheet.lines],
    }


def _sizing(sizing: SizingResult) -> dict:
    return {
        "target_met": sizing.met,
        "missed": sizing.missed,
        "sentence": sizing.sentence,
        "method": sizing.method,
        "why_method": sizing.why_method,
        "cost_per_year": sizing.cost_per_year,
        "judged_unserved_frac_reserve_held_back": sizing.judged_unserved_frac,
        "judged_unserved_h_reserve_held_back": sizing.judged_unserved_h,
        "ride_through_h": None if sizing.ride is None else sizing.ride.reached_h,
        "modules_low": sizing.modules_low,
        "modules_high": sizing.modules_high,
        "uncertainty": sizing.uncertainty,
        "systems_tried": sizing.systems_tried,
        "years_tried": sizing.years_tried,
        "frontier": [dataclasses.asdict(point) for point in sizing.frontier],
    }


def _money(outcome: Outcome) -> dict:
    life = outcome.life_cycle
    return {
        "currency": life.currency,
        "first_cost": life.first.total,
        "present_cost": life.present,
        "cost_per_year": life.equivalent_annual,
        "levelized_cost_per_kwh": life.lcoe_per_kwh,
        "alternative": life.alternative.kind if life.alternative else None,
        "alternative_asked": life.compared.asked,
        "compared_with": life.compared.words,
        "alternatives": [_alternative(one) for one in life.alternatives],
        "net_saving": life.net_saving,
        "simple_payback_y": life.simple_payback_y,
        "discounted_payback_y": life.discounted_payback_y,
        "co2_kg_per_year": life.co2_kg_per_year,
        "bank_life_y": outcome.ageing.life_y,
        "bank_life_law": outcome.ageing.law,
        "bank_life_warnings": [one.words for one in outcome.ageing.beyond],
    }


def _alternative(one: Alternative) -> dict:
    year = one.year
    return {
        "kind": one.kind,
        "words": one.words,
        "realistic": one.realistic,
        "why_not": one.why_words or None,
        "first_cost": one.first,
        "present_cost": one.present,
        "cost_per_year": one.equivalent_annual,
        "generator_rated_w": year.rated_w,
        "generator_h": year.running_h,
        "fuel_l": year.fuel_l,
        "grid_kwh": year.grid_kwh,
        "battery_units": year.units,
        "inverters": year.inverters,
        "bank_life_y": year.bank_life_y if year.units else None,
        "grid_extension_m": year.extension_m,
        "unserved_kwh": year.unserved_kwh,
        "co2_kg_per_year": one.co2_kg_per_year,
    }


def _strategy(year: StrategyYear) -> dict:
    metrics = year.simulation.metrics
    return {
        "energy_cost_per_year": year.energy_cost_per_year,
        "cost_per_year": year.life_cycle.equivalent_annual,
        "unserved_kwh": metrics.unserved_kwh,
        "unserved_h": metrics.unserved_h,
        "unserved_frac": metrics.unserved_frac,
        "curtailed_kwh": metrics.curtailed_kwh,
        "grid_import_kwh": metrics.grid_import_kwh,
        "exported_kwh": metrics.exported_kwh,
        "generator_kwh": metrics.generator_kwh,
        "fuel_l": metrics.fuel_l,
        "bank_throughput_kwh": metrics.bank_in_kwh + metrics.bank_out_kwh,
        "equivalent_full_cycles": metrics.equivalent_full_cycles,
        "bank_life_y": year.ageing.life_y,
        "ride_through_h": year.ride_through_h,
        "stored_wh_start": year.simulation.trace.stored_wh_start,
    }


def summary_dict(outcome: Outcome) -> dict:
    """All numbers of an outcome, ready for JSON."""
    simulation = outcome.simulation
    summary = {
        "schema_version": SUMMARY_VERSION,
        "program_version": __version__,
        "title": outcome.sketch.title,
        "invented": outcome.sketch.invented,
        "sentence": outcome.sentence,
        "strategy": outcome.sketch.strategy.kind,
        "step_h": simulation.trace.step_h,
        "stored_wh_start": simulation.trace.stored_wh_start,
        "load_kwh_per_day": simulation.inputs.loads.daily_kwh,
        "peak_running_va": simulation.inputs.loads.peak.running_va,
        "peak_starting_va": simulation.inputs.loads.peak.starting_va,
        "loads": _loads(outcome),
        "system": _system(outcome),
        "year": _year(simulation),
        "autonomy": _autonomy(outcome),
        "reliability": _reliability(outcome),
        "weather": _weather(outcome),
        "futures": _futures(outcome.futures),
        "within_hour": _within_hour(outcome.minutes),
        "worksheet": _worksheet(outcome),
        "money": _money(outcome),
        "electrical": electrical_summary(outcome.wiring, outcome.design),
        "warnings": outcome.warnings,
        "cautions": all_to_words(cautions(outcome.sketch.wiring.rule_book)),
    }
    if outcome.sizing is not None:
        summary["sizing"] = _sizing(outcome.sizing)
    if outcome.strategies:
        summary["strategies"] = {year.kind: _strategy(year) for year in outcome.strategies}
    if outcome.foresight is not None:
        summary["foresight_energy_cost_per_year"] = outcome.foresight.cost_per_year
        summary["foresight_relaxed"] = outcome.foresight.relaxed
    elif outcome.no_foresight:
        summary["foresight_energy_cost_per_year"] = None
        summary["no_foresight"] = outcome.no_foresight
    return plain(summary)


def write_summary_json(outcome: Outcome, path: Path) -> Path:
    """Write the numbers as readable JSON."""
    text = json.dumps(summary_dict(outcome), indent=2, ensure_ascii=False, allow_nan=False)
    path.write_text(text + "\n", encoding="utf-8")
    return path
