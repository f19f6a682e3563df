"""The highest voltage a bank reaches while it is charged: equalising, and in the cold."""

from dataclasses import dataclass

from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import Sentence, said, sentence

REFERENCE_C = 25.0  # common practice, no source: charge voltages are stated for 25 °C


@dataclass(frozen=True)
class ChargeVoltage:
    """How high the bank is charged.

    Parameters
    ----------
    usual_v, highest_v : float
        At the charge voltage and 25 °C; while equalising in the coldest it is charged at. [V]
    coldest_c : float
        Coldest the bank is charged at. [°C]
    faults, unknown : tuple of str
        What does not bear it, and what the sketch does not say.
    """

    usual_v: float
    highest_v: float
    coldest_c: float
    faults: tuple[Sentence, ...]
    unknown: tuple[Sentence, ...]


def standing_c(sketch: Sketch, record_low_c: float) -> float:
    """Coldest it gets where the bank stands. [°C]"""
    place = sketch.equipment.bank_place
    return {"indoor": place.indoor_c, "heated": place.heated_c}.get(place.kind, record_low_c)


def coldest_charge_c(sketch: Sketch, record_low_c: float) -> float:
    """Coldest bank that is still charged: where it stands, not below its own lowest. [°C]"""
    return max(standing_c(sketch, record_low_c), sketch.equipment.battery.min_charge_c)


def charge_voltage(sketch: Sketch, system: System, record_low_c: float) -> ChargeVoltage:
    """The bank's highest charging voltage, and whether the machines bear it.

    Parameters
    ----------
    sketch : Sketch
    system : System
    record_low_c : float
        Coldest air, for a bank outdoors. [°C]

    Notes
    -----
    The larger of charge and equalising voltage, plus the unit's own change with warmth times the
    distance from 25 °C where the bank is colder. Devices at the bank are chosen for it.
    """
    unit, machine = sketch.equipment.battery, sketch.equipment.inverter
    series, coldest_c = system.units_in_series, coldest_charge_c(sketch, record_low_c)
    shift_v = (unit.charge_v_per_k or 0.0) * min(0.0, coldest_c - REFERENCE_C)
    highest_v = (max(unit.charge_v, unit.equalise_v or 0.0) + shift_v) * series
    usual_v = unit.charge_v * series
    faults: tuple[Sentence, ...] = ()
    if highest_v > machine.bank_max_v and usual_v <= machine.bank_max_v:
        reason = "equalising" if unit.equalise_v else "cold"
        if unit.equalise_v and shift_v:
            reason = "both"
        faults = (
            sentence(
                "sources.charge_too_high",
                highest_v=round(highest_v, 1),
                coldest_c=coldest_c,
                reason=said(f"sources.charge_reason.{reason}"),
                bears_v=machine.bank_max_v,
                rule=code_of(sketch.wiring.rule_book).limits.voltage,
            ),
        )
    return ChargeVoltage(usual_v, highest_v, coldest_c, faults, _unknown(sketch))


def _unknown(sketch: Sketch) -> tuple[Sentence, ...]:
    """Where the chemistry is charged higher in the cold or equalised and nobody said how high."""
    unit = sketch.equipment.battery
    chemistry = CHEMISTRIES[unit.chemistry]
    asked = (
        ("charge_v_per_k", chemistry.charge_follows_warmth, unit.charge_v_per_k),
        ("equalise_v", chemistry.equalised, unit.equalise_v),
    )
    return tuple(
        sentence(f"sources.unknown_{name}", field=said(f"fields.equipment.battery.{name}"))
        for name, matters, value in asked
        if matters and value is None
    )
