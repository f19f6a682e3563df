"""Bill of materials in generic terms: what to buy, how many, and what it must bear."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING

from offgrid_sizing.electrical.protection import rated_dc_v
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.words import sentence

if TYPE_CHECKING:
    from offgrid_sizing.electrical.arrangement import ArrangementPlan
    from offgrid_sizing.electrical.bank import BankWiring
    from offgrid_sizing.electrical.designations import Designations
    from offgrid_sizing.electrical.earth import EarthChoice
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
        array, bank, machine, conductor, device, earth or small.
    quantity : float
    unit : str
        "pcs", "set", "pair" or "m".
    item, must_bear : str
        What it is, and the ratings that decide.
    designation : str
        Of what it becomes in the drawing; small parts become nothing there and name their runs.
    """

    group: str
    quantity: float
    unit: str
    item: str
    must_bear: str
    designation: str


def line(
    group: str, quantity: float, unit: str, key: str, designation: str, /, **values: object
) -> BillItem:
    """A line whose words stand below `bill.item` and `bill.bears` in the catalogues."""
    return BillItem(
        group=group,
        quantity=quantity,
        unit=unit,
        item=sentence(f"bill.item.{key}", **values),
        must_bear=sentence(f"bill.bears.{key}", **values),
        designation=designation,
    )


def _boxes(
    sketch: Sketch, system: System, plan: ArrangementPlan, marks: Designations
) -> list[BillItem]:
    kit = sketch.equipment
    module, unit, machine = kit.module, kit.battery, kit.inverter
    arrays = ", ".join(one.label for one in marks if one.key.startswith("array."))
    rows = [
        line(
            "array",
            system.modules,
            "pcs",
            "module",
            arrays,
            power_w=module.power_w,
            volts=module.max_system_v,
        ),
        line(
            "bank",
            system.units,
            "pcs",
            "unit",
            marks.label("unit"),
            volts=unit.nominal_v,
            capacity_ah=unit.capacity_ah,
            largest_a=unit.max_discharge_a,
        ),
        line(
            "machine",
            system.inverters,
            "pcs",
            "machine",
            marks.label("machine"),
            va=machine.rated_va,
            volts=machine.bank_v,
            plan=plan.name,
        ),
    ]
    return [row for row in rows if row.quantity]


def _run_rows(need: RunNeed, choice: Choice, marks: Designations) -> list[BillItem]:
    metres = need.run.length_m * need.count * need.conductors * choice.judged.parallel * SPARE
    rows = [
        line(
            "conductor",
            ceil(metres),
            "m",
            "pv_cable" if need.pv_cable else "cable",
            marks.conductor(need.key),
            size=choice.judged.size.label,
            run=need.title,
            insulation_c=choice.insulation_c,
            volts=need.highest_v,
        )
    ]
    if choice.device:
        device = choice.device
        bears = sentence(
            "bill.bears.device",
            run=need.title,
            rating_a=device.rating_a,
            rated_v=device.rated_v,
            breaking_ka=device.breaking_ka,
            poles=device.poles,
        )
        pieces, mark = need.count * need.device_pieces, marks.device(need.key)
        rows.append(BillItem("device", pieces, "pcs", device.kind, bears, mark))
    elif need.key == "array_feeder":
        rows.append(
            line(
                "device",
                need.count,
                "pcs",
                "array_isolator",
                marks.label("array_isolator"),
                design_a=choice.design_a,
                volts=rated_dc_v(need.highest_v),
                plate=marks.plate("array_isolator"),
            )
        )
    return rows


def bill_of_materials(
    sketch: Sketch,
    system: System,
    runs: list[tuple[RunNeed, Choice]],
    bank: BankWiring | None,
    plan: ArrangementPlan,
    earth: EarthChoice,
    marks: Designations,
    more: tuple[BillItem, ...] = (),
) -> tuple[BillItem, ...]:
    """Everything the drawing asks for in the rule book shown; cable with a tenth to spare.

    Parameters
    ----------
    runs : list of (RunNeed, Choice)
        In the rule book shown.
    marks : Designations
    more : tuple of BillItem
        From `bill_safety.safety_items` and `bill_small.small_items`.
    """
    rows = _boxes(sketch, system, plan, marks)
    for need, choice in runs:
        rows += _run_rows(need, choice, marks)
    if bank and bank.busbar:
        rows.append(
            line(
                "bank",
                2,
                "pcs",
                "busbar",
                marks.label("busbar"),
                size=bank.busbar.label,
                length_m=sketch.wiring.busbar_length_m,
                bears_a=bank.busbar.bears_a,
            )
        )
    metres = ceil(sketch.wiring.earth.length_m * SPARE)
    rows.append(
        line(
            "earth",
            metres,
            "m",
            "earth",
            marks.conductor("earth"),
            size=earth.label,
            because=earth.because,
            **code_of(earth.book).words,
        )
    )
    return (*rows, *more)
