"""What a year of flows amounts to: yields, shares, reliability, energy money, wear."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.sketch import Generator, Sketch
from offgrid_sizing.system import System, array_peak_w, bank_nominal_wh

# below this share of the load a step counts as served: rounding, not a dark house
SERVED_WITHIN_FRAC = 1e-6


@dataclass(frozen=True)
class Metrics:
    """Totals of one simulated year. Energies in kWh, hours in h, shares 0 to 1."""

    load_kwh: float
    served_kwh: float
    unserved_kwh: float
    unserved_frac: float
    unserved_h: float
    loss_of_load_probability: float
    longest_gap_h: float
    pv_available_kwh: float
    clipped_kwh: float
    curtailed_kwh: float
    curtailed_frac: float
    exported_kwh: float
    grid_import_kwh: float
    grid_to_bank_kwh: float
    generator_kwh: float
    generator_h: float
    generator_starts: int
    fuel_l: float
    dump_kwh: float
    standby_kwh: float
    losses_kwh: float
    bank_in_kwh: float
    bank_out_kwh: float
    equivalent_full_cycles: float
    lowest_soc_frac: float
    self_consumption_frac: float
    self_sufficiency_frac: float
    reference_yield_h_per_day: float
    array_yield_h_per_day: float
    final_yield_h_per_day: float
    performance_ratio: float
    grid_cost: float
    export_income: float
    fuel_cost: float
    generator_service_cost: float
    energy_cost: float

    @property
    def performance_ratio_available(self) -> float:
        """The ratio before curtailment: of what the array could give, not of what was used."""
        return performance_ratio(self.array_yield_h_per_day, self.reference_yield_h_per_day)


def longest_run(flags: np.ndarray) -> int:
    """Length of the longest unbroken run of true flags."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return int((edges[1::2] - edges[::2]).max()) if edges.size else 0


def dark_steps(load_w: np.ndarray, unserved_w: np.ndarray) -> np.ndarray:
    """Steps in which some demand went unserved (more than rounding)."""
    return unserved_w > SERVED_WITHIN_FRAC * np.maximum(load_w, 1)


def equivalent_full_cycles(charge_kwh: float, discharge_kwh: float, capacity_kwh: float) -> float:
    """Throughput over twice the capacity: full cycles with the same throughput."""
    return (charge_kwh + discharge_kwh) / (2 * capacity_kwh) if capacity_kwh > 0 else 0.0


def performance_ratio(final_yield_h: float, reference_yield_h: float) -> float:
    """PR = Y_f / Y_r (IEC 61724-1)."""
    return final_yield_h / reference_yield_h if reference_yield_h > 0 else 0.0


def yields_h(rated_kw: float, poa_kwh_per_m2: float, array_kwh: float, output_kwh: float):
    """Reference, array and final yield in hours at rated power (IEC 61724-1, G_ref 1 kW/m²)."""
    if rated_kw <= 0:
        return poa_kwh_per_m2, 0.0, 0.0
    return poa_kwh_per_m2 / 1.0, array_kwh / rated_kw, output_kwh / rated_kw


def fuel_l(generator: Generator, energy_kwh: float, running_h: float) -> float:
    """Fuel burnt: fuel per energy × energy + idle fuel × rating × hours. [L]"""
    rated_kw = generator.rated_w / 1000
    return (
        generator.fuel_per_energy_l_per_kwh * energy_kwh
        + generator.fuel_idle_l_per_h_kw * rated_kw * running_h
    )


