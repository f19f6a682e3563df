"""What a plan is sent back for although every run, string and bank passes by itself.

Here are figures of a sketch that contradict each other, or that no device chosen for them bears.
"""

from __future__ import annotations

from collections.abc import Iterator

from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.electrical.bank import has_ac_source
from offgrid_sizing.electrical.charge_voltage import standing_c
from offgrid_sizing.electrical.inspection_row import Seen
from offgrid_sizing.electrical.packing import room_of
from offgrid_sizing.electrical.protection import standard_ratings_a
from offgrid_sizing.electrical.runs import ac_fault_a
from offgrid_sizing.electrical.source_device import feeds
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.sketch.customs import mains_of
from offgrid_sizing.words import Sentence, said, sentence, together

BREAKER_ABOVE = 1.25  # common practice, no source: a maker's breaker over what its machine passes
LOOP_WITHIN = 0.9  # own choice: a measured loop is not known better than to a tenth
LOW_MARGIN_K = 15.0  # own choice: 5 K of `cold_limit_c`, and 10 K between a mean and a record low
VOLTS_WITHIN = 0.15  # own choice: 220 V and 240 V are mains of 230 V
LEAST_BETA_PER_K = -0.001  # common practice, no source: modules lie between −0.13 and −0.5 %/K
# Common practice, no source: modules state 1.3 to 3 × Isc, small ones up to 20 A.
FUSE_OVER_ISC, SMALL_FUSE_A = 3.0, 20.0
_SLACK = 1 + 1e-9


def plan_faults(seen: Seen, record_low_c: float) -> tuple[Sentence, ...]:
    """A sentence for each contradiction and for each figure that nothing chosen here bears.

    Parameters
    ----------
    seen : Seen
    record_low_c : float
        Coldest air of the place, whatever the sketch says of its own. [°C]
    """
    return (
        *own_low_faults(seen, record_low_c),
        *module_faults(seen),
        *roof_faults(seen),
        *ground_faults(seen),
        *breaker_faults(seen),
        *breaking_faults(seen),
        *export_faults(seen),
        *(bank_faults(seen.sketch) if seen.bank is not None else ()),
    )


def plan_advice(seen: Seen, low_c: float) -> tuple[Sentence, ...]:
    """What has to be set, asked or added, although no limit is broken.

    Parameters
    ----------
    seen : Seen
    low_c : float
        Coldest air reckoned with. [°C]
    """
    return (
        *bank_advice(seen, low_c),
        *electrode_advice(seen),
        *residual_advice(seen),
        *mains_advice(seen.sketch),
    )


def own_low_faults(seen: Seen, record_low_c: float) -> Iterator[Sentence]:
    """A lowest air temperature that the weather of the place contradicts.

    The place's own is the lowest of its years less 5 K; a mean of yearly lows, as codes allow it,
    lies above that, but not by more than another 10 K.
    """
    own_c = seen.sketch.weather.record_low_c
    if own_c is not None and seen.plans and own_c > record_low_c + LOW_MARGIN_K:
        field = said("fields.weather.record_low_c")
        yield sentence("plan.own_low", entered_c=own_c, low_c=record_low_c, field=field)


def module_faults(seen: Seen) -> Iterator[Sentence]:
    """Figures of a module that no module has, and that hide a voltage or a string's fuse."""
    module = seen.sketch.equipment.module
    if seen.plans and module.beta_voc_per_k > LEAST_BETA_PER_K:
        yield sentence(
            "plan.beta",
            percent=round(100 * module.beta_voc_per_k, 3),
            least=round(100 * LEAST_BETA_PER_K, 2),
            field=said("fields.equipment.module.beta_voc_per_k"),
        )
    widest = max((plan.in_parallel for plan in seen.plans), default=0)
    usual_a = max(SMALL_FUSE_A, FUSE_OVER_ISC * module.isc_a)
    if widest > 2 and module.max_fuse_a > usual_a * _SLACK:
        yield sentence(
            "plan.module_fuse",
            rating_a=module.max_fuse_a,
            isc_a=module.isc_a,
            usual_a=round(usual_a, 1),
            strings=widest,
        )


