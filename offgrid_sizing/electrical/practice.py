"""What the trade does by habit, set beside what the rules compute, and which of them decides."""

from collections.abc import Mapping
from dataclasses import dataclass

from offgrid_sizing.electrical.arrangement import between_lines_v
from offgrid_sizing.electrical.practice_checks import (
    AC_AWG,
    AC_BREAKER_A,
    AC_MM2,
    LEAD_AWG,
    LEAD_M,
    held,
    reference,
)
from offgrid_sizing.electrical.run_need import Choice
from offgrid_sizing.electrical.sizes import awg_area_mm2, code_of, sizes_of
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.wiring_code import WIRING_CODES
from offgrid_sizing.words import Sentence, sentence

NO_SOURCE = sentence("practice.no_source")
ARRAY_STRIP_MM = (6, 8)
ARRAY_AWG = "10"
SIDE_MM, VERTICAL_MM = 150, 50
TORQUE_NM = (10, 12)
WAIT_MIN = 5


@dataclass(frozen=True)
class PracticeFact:
    """One habit of the trade beside the rules.

    Parameters
    ----------
    topic, practice : str
    computed : tuple of (str, str)
        Rule and its answer; empty where nothing can be computed.
    agrees : bool
        Whether the practice passes every rule named.
    decides : str
        Which of them holds, in one sentence.
    """

    topic: str
    practice: str
    computed: tuple[tuple[str, str], ...]
    agrees: bool
    decides: str
    source: str = NO_SOURCE


def battery_lead_fact() -> PracticeFact:
    """2 AWG for 1.5 m behind a 5 kW, 48 V machine, against every code that answers it."""
    computed, accept, refuse = held("lead")
    return PracticeFact(
        topic=sentence("practice.lead.topic"),
        practice=sentence("practice.lead.habit", length_m=LEAD_M, awg=LEAD_AWG),
        computed=computed,
        agrees=not refuse,
        decides=sentence("practice.lead.decides", accept=accept, refuse=refuse, awg=LEAD_AWG),
    )


def ac_conductor_fact() -> PracticeFact:
    """7 AWG (10 mm²) behind a 63 A breaker, against every code that answers it."""
    computed, _, _ = held("ac")
    by_gauge = tuple(
        code.short
        for code in WIRING_CODES.values()
        if any(rule.check == "ac_between_gauges" for rule in code.practice)
    )
    by_way = tuple(
        code.short
        for code in WIRING_CODES.values()
        if any(rule.check == "ac_clipped" for rule in code.practice)
    )
    return PracticeFact(
        topic=sentence("practice.ac.topic"),
        practice=sentence("practice.ac.habit", awg=AC_AWG, area_mm2=AC_MM2, breaker_a=AC_BREAKER_A),
        computed=computed,
        agrees=False,
        decides=sentence("practice.ac.decides", by_way=by_way, by_gauge=by_gauge, area_mm2=AC_MM2),
    )


def array_conductor_fact(strings: tuple[Choice, ...]) -> PracticeFact:
    """10 AWG or larger for the array, against the sizes the rules give for this one.

    Parameters
    ----------
    strings : tuple of Choice
        The string run in each rule book; empty without modules.
    """
    habit_mm2 = awg_area_mm2(ARRAY_AWG)
    low, high = ARRAY_STRIP_MM
    return PracticeFact(
        topic=sentence("practice.array.topic"),
        practice=sentence(
            "practice.array.habit", awg=ARRAY_AWG, area_mm2=habit_mm2, low=low, high=high
        ),
        computed=tuple(
            (
                code_of(choice.book).title,
                _thinnest_by_rule(choice),
            )
            for choice in strings
        ),
        agrees=all(choice.governs == "practice" for choice in strings),
        decides=sentence("practice.array.decides"),
    )


def _thinnest_by_rule(choice: Choice) -> Sentence:
    """The size the rules alone would allow, and what decides among them."""
    by_rule = [(name, label) for name, label in choice.smallest if name != "practice"]
    areas = {size.label: size.area_mm2 for size in sizes_of(choice.book)}
    name, label = max(by_rule, key=lambda pair: areas.get(pair[1], 0.0))
    what = sentence(f"runs.governs.{name}")
    return sentence("practice.array.rule", size=label, design_a=choice.design_a, what=what)


def _plain_facts(sketch: Sketch) -> tuple[PracticeFact, ...]:
    machine, unit = sketch.equipment.inverter, sketch.equipment.battery
    sides, above = machine.side_clearance_mm, machine.vertical_clearance_mm
    low, high = unit.torque_min_nm, unit.torque_max_nm
    wait_min = machine.wait_after_shutdown_min
    return (
        _fact(
            "mounting",
            "machine",
            sides >= SIDE_MM and above >= VERTICAL_MM,
            habit={"sides_mm": SIDE_MM, "above_mm": VERTICAL_MM},
            own={"sides_mm": sides, "above_mm": above},
        ),
        _fact(
            "torque",
            "unit",
            low >= TORQUE_NM[0] and high <= TORQUE_NM[1],
            habit={"low": TORQUE_NM[0], "high": TORQUE_NM[1]},
            own={"low": low, "high": high},
        ),
        _fact(
            "wait",
            "machine",
            wait_min >= WAIT_MIN,
            habit={"minutes": WAIT_MIN},
            own={"minutes": wait_min},
        ),
    )


def _fact(
    key: str, whose: str, agrees: bool, habit: Mapping[str, float], own: Mapping[str, float]
) -> PracticeFact:
    """A habit beside what the sketch's own box says."""
    return PracticeFact(
        sentence(f"practice.{key}.topic"),
        sentence(f"practice.{key}.habit", **habit),
        ((sentence(f"practice.this_{whose}"), sentence(f"practice.{key}.own", **own)),),
        agrees,
        sentence(f"practice.{key}.decides"),
    )


def _told(key: str, agrees: bool, *computed: tuple[str, str]) -> PracticeFact:
    """A habit whose words hold no value of the sketch."""
    topic, habit, decides = (
        sentence(f"practice.{key}.{part}") for part in ("topic", "habit", "decides")
    )
    return PracticeFact(topic, habit, computed, agrees, decides)


def _joining_facts() -> tuple[PracticeFact, ...]:
    sketch, _ = reference()
    machine, unit = sketch.equipment.inverter, sketch.equipment.battery
    two_va = 2 * machine.rated_va
    one_v, split_v = (between_lines_v(kind, 120.0) for kind in ("parallel", "split_phase"))
    total = sentence("practice.two.answer", kva=two_va / 1000)
    volts = sentence("practice.between.answer", one_v=one_v, split_v=split_v)
    energies = (
        (
            sentence("practice.energy.rule", volts=volts_of),
            sentence("practice.energy.answer", kwh=wh / 1000),
        )
        for volts_of, wh in ((48.0, 48 * unit.capacity_ah), (51.2, unit.energy_wh))
    )
    return (
        _told("two", two_va == 10_000, (sentence("practice.two.rule"), total)),
        _told("between", split_v == 240, (sentence("practice.between.rule"), volts)),
        _told("one_bank", True),
        _told("energy", True, *energies),
        _told("first", True),
    )


def practice_facts(sketch: Sketch, strings: tuple[Choice, ...] = ()) -> tuple[PracticeFact, ...]:
    """All habits of the trade the sheet mentions, each with the rule beside it.

    Parameters
    ----------
    sketch : Sketch
    strings : tuple of Choice
        The string run in each rule book.
    """
    return (
        battery_lead_fact(),
        ac_conductor_fact(),
        array_conductor_fact(strings),
        *_plain_facts(sketch),
        *_joining_facts(),
    )
