"""What inspectors look for at the bank: its disconnect, its place, the air it needs."""

from dataclasses import dataclass
from math import cbrt, ceil

from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.code_inspection import Ventilation
from offgrid_sizing.electrical.inspection_row import InspectionRow, Seen
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import said

CELL_V = 2.0  # nominal voltage of a lead-acid cell
WITHIN = 1e-6  # cm², of an opening: a last digit asks for no larger one


@dataclass(frozen=True)
class Air:
    """Fresh air of a bank that gives off gas.

    Parameters
    ----------
    cells : int
        In series, over all.
    gas_ma_per_ah, capacity_ah : float
        Current that makes gas [mA/Ah] and the capacity of all strings together [Ah].
    flow_m3_per_h, opening_cm2 : float
        Air needed, and the free opening that lets it in (and as much out) by itself.
    spark_mm : float
        Distance kept from anything that sparks. [mm]
    """

    cells: int
    gas_ma_per_ah: float
    capacity_ah: float
    flow_m3_per_h: float
    opening_cm2: float
    spark_mm: float


def fresh_air(rule: Ventilation, gas: float, cells: int, unit_ah: float, parallel: int) -> Air:
    """Air for `parallel` strings of `cells` cells of `unit_ah`.

    References
    ----------
    IEC 62485-2:2010, 7.2: Q = 0.05 · n · I_gas · C_rt · 10⁻³ m³/h, A = 28 · Q cm²; 7.6:
    d = 28.8 · ∛I_gas · ∛C_rt mm (from memory).
    """
    capacity_ah = unit_ah * parallel
    flow = rule.factor * cells * gas * capacity_ah / 1000
    spark_mm = rule.spark_mm * cbrt(gas) * cbrt(unit_ah)
    opening_cm2 = rule.opening_cm2_h_per_m3 * flow
    return Air(cells, gas, capacity_ah, flow, opening_cm2, spark_mm)


def place_of(sketch: Sketch) -> str:
    """The room of the bank; outside where its place says so."""
    indoors = sketch.equipment.bank_place.kind == "indoor"
    return sketch.building.bank_room if indoors else "outdoor"


def no_bank(key: str, clauses: tuple[str, ...]) -> InspectionRow:
    """A row about the bank of a system without one."""
    return InspectionRow(key, "checked", clauses, said("inspection.no_bank"))


def battery_disconnect(seen: Seen) -> InspectionRow:
    """A load-break switch at the bank for each machine."""
    rule, run = seen.code.inspection.battery_disconnect, seen.run("bank_to_inverter")
    if seen.bank is None:
        return no_bank("battery_disconnect", rule.clauses)
    assert run is not None  # a bank has one
    words = said(
        "inspection.battery_disconnect.designed",
        count=run.need.count,
        design_a=round(run.shown.design_a),
        highest_v=round(run.need.highest_v, 1),
        fault_ka=round(seen.bank.fault_a / 1000, 1),
    )
    return InspectionRow("battery_disconnect", "designed", rule.clauses, words)


def bank_place(seen: Seen) -> InspectionRow:
    """Energy and distances of the bank by the room it stands in."""
    rule, key = seen.code.inspection.bank_room, "bank_place"
    if seen.bank is None:
        return no_bank(key, rule.clauses)
    energy_kwh, limits = seen.bank.nominal_wh / 1000, rule.energy_kwh
    shown = {"energy_kwh": round(energy_kwh, 1), "apart_m": rule.apart_m}
    vented = CHEMISTRIES[seen.sketch.equipment.battery.chemistry].vented
    if place_of(seen.sketch) == "living" and vented:
        words = said("inspection.bank_place.gassing", room=said("inspection.room.living"), **shown)
        return InspectionRow(key, "fault", rule.clauses, words)
    if not limits:
        return InspectionRow(key, "not_done", rule.clauses, said("inspection.bank_place.none"))
    if seen.sketch.building.kind != "dwelling":
        words = said("inspection.bank_place.other_building", **shown)
        return InspectionRow(key, "not_done", rule.clauses, words)
    place = place_of(seen.sketch)
    if place == "unknown":
        named = tuple(
            said("inspection.bank_place.limit", room=said(f"inspection.room.{name}"), most_kwh=most)
            for name, most in limits.items()
        )
        words = said("inspection.bank_place.asked", limits=named, **shown)
        return InspectionRow(key, "asked", rule.clauses, words, ("building.bank_room",))
    most = limits[place]
    name = "kept" if energy_kwh <= most else "fault" if most else "forbidden"
    room = said(f"inspection.room.{place}")
    words = said(f"inspection.bank_place.{name}", room=room, most_kwh=most, **shown)
    return InspectionRow(key, "checked" if name == "kept" else "fault", rule.clauses, words)


def ventilation(seen: Seen) -> InspectionRow:
    """Fresh air for a bank that gives off gas, held against the opening there is."""
    rule, key = seen.code.inspection.ventilation, "ventilation"
    chemistry = seen.sketch.equipment.battery.chemistry
    if seen.bank is None:
        return no_bank(key, rule.clauses)
    if chemistry in rule.no_gas:
        return InspectionRow(key, "checked", rule.clauses, said("inspection.ventilation.no_gas"))
    gas = rule.gas_ma_per_ah.get(chemistry)
    if gas is None:
        return InspectionRow(key, "not_done", rule.clauses, said("inspection.ventilation.unknown"))
    cells = round(seen.bank.nominal_v / CELL_V)
    unit_ah = seen.sketch.equipment.battery.capacity_ah
    air = fresh_air(rule, gas, cells, unit_ah, seen.bank.in_parallel)
    shown = {
        "flow": round(air.flow_m3_per_h, 2),
        "cells": air.cells,
        "gas": air.gas_ma_per_ah,
        "capacity_ah": air.capacity_ah,
        "opening_cm2": ceil(air.opening_cm2 - WITHIN),  # what is shown suffices
        "spark_mm": round(air.spark_mm, -1),
    }
    free_cm2 = seen.sketch.building.vent_area_cm2
    if free_cm2 is None:
        words = said("inspection.ventilation.designed", **shown)
        return InspectionRow(key, "designed", rule.clauses, words)
    enough = free_cm2 >= air.opening_cm2 - WITHIN
    words = said(
        f"inspection.ventilation.{'kept' if enough else 'fault'}", free_cm2=free_cm2, **shown
    )
    return InspectionRow(key, "checked" if enough else "fault", rule.clauses, words)


ROWS = (battery_disconnect, bank_place, ventilation)