def metrics_of(sketch: Sketch, system: System, trace, clipped_w, poa_global) -> Metrics:
    """Totals of a traced year.

    Parameters
    ----------
    trace : Trace
        Flows of the year.
    clipped_w : array, shape (n,)
        Array power lost at the controllers' limits. [W]
    poa_global : array, shape (planes, n)
        Light on each plane. [W/m²]

    Notes
    -----
    Self-sufficiency is the share of the served load that neither grid nor generator brought in,
    bank losses of their energy included; self-consumption the share of array energy neither
    curtailed nor exported. The final yield counts curtailed energy as not delivered, so a
    stand-alone system's performance ratio is lower than the same array's on a grid.
    """
    step_h = trace.step_h
    flows = trace.columns
    kwh = {
        name[:-2]: float(flows[name].sum()) * step_h / 1000 for name in flows if name.endswith("_w")
    }
    dark = dark_steps(flows["load_w"], flows["unserved_w"])
    served = kwh["load"] - kwh["unserved"]
    bank_in, bank_out = _bank_throughput(flows["stored_wh"], trace.stored_wh_start)
    running = np.asarray(trace.generator_on, dtype=bool)
    generator_h = float(running.sum()) * step_h
    days = len(running) * step_h / 24
    rated_kw = array_peak_w(sketch, system) / 1000
    reference, array, final = yields_h(
        rated_kw,
        _mean_light(system, poa_global) * step_h / 1000,
        kwh["pv_available"],
        max(served + kwh["exported"] - kwh["grid_import"] - kwh["generator"], 0.0),
    )
    tariff = sketch.grid.tariff
    fixed = tariff.fixed_per_month * 12 * days / 365 if sketch.grid.kind != "none" else 0.0
    grid_cost = fixed + float((flows["grid_import_w"] * flows["tariff_per_kwh"]).sum()) * (
        step_h / 1000
    )
    income = kwh["exported"] * tariff.export_price_per_kwh
    generator = sketch.generator
    fuel = fuel_l(generator, kwh["generator"], generator_h) if generator else 0.0
    fuel_cost = fuel * generator.fuel_price_per_l if generator else 0.0
    service = (
        generator_h / generator.service_interval_h * generator.service_cost if generator else 0.0
    )
    available = kwh["pv_available"]
    return Metrics(
        load_kwh=kwh["load"],
        served_kwh=served,
        unserved_kwh=kwh["unserved"],
        unserved_frac=kwh["unserved"] / kwh["load"] if kwh["load"] > 0 else 0.0,
        unserved_h=float(dark.sum()) * step_h,
        loss_of_load_probability=float(dark.mean()),
        longest_gap_h=longest_run(dark) * step_h,
        pv_available_kwh=available,
        clipped_kwh=float(np.sum(clipped_w)) * step_h / 1000,
        curtailed_kwh=kwh["curtailed"],
        curtailed_frac=kwh["curtailed"] / available if available > 0 else 0.0,
        exported_kwh=kwh["exported"],
        grid_import_kwh=kwh["grid_import"],
        grid_to_bank_kwh=kwh["grid_to_bank"],
        generator_kwh=kwh["generator"],
        generator_h=generator_h,
        generator_starts=int((np.diff(np.concatenate([[False], running]).astype(int)) > 0).sum()),
        fuel_l=fuel,
        dump_kwh=kwh["dump"],
        standby_kwh=kwh["standby"],
        losses_kwh=kwh["losses"],
        bank_in_kwh=bank_in,
        bank_out_kwh=bank_out,
        equivalent_full_cycles=equivalent_full_cycles(
            bank_in, bank_out, bank_nominal_wh(sketch, system) / 1000
        ),
        lowest_soc_frac=float(flows["soc_frac"].min()) if system.units else 0.0,
        self_consumption_frac=(
            1 - (kwh["curtailed"] + kwh["exported"]) / available if available > 0 else 0.0
        ),
        self_sufficiency_frac=(
            max(1 - (kwh["grid_import"] + kwh["generator"]) / served, 0.0) if served > 0 else 0.0
        ),
        reference_yield_h_per_day=reference / days,
        array_yield_h_per_day=array / days,
        final_yield_h_per_day=final / days,
        performance_ratio=performance_ratio(final, reference),
        grid_cost=grid_cost,
        export_income=income,
        fuel_cost=fuel_cost,
        generator_service_cost=service,
        energy_cost=grid_cost - income + fuel_cost + service,
    )


def _bank_throughput(stored_wh: np.ndarray, start_wh: float) -> tuple[float, float]:
    """Energy that entered and left the bank's store, from the store itself. [kWh]"""
    change = np.diff(np.concatenate([[start_wh], stored_wh])) / 1000
    return float(change[change > 0].sum()), float(-change[change < 0].sum())


def _mean_light(system: System, poa_global: np.ndarray) -> float:
    """Light summed over the year on the planes, weighted by their modules. [W/m² × steps]"""
    weights = np.array([plane.modules for plane in system.planes], dtype=float)
    if weights.sum() == 0:
        return 0.0
    return float(weights @ poa_global.sum(axis=1) / weights.sum())