def roof_faults(seen: Seen) -> Iterator[Sentence]:
    """More modules drawn on a plane than fit on it."""
    for roof, plane in zip(seen.sketch.roof_planes, seen.system.planes, strict=True):
        fit = room_of(roof, seen.sketch.equipment.module)
        if fit is not None and plane.modules > fit:
            yield sentence(
                "plan.roof_full",
                plane=roof.name,
                series=plane.modules_in_series,
                strings=plane.strings,
                modules=plane.modules,
                fit=fit,
            )


def ground_faults(seen: Seen) -> Iterator[Sentence]:
    """An array said to stand on the ground, and drawn on a roof: it would escape rapid shutdown."""
    rule = seen.code.inspection.rapid_shutdown
    if not rule.asked or seen.sketch.building.array_on != "ground":
        return
    for roof, plane in zip(seen.sketch.roof_planes, seen.system.planes, strict=True):
        if plane.modules and roof.mounting != "open_rack":
            yield sentence(
                "plan.on_a_roof",
                plane=roof.name,
                mounting=said(f"choices.mounting.{roof.mounting}"),
                clauses=together(*rule.clauses, by="; "),
            )


def breaker_faults(seen: Seen) -> Iterator[Sentence]:
    """A breaker at the machine far above what its input and output pass."""
    machine, book = seen.sketch.equipment.inverter, seen.code.name
    named_a, output_a = machine.ac_breaker_a, machine.rated_va / machine.output_v
    passes_a = max(machine.transfer_max_a, output_a)
    least_a = BREAKER_ABOVE * passes_a
    most_a = next((one for one in standard_ratings_a(book) if one * _SLACK >= least_a), least_a)
    if named_a is not None and named_a > most_a * _SLACK:
        yield sentence(
            "plan.breaker",
            named_a=named_a,
            passes_a=round(passes_a, 1),
            most_a=most_a,
            factor=BREAKER_ABOVE,
            rule=seen.code.limits.named_device,
        )


def breaking_faults(seen: Seen) -> Iterator[Sentence]:
    """Devices that break less than the measured loop of the grid lets through."""
    sketch, loop_ohm = seen.sketch, seen.sketch.earthing.grid_loop_ohm
    if sketch.grid.kind == "none" or loop_ohm is None:
        return
    loop_a, named_a = sketch.equipment.inverter.output_v / loop_ohm, ac_fault_a(sketch)
    if named_a >= LOOP_WITHIN * loop_a:
        return
    known = sketch.grid.prospective_short_circuit_ka is not None
    name = "grid.prospective_short_circuit_ka" if known else "wiring.prospective_ac_fault_a"
    yield sentence(
        "plan.breaking",
        named_ka=round(named_a / 1000, 2),
        loop_ohm=loop_ohm,
        loop_ka=round(loop_a / 1000, 2),
        field=said(f"fields.{name}", **seen.code.words),
        rule=seen.code.limits.breaking,
    )


def export_faults(seen: Seen) -> Iterator[Sentence]:
    """More export than the device at the connection carries."""
    sketch, machine = seen.sketch, seen.sketch.equipment.inverter
    if not sketch.grid.export_allowed:
        return
    export_w = min(sketch.grid.export_limit_w, machine.rated_w * seen.system.inverters)
    for feed in feeds(sketch, seen.system):
        export_a = export_w / (feed.lines * machine.output_v)
        if feed.source == "grid" and export_a > feed.device_bears_a * _SLACK:
            yield sentence(
                "plan.export",
                export_w=round(export_w),
                export_a=round(export_a, 1),
                device_a=feed.device_a,
                bears_a=round(feed.device_bears_a, 1),
                most_w=int(feed.device_bears_a * feed.lines * machine.output_v),
                rule=seen.code.limits.export,
            )


def bank_faults(sketch: Sketch) -> Iterator[Sentence]:
    """What the sketch says of the bank and cannot be."""
    yield from place_faults(sketch)
    yield from charging_faults(sketch)


def place_faults(sketch: Sketch) -> Iterator[Sentence]:
    """A bank outdoors by one answer and indoors by another: warmth and rules follow one of them.

    A garage or outbuilding may be as cold as the open air.
    """
    room, kind = sketch.building.bank_room, sketch.equipment.bank_place.kind
    outside = kind != "indoor"
    if room in (("living", "utility") if outside else ("outdoor",)):
        yield sentence(
            "plan.two_places",
            room=said(f"choices.bank_room.{room}"),
            room_field=said("fields.building.bank_room"),
            kind=said(f"choices.kind.{kind}"),
            kind_field=said("fields.equipment.bank_place.kind"),
        )


