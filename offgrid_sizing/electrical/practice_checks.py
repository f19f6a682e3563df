"""The trade's habits held against a wiring code: what its tables say to a wire it would lay."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from offgrid_sizing.electrical.ampacity import base_ampacity_a
from offgrid_sizing.electrical.bank import machine_discharge_a
from offgrid_sizing.electrical.conductors import size_run
from offgrid_sizing.electrical.protection import FUSE_FACTOR
from offgrid_sizing.electrical.run_need import RunNeed
from offgrid_sizing.electrical.sizes import Size, awg_area_mm2, sizes_of
from offgrid_sizing.sketch import Equipment, Run, Site, Sketch
from offgrid_sizing.system import System
from offgrid_sizing.wiring_code import WIRING_CODES, WiringCode
from offgrid_sizing.words import Sentence, sentence

AC_BREAKER_A, AC_MM2, AC_AWG = 63.0, 10.0, "7"
AC_AWG_BESIDE = ("8", "6")  # the tabulated gauges next to it
LEAD_AWG, LEAD_M = "2", 1.5
COPPER_C = 75  # the column terminals allow; the cooler one where a code has none


def reference() -> tuple[Sketch, System]:
    """A 5 kW machine on a 48 V bank, the case the habits speak of."""
    sketch = Sketch(site=Site(latitude_deg=0, longitude_deg=0), equipment=Equipment())
    system = System(
        planes=(), units_in_series=1, units_in_parallel=4, inverters=1, arrangement="single"
    )
    return sketch, system


def _lead_need(length_m: float) -> RunNeed:
    sketch, system = reference()
    current_a = machine_discharge_a(sketch, system)
    return RunNeed(
        key="bank_to_inverter",
        title=sentence("practice.lead.title"),
        field="wiring.bank_to_inverter",
        side="bank",
        current_a=current_a,
        why=sentence("practice.lead.why"),
        drop_current_a=current_a,
        drop_base_v=51.2,
        highest_v=56,
        fault_a=5000,
        run=Run(length_m=length_m, method="free_air", max_drop_frac=0.02),
        ambient_c=30,
        box_c=30,
        insulation_c=90,
        terminal_c=75,
        device_kind="fuse",
        device_factor=FUSE_FACTOR,
    )


@dataclass(frozen=True)
class Held:
    """A habit held against one rule of a code: whether it passes, and the answer."""

    passes: bool
    answer: Sentence


def _lead_in_free_air(code: WiringCode) -> Held:
    free_a = base_ampacity_a(code.name, _lead_size(), "free_air", COPPER_C)
    design_a = _lead_need(LEAD_M).design_a(code.name)
    passes = free_a >= design_a
    key = f"practice.lead.free_air{'' if passes else '_not'}"
    return Held(passes, sentence(key, free_a=free_a, design_a=design_a, awg=LEAD_AWG))


def _lead_at_terminals(code: WiringCode) -> Held:
    need = _lead_need(LEAD_M)
    choice, design_a = size_run(need, code.name), need.design_a(code.name)
    raceway_a = base_ampacity_a(code.name, _lead_size(), "C", COPPER_C)
    assert choice.device is not None  # the need asks for a fuse
    answer = sentence(
        "practice.lead.terminals",
        terminal_a=raceway_a,
        design_a=design_a,
        size=choice.label,
        device_a=choice.device.rating_a,
    )
    return Held(raceway_a >= design_a, answer)


def _lead_as_sized(code: WiringCode) -> Held:
    choice, habit = size_run(_lead_need(LEAD_M), code.name), _lead_size()
    assert choice.device is not None  # the need asks for a fuse
    answer = sentence(
        "practice.lead.sized",
        size=choice.label,
        device_a=choice.device.rating_a,
        awg=LEAD_AWG,
        area_mm2=habit.area_mm2,
    )
    laid_mm2 = choice.judged.size.area_mm2 * choice.judged.parallel
    return Held(laid_mm2 <= habit.area_mm2, answer)


def _ac_clipped(code: WiringCode) -> Held:
    carries_a = base_ampacity_a(code.name, Size("10 mm²", AC_MM2), "C", COPPER_C)
    passes = carries_a >= AC_BREAKER_A
    key = f"practice.ac.clipped{'' if passes else '_not'}"
    return Held(passes, sentence(key, carries_a=carries_a))


def _ac_in_conduit(code: WiringCode) -> Held:
    b1, b2 = _in_conduit_a(code, Size("10 mm²", AC_MM2))
    enough = (
        size for size in sizes_of(code.name) if min(_in_conduit_a(code, size)) >= AC_BREAKER_A
    )
    needed = next(enough).label
    return Held(
        min(b1, b2) >= AC_BREAKER_A, sentence("practice.ac.conduit", b1=b1, b2=b2, needed=needed)
    )


def _in_conduit_a(code: WiringCode, size: Size) -> tuple[float, float]:
    b1, b2 = (base_ampacity_a(code.name, size, way, COPPER_C) for way in ("B1", "B2"))
    return b1, b2


def _ac_between_gauges(code: WiringCode) -> Held:
    small, large = AC_AWG_BESIDE
    small_a, large_a = (
        base_ampacity_a(code.name, Size(f"{awg} AWG", awg_area_mm2(awg)), "C", COPPER_C)
        for awg in AC_AWG_BESIDE
    )
    answer = sentence(
        "practice.ac.between",
        small=small,
        small_a=small_a,
        large=large,
        large_a=large_a,
        habit=AC_AWG,
        habit_mm2=awg_area_mm2(AC_AWG),
    )
    return Held(small_a >= AC_BREAKER_A, answer)


# Which of them a code answers, and by which clause, stands in its data.
CHECKS: Mapping[str, Callable[[WiringCode], Held]] = {
    "lead_free_air": _lead_in_free_air,
    "lead_terminals": _lead_at_terminals,
    "lead_sized": _lead_as_sized,
    "ac_clipped": _ac_clipped,
    "ac_conduit": _ac_in_conduit,
    "ac_between_gauges": _ac_between_gauges,
}


def held(habit: str) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...], tuple[str, ...]]:
    """Rules with their answers, and the codes that accept the habit and that do not."""
    computed: list[tuple[str, str]] = []
    accept: list[str] = []
    refuse: list[str] = []
    for code in WIRING_CODES.values():
        rules = [rule for rule in code.practice if rule.check.startswith(habit)]
        found = [CHECKS[rule.check](code) for rule in rules]
        computed += [(rule.cited, one.answer) for rule, one in zip(rules, found, strict=True)]
        if found:
            (accept if all(one.passes for one in found) else refuse).append(code.short)
    return tuple(computed), tuple(accept), tuple(refuse)


def _lead_size() -> Size:
    return Size(f"{LEAD_AWG} AWG", awg_area_mm2(LEAD_AWG))
