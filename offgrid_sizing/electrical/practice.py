"""What the trade does by habit, set beside what the rules compute, and which of them decides."""

from dataclasses import dataclass

from offgrid_sizing.electrical.ampacity import base_ampacity_a
from offgrid_sizing.electrical.arrangement import between_lines_v
from offgrid_sizing.electrical.bank import machine_discharge_a
from offgrid_sizing.electrical.conductors import size_run
from offgrid_sizing.electrical.protection import FUSE_FACTOR
from offgrid_sizing.electrical.run_need import Choice, RunNeed
from offgrid_sizing.electrical.sizes import Size, awg_area_mm2, code_of, sizes_of
from offgrid_sizing.sketch import Equipment, Run, Site, Sketch
from offgrid_sizing.system import System

NO_SOURCE = "common practice, no source"
ARRAY_STRIP_MM = (6, 8)
ARRAY_AWG = "10"
AC_BREAKER_A, AC_MM2, AC_AWG = 63.0, 10.0, "7"
LEAD_AWG, LEAD_M = "2", 1.5
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


def _reference() -> tuple[Sketch, System]:
    """A 5 kW machine on a 48 V bank, the case the habits speak of."""
    sketch = Sketch(site=Site(latitude_deg=0, longitude_deg=0), equipment=Equipment())
    system = System(
        planes=(), units_in_series=1, units_in_parallel=4, inverters=1, arrangement="single"
    )
    return sketch, system