def charging_faults(sketch: Sketch) -> Iterator[Sentence]:
    """Charge settings that the bank's chemistry does not bear or does not want."""
    unit = sketch.equipment.battery
    chemistry = CHEMISTRIES[unit.chemistry]
    name, cells = said(chemistry.short_key), round(unit.nominal_v / chemistry.cell_v)
    if chemistry.cell_most_v and unit.charge_v > chemistry.cell_most_v * cells * _SLACK:
        yield sentence(
            "plan.cell_charged",
            chemistry=name,
            charge_v=unit.charge_v,
            cells=cells,
            cell_charge_v=round(unit.charge_v / max(1, cells), 2),
            most_v=chemistry.cell_most_v,
        )
    if not chemistry.managed:
        return  # of lead and acid the unit's own sheet decides
    if unit.equalise_v is not None and unit.equalise_v > unit.charge_v:
        field = said("fields.equipment.battery.equalise_v")
        yield sentence("plan.equalised", chemistry=name, to_v=unit.equalise_v, field=field)
    if unit.charge_v_per_k:
        field = said("fields.equipment.battery.charge_v_per_k")
        per_k = unit.charge_v_per_k
        yield sentence("plan.compensated", chemistry=name, per_k=per_k, field=field)


def bank_advice(seen: Seen, low_c: float) -> Iterator[Sentence]:
    """A bank that stands too cold to be charged, and chargers set lower than they could give."""
    if seen.bank is None:
        return
    unit, machine = seen.sketch.equipment.battery, seen.sketch.equipment.inverter
    stands_c = standing_c(seen.sketch, low_c)
    if stands_c < unit.min_charge_c:
        yield sentence("plan.too_cold", stands_c=stands_c, charge_c=unit.min_charge_c)
    from_ac_a = machine.charger_max_a if has_ac_source(seen.sketch) else 0.0
    each_a = seen.sketch.equipment.controller.max_charge_a + from_ac_a
    could_a, set_a = each_a * seen.system.inverters, seen.bank.limits.charge_set_a
    if set_a + 1 < each_a:
        takes_a = round(min(seen.bank.charge_a, seen.bank.limits.joined_charge_a), 1)
        yield sentence("plan.set_charge", could_a=round(could_a, 1), takes_a=takes_a, set_a=set_a)


def electrode_advice(seen: Seen) -> Iterator[Sentence]:
    """A second rod where one alone has more resistance than the code lets stand alone."""
    rule, ohm = seen.code.inspection.bonds, seen.sketch.earthing.electrode_ohm
    if rule.electrode_most_ohm and ohm is not None and ohm > rule.electrode_most_ohm:
        yield sentence(
            "plan.electrode",
            ohm=ohm,
            most_ohm=rule.electrode_most_ohm,
            clauses=together(*rule.electrode_clauses, by="; "),
        )


def residual_advice(seen: Seen) -> Iterator[Sentence]:
    """A residual-current device that a smooth direct current blinds, behind no transformer."""
    machine, rule = seen.sketch.equipment.inverter, seen.code.inspection.clearance
    if rule.residual_ma and machine.residual_type == "ac" and machine.isolates_bank == "no":
        yield sentence("plan.type_ac", residual_ma=rule.residual_ma)


def mains_advice(sketch: Sketch) -> Iterator[Sentence]:
    """Machines made for other mains than the grid of the country usually has."""
    machine, usual = sketch.equipment.inverter, mains_of(sketch.site.country)
    if sketch.grid.kind == "none" or not sketch.site.country:
        return
    volts = {usual.output_v, usual.output_v * usual.lines}
    alike = any(abs(machine.output_v / one - 1) <= VOLTS_WITHIN for one in volts)
    if alike and machine.frequency_hz == usual.frequency_hz:
        return
    yield sentence(
        "plan.mains",
        grid_v=usual.output_v,
        grid_hz=usual.frequency_hz,
        machine_v=machine.output_v,
        machine_hz=machine.frequency_hz,
    )
