"""Bill of materials in generic terms: what to buy, how many, and what it must bear."""

from dataclasses import dataclass
from math import ceil

from offgrid_sizing.electrical.arrangement import ArrangementPlan
from offgrid_sizing.electrical.bank import BankWiring
from offgrid_sizing.electrical.earth import EarthChoice
from offgrid_sizing.electrical.protection import rated_dc_v
from offgrid_sizing.electrical.run_need import Choice, RunNeed
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System

SPARE = 1.1  # common practice, no source: a tenth more cable than drawn


@dataclass(frozen=True)
class BillItem:
    """One line of the bill.

    Parameters
    ----------
    group : str
        array, bank, machine, conductor, device or earth.
    quantity : float
    unit : str
        "pcs" or "m".
    item : str
    must_bear : str
        Ratings that decide, in words.
    """

    group: str
    quantity: float
    unit: str
    item: str
    must_bear: str


def _boxes(sketch: Sketch, system: System, plan: ArrangementPlan) -> list[BillItem]:
    module, unit, machine = (
        sketch.equipment.module,
        sketch.equipment.battery,
        sketch.equipment.inverter,
    )
    rows = [
        BillItem(
            "array", system.modules, "pcs", "photovoltaic module",
            f"{module.power_w:g} W, {module.max_system_v:g} V system voltage",
        ),
        BillItem(
            "bank", system.units, "pcs", "battery unit",
            f"{unit.nominal_v:g} V, {unit.capacity_ah:g} Ah, {unit.max_discharge_a:g} A for long",
        ),
        BillItem(
            "machine", system.inverters, "pcs", "inverter-charger",
            f"{machine.rated_va:g} VA, {machine.bank_v:g} V bank, {plan.name}",
        ),
    ]  # fmt: skip
    return [row for row in rows if row.quantity]


def _run_rows(need: RunNeed, choice: Choice) -> list[BillItem]:
    metres = need.run.length_m * need.count * need.conductors * choice.judged.parallel * SPARE
    kind = "photovoltaic cable" if need.pv_cable else "copper cable"
    rows = [
        BillItem(
            "conductor", ceil(metres), "m", f"{kind} {choice.judged.size.label}",
            f"{need.title}: {choice.insulation_c:g} °C, {need.highest_v:.0f} V",
        )
    ]  # fmt: skip
    if choice.device:
        device = choice.device
        rows.append(
            BillItem("device", need.count * need.device_pieces, "pcs", device.kind,
                     f"{need.title}: {device.label}, {device.poles}")
        )  # fmt: skip
    elif need.key == "array_feeder":
        rows.append(
            BillItem(
                "device", need.count, "pcs", "load-break isolator for direct current, both poles",
                f"{choice.design_a:.0f} A, {rated_dc_v(need.highest_v):g} V",
            )
        )  # fmt: skip
    return rows


def bill_of_materials(
    sketch: Sketch,
    system: System,
    runs: list[tuple[RunNeed, Choice]],
    bank: BankWiring | None,
    plan: ArrangementPlan,
    earth: EarthChoice,
    safety: tuple[BillItem, ...] = (),
) -> tuple[BillItem, ...]:
    """Everything the drawing asks for in the rule book shown; cable with a tenth to spare.

    Parameters
    ----------
    runs : list of (RunNeed, Choice)
        In the rule book shown.
    safety : tuple of BillItem
        From `bill_safety.safety_items`.
    """
    rows = _boxes(sketch, system, plan)
    for need, choice in runs:
        rows += _run_rows(need, choice)
    if bank and bank.busbar:
        length_m = sketch.wiring.busbar_length_m
        rows.append(
            BillItem(
                "bank",
                2,
                "pcs",
                f"copper busbar {bank.busbar.label}, {length_m:g} m, covered",
                f"{bank.busbar.bears_a:g} A; one for each pole",
            )
        )
    rows.append(
        BillItem("earth", ceil(sketch.wiring.earth.length_m * SPARE), "m",
                 f"earth conductor {earth.label}, green and yellow or bare", earth.because)
    )  # fmt: skip
    return (*rows, *safety)
