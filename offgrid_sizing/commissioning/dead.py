"""Dead tests, in the order of IEC 60364-6 and IEC 62446-1: nothing is joined before they pass."""

from math import ceil

from offgrid_sizing.chemistry import Chemistry
from offgrid_sizing.commissioning.assembly import chemistry_of, part
from offgrid_sizing.commissioning.layout import HABIT, Row, Section, Words, line, note, value
from offgrid_sizing.electrical.cautions import EXTRA_LOW_UP_TO_V
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.designations import plate_words
from offgrid_sizing.electrical.insulation import ARRAY_FACTOR, InsulationTest, InsulationTests
from offgrid_sizing.electrical.labels import sources_of
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.sketch.building import Known
from offgrid_sizing.words import said

# IEC 60364-6, 6.4.3.2, IEC 61557-4: at 0.2 A or more (from memory); the limit: common practice
CONTINUITY_A, CONTINUITY_OHM = 0.2, 0.2


def highest_v(design: ElectricalDesign) -> float:
    """Highest voltage anybody meets here: strings in the cold, the bank when full, the output."""
    volts = [choice.cold_voc_v for choice in design.drawn_strings]
    volts += [design.bank.charging.highest_v] if design.bank else []
    return max(*volts, design.arrangement.line_v, design.arrangement.between_lines_v, 0.0)


def ready(sketch: Sketch, design: ElectricalDesign) -> Section:
    """People, protection by the bank's chemistry, lock-out, and the tester proved."""
    volts = ceil(highest_v(design))
    rows = [
        line("ready.people", blank="ok", note=HABIT),
        line("ready.tools", blank="ok", note=HABIT, volts=volts),
    ]
    if design.bank:
        rows += bank_dangers(sketch, design, chemistry_of(sketch))
    rows += [
        line("ready.lock", blank="ok", sources=sources_of(sketch, design)),
        *([line("ready.block", blank="ok")] if sketch.generator is not None else []),
        line("ready.tester", blank="ok", note=note("rated", volts=volts)),
        *proved_dead("ready"),
    ]
    return part("ready", rows, ordered=True)


def proved_dead(where: str, because: Words | None = None) -> list[Row]:
    """The tester on a known source, the conductors dead, the tester again."""
    return [
        line("prove.before", value("known"), "V"),
        line(f"{where}.dead", "0 V", "V", because or note("stay_live")),
        line("prove.after", value("known"), "V", note("after")),
    ]


def bank_dangers(sketch: Sketch, design: ElectricalDesign, chemistry: Chemistry) -> list[Row]:
    """What this kind of bank does to people who work on it."""
    bank = design.bank
    assert bank is not None  # asked for with a bank only
    current = round(bank.fault_a / 1000, 1)
    reached_v = bank.charging.highest_v
    if reached_v > EXTRA_LOW_UP_TO_V:
        rows = [
            line(
                "ready.high_voltage",
                blank="ok",
                note=note("high_voltage"),
                volts=ceil(reached_v),
                limit=EXTRA_LOW_UP_TO_V,
                current=current,
            )
        ]
    else:
        rows = [line("ready.short", blank="ok", volts=ceil(reached_v), current=current)]
    if chemistry.vented:
        rows += [line(f"ready.{key}", blank="ok", note=HABIT) for key in ("gas", "acid", "wash")]
    elif chemistry.managed:
        rows += [
            line("ready.units", blank="ok", note=HABIT),
            line("ready.cold", blank="ok", low=sketch.equipment.battery.min_charge_c),
        ]
    else:
        rows += [line(f"ready.{key}", blank="ok", note=HABIT) for key in ("sealed", "eyes")]
    return rows


def visual(design: ElectricalDesign) -> Section:
    """Looking, before the first instrument."""
    rows = [line("visual.drawing", blank="ok"), line("visual.cables", blank="ok")]
    if design.input_plans:
        volts = ceil(max(choice.cold_voc_v for choice in design.drawn_strings))
        rows += [
            line("visual.array", blank="ok"),
            line("visual.isolators", f"≥ {volts} V", "ok", note("cold_voc")),
        ]
    rows += _plates(design)
    if design.bank:
        rows.append(line("visual.bank", blank="ok"))
    rows += [line("visual.surge", blank="ok"), line("visual.covers", blank="ok")]
    return part("visual", rows)


def _plates(design: ElectricalDesign) -> list[Row]:
    """What must stand on the plate of each kind of switch."""
    return [
        Row(
            said("sheet.visual.plate"),
            plate_words(one.plate),
            "ok",
            note("clause", source=one.plate.rule),
            devices=one.label,
        )
        for one in design.designations
        if one.plate is not None
    ]


def continuity(design: ElectricalDesign) -> Section:
    """Protective and bonding conductors from end to end."""
    expect, because = value("at_most", value=CONTINUITY_OHM, unit="Ω"), note("continuity")
    keys = ["boxes", "circuits"]
    keys += ["frames"] if design.input_plans else []
    keys += ["bank"] if design.bank else []
    rows = [line("continuity.leads", blank="ok")]
    rows += [line(f"continuity.{key}", expect, "Ω", because) for key in keys]
    return part("continuity", rows, current=CONTINUITY_A)


def polarity(design: ElectricalDesign) -> Section:
    """Polarity of everything that is laid, ends still open."""
    rows = [
        line("polarity.strings", "+", "ok", plane=plan.plane, strings=plan.strings)
        for plan in design.input_plans
    ]
    if design.bank:
        rows.append(line("polarity.bank", "+", "ok"))
    rows.append(line("polarity.ac", blank="ok"))
    return part("polarity", rows)


def insulation(sketch: Sketch, design: ElectricalDesign) -> Section:
    """Insulation of array, alternating-current side and bank side; electronics stay out of it."""
    rows = [line("insulation.open", blank="ok")]
    module, tests = sketch.equipment.module, design.insulation_tests
    for plan, test in zip(design.input_plans, tests.array, strict=True):
        volts = plan.in_series * module.voc_v
        because = note(
            "array_band",
            voc=round(volts, 1),
            factor=ARRAY_FACTOR,
            volts=round(test.circuit_v, 1),
            source=test.source,
        )
        rows.append(_tested("array", test, because, plane=plan.plane))
        if test.test_v > module.max_system_v:
            rows.append(
                line("insulation.module", blank="ok", test=test.test_v, limit=module.max_system_v)
            )
    rows.append(_tested("ac", tests.ac, note("source", source=tests.ac.source)))
    rows += _bank_rows(tests, sketch.equipment.inverter.isolates_bank)
    rows += [line("insulation.discharge", "0 V", "V"), line("insulation.back", blank="ok")]
    return part("insulation", rows, ordered=True)


def _bank_rows(tests: InsulationTests, parts_them: Known) -> list[Row]:
    """The bank's cables; both tests where the sketch does not say whether mains are parted."""
    joined, parted = tests.bank, tests.bank_parted
    if joined is None:
        return []
    rows = [_tested("bank", joined, note("source", source=joined.source))]
    if parted is None or parts_them == "no":
        return rows
    if parts_them == "yes":
        return [_tested("bank", parted, note("parted_typed", source=parted.source))]
    return [*rows, _tested("bank_parted", parted, note("parted"))]


def _tested(key: str, test: InsulationTest, because, **values: object) -> Row:
    expect = value("insulation", least=test.least_mohm, test=test.test_v)
    return line(f"insulation.{key}", expect, "MΩ", because, **values)