def _lead_need(length_m: float) -> RunNeed:
    sketch, system = _reference()
    current_a = machine_discharge_a(sketch, system)
    return RunNeed(
        key="bank_to_inverter",
        title="Battery lead of a 5 kW machine at 48 V",
        field="wiring.bank_to_inverter",
        side="bank",
        current_a=current_a,
        why="5,000 W at the lowest bank voltage",
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


def battery_lead_fact() -> PracticeFact:
    """2 AWG for 1.5 m behind a 5 kW, 48 V machine, against both rule books."""
    need = _lead_need(LEAD_M)
    nfpa, iec = size_run(need, "nfpa70"), size_run(need, "iec60364")
    assert nfpa.device is not None  # the need asks for a fuse
    assert iec.device is not None
    two = Size(f"{LEAD_AWG} AWG", awg_area_mm2(LEAD_AWG))
    free_a = base_ampacity_a("nfpa70", two, "free_air", 75)
    raceway_a = base_ampacity_a("nfpa70", two, "C", 75)
    design_a = need.design_a("nfpa70")
    return PracticeFact(
        topic="battery lead",
        practice=f"about {LEAD_M:g} m of {LEAD_AWG} AWG for a 5 kW machine at 48 V",
        computed=(
            (
                "NFPA 70, Table 310.17, free air, 75 °C",
                f"{free_a:g} A against {design_a:.0f} A asked for: 2 AWG carries it",
            ),
            (
                "NFPA 70, 110.14(C): terminals by Table 310.16, 75 °C",
                f"{raceway_a:g} A against {design_a:.0f} A: {nfpa.label} behind "
                f"{nfpa.device.rating_a:g} A",
            ),
            (
                "IEC 60364-5-52, method F, and IEC 60364-4-43",
                f"{iec.label} behind {iec.device.rating_a:g} A; 2 AWG is {two.area_mm2:.1f} mm²",
            ),
        ),
        agrees=raceway_a >= design_a,
        decides=(
            "In free air 2 AWG carries the current and IEC accepts it; under NFPA 70 the "
            "terminals decide, unless the boxes are marked for free-air ratings."
        ),
    )


def ac_conductor_fact() -> PracticeFact:
    """7 AWG (10 mm²) behind a 63 A breaker, against both rule books."""
    ten = Size("10 mm²", AC_MM2)
    by_method = {m: base_ampacity_a("iec60364", ten, m, 70) for m in ("C", "B1", "B2")}
    eight, six = (Size(f"{n} AWG", awg_area_mm2(n)) for n in ("8", "6"))
    small_a, large_a = (base_ampacity_a("nfpa70", s, "C", 75) for s in (eight, six))
    return PracticeFact(
        topic="alternating-current conductors",
        practice=f"about {AC_AWG} AWG ({AC_MM2:g} mm²) behind a {AC_BREAKER_A:g} A breaker",
        computed=(
            (
                "IEC 60364-5-52, Table B.52.2, method C, two loaded",
                f"{by_method['C']:g} A: just holds, one circuit in air of 30 °C",
            ),
            (
                "the same, in conduit (B1, B2)",
                f"{by_method['B1']:g} and {by_method['B2']:g} A: 16 mm² is needed",
            ),
            (
                "NFPA 70, Table 310.16, 75 °C",
                f"8 AWG {small_a:g} A, 6 AWG {large_a:g} A: 6 AWG is needed; "
                f"7 AWG ({awg_area_mm2(AC_AWG):.1f} mm²) is not tabulated",
            ),
        ),
        agrees=False,
        decides=(
            "The way it is laid decides: 10 mm² holds clipped to a wall under IEC, "
            "not in conduit, and not under NFPA 70."
        ),
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
        topic="array conductors",
        practice=f"{ARRAY_AWG} AWG ({habit_mm2:.2f} mm²) or larger, stripped {low}–{high} mm",
        computed=tuple(
            (
                code_of(choice.book).title,
                _thinnest_by_rule(choice),
            )
            for choice in strings
        ),
        agrees=all(choice.governs == "practice" for choice in strings),
        decides=(
            "The larger of the two is drawn: a thinner wire may pass the rule, but not suit every "
            "terminal and connector."
        ),
    )


def _thinnest_by_rule(choice: Choice) -> str:
    """The size the rules alone would allow, and what decides among them."""
    by_rule = [(name, label) for name, label in choice.smallest if name != "practice"]
    areas = {size.label: size.area_mm2 for size in sizes_of(choice.book)}
    name, label = max(by_rule, key=lambda pair: areas.get(pair[1], 0.0))
    return f"{label} for {choice.design_a:.1f} A, {name} decides"


def _plain_facts(sketch: Sketch) -> tuple[PracticeFact, ...]:
    machine, unit = sketch.equipment.inverter, sketch.equipment.battery
    larger = "The larger figure holds; the box's own manual comes first."
    return (
        PracticeFact(
            "mounting",
            f"about {SIDE_MM} mm free at each side and {VERTICAL_MM} mm above and below, "
            "upright, cable entry down",
            (("this machine", f"{machine.side_clearance_mm:g} mm at the sides, "
              f"{machine.vertical_clearance_mm:g} mm above and below"),),
            machine.side_clearance_mm >= SIDE_MM and machine.vertical_clearance_mm >= VERTICAL_MM,
            larger,
        ),
        PracticeFact(
            "terminal torque",
            f"{TORQUE_NM[0]}–{TORQUE_NM[1]} N·m at the bank's terminals",
            (("this unit", f"{unit.torque_min_nm:g}–{unit.torque_max_nm:g} N·m"),),
            unit.torque_min_nm >= TORQUE_NM[0] and unit.torque_max_nm <= TORQUE_NM[1],
            "The figure on the unit holds.",
        ),
        PracticeFact(
            "waiting time",
            f"{WAIT_MIN} minutes between shutting everything down and touching array terminals",
            (("this machine", f"{machine.wait_after_shutdown_min:g} minutes"),),
            machine.wait_after_shutdown_min >= WAIT_MIN,
            "The label on the equipment rules, then the tester.",
        ),
    )  # fmt: skip


def _joining_facts() -> tuple[PracticeFact, ...]:
    sketch, _ = _reference()
    machine, unit = sketch.equipment.inverter, sketch.equipment.battery
    two_va = 2 * machine.rated_va
    split_v = between_lines_v("split_phase", 120.0)
    return (
        PracticeFact(
            "two machines",
            "two 5 kW machines give 10 kW in parallel or split phase",
            (("sum of ratings", f"{two_va / 1000:g} kVA; one line of split phase has half"),),
            two_va == 10_000,
            "The sum holds for the whole home, the half for each line.",
        ),
        PracticeFact(
            "between the line outputs",
            "0 V on one phase, 240 V in split phase",
            (("120 V machines", f"{between_lines_v('parallel', 120.0):g} V and {split_v:g} V"),),
            split_v == 240,
            "Measure before joining anything.",
        ),
        PracticeFact(
            "one bank", "all paralleled machines share one bank", (), True,
            "The rule holds whatever the size.",
        ),
        PracticeFact(
            "unit energy",
            "a 48 V 100 Ah unit is 4.8 kWh nominal, 5.12 kWh at 51.2 V",
            (
                ("48 V × 100 Ah", f"{48 * unit.capacity_ah / 1000:.2f} kWh"),
                ("51.2 V × 100 Ah", f"{unit.energy_wh / 1000:.2f} kWh"),
            ),
            True,
            "The cells decide: sixteen of 3.2 V make 51.2 V.",
        ),
        PracticeFact(
            "first joining",
            "each unit is charged full before paralleling; units are addressed in sequence, the "
            "lead unit first; the bank is earthed",
            (),
            True,
            "Do it in this order; the sheet has a line for each.",
        ),
    )  # fmt: skip


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
