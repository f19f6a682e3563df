"""The whole electrical design of a system: strings, runs, bank, machines, bill and cautions."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from offgrid_sizing.electrical.ac_input import InputLimit, input_limits
from offgrid_sizing.electrical.ampacity import resistance_ohm_per_m
from offgrid_sizing.electrical.arrangement import ArrangementPlan, arrangement_plan
from offgrid_sizing.electrical.bank import BankWiring, bank_wiring
from offgrid_sizing.electrical.bill import BillItem, bill_of_materials
from offgrid_sizing.electrical.bill_safety import safety_items
from offgrid_sizing.electrical.bill_small import label_items, small_items
from offgrid_sizing.electrical.cautions import cautions, drop_note, voltage_notes
from offgrid_sizing.electrical.clearance import Clearance
from offgrid_sizing.electrical.conductors import size_run
from offgrid_sizing.electrical.design_checks import check_temperatures, check_voltages
from offgrid_sizing.electrical.designations import Designations, designated
from offgrid_sizing.electrical.earth import EarthChoice, earth_choice
from offgrid_sizing.electrical.earthing import Earthing
from offgrid_sizing.electrical.inspection import Inspection, inspection_of
from offgrid_sizing.electrical.inspection_row import Seen
from offgrid_sizing.electrical.insulation import InsulationTests, insulation_tests
from offgrid_sizing.electrical.plan_checks import plan_advice, plan_faults
from offgrid_sizing.electrical.practice import PracticeFact, practice_facts
from offgrid_sizing.electrical.run_design import RunDesign
from offgrid_sizing.electrical.runs import run_needs
from offgrid_sizing.electrical.sizes import RuleBook, code_of
from offgrid_sizing.electrical.source_device import feeds
from offgrid_sizing.electrical.source_faults import connection_advice, source_advice, source_faults
from offgrid_sizing.electrical.sources import Source, sources_of
from offgrid_sizing.electrical.start_verdicts import Starts, starts_of
from offgrid_sizing.electrical.starts import Leads
from offgrid_sizing.electrical.strings import (
    BEST_REASON,
    InputPlan,
    StringChoice,
    StringLimits,
    input_plans,
    judge_string,
    string_limits,
    string_table,
)
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.wiring_code import WIRING_CODES, Limits, Strings
from offgrid_sizing.words import Said, sentence
from offgrid_sizing.words.spoken import spoken


@dataclass(frozen=True)
class ElectricalDesign:
    """Everything the drawing, the sheet, the screens and the workbook need.

    Parameters
    ----------
    system : System
        The counts it was made for.
    rule_book, rule_book_name : str
        The one shown; the one it names beside it is computed too.
    record_low_c, hot_cell_c : float
        [°C]
    string_table : tuple of StringChoice
        Every series × parallel with its reasons, the best marked.
    best_reason : str
    string_limits : StringLimits
        What each of them is held against.
    input_plans : tuple of InputPlan
        The strings as drawn, on the controller inputs.
    drawn_strings : tuple of StringChoice
        The drawn strings judged, one for each plan.
    runs : tuple of RunDesign
    earth_by_code : mapping of str to EarthChoice
    bank : BankWiring or None
        None without a unit.
    arrangement : ArrangementPlan
    input_limits : tuple of InputLimit
        What to set at the machines' alternating-current inputs, one for each source.
    sources : tuple of Source
        Everything that gives current, each with its own device.
    practice : tuple of PracticeFact
    designations : Designations
        The reference designation of each device and run.
    bill_of_materials : tuple of BillItem
    faults : tuple of str
        Every broken limit of the drawn system in the rule book shown.
    advice : tuple of str
    cautions : tuple of Said
    starts : Starts
        Whether each motor starts; one that starts on no source is among the faults.
    inspection : Inspection
        What inspectors look for, with earthing and fault clearance.
    insulation_tests : InsulationTests
        What is measured against earth before anything is joined.
    """

    system: System
    rule_book: RuleBook
    rule_book_name: str
    record_low_c: float
    hot_cell_c: float
    string_table: tuple[StringChoice, ...]
    best_reason: str
    string_limits: StringLimits
    input_plans: tuple[InputPlan, ...]
    drawn_strings: tuple[StringChoice, ...]
    runs: tuple[RunDesign, ...]
    earth_by_code: Mapping[str, EarthChoice]
    bank: BankWiring | None
    arrangement: ArrangementPlan
    input_limits: tuple[InputLimit, ...]
    sources: tuple[Source, ...]
    practice: tuple[PracticeFact, ...]
    designations: Designations
    bill_of_materials: tuple[BillItem, ...]
    faults: tuple[str, ...]
    advice: tuple[str, ...]
    cautions: tuple[Said, ...]
    starts: Starts
    inspection: Inspection
    insulation_tests: InsulationTests

    @property
    def earth(self) -> EarthChoice:
        """The earth conductor in the rule book shown."""
        return self.earth_by_code[self.rule_book]

    @property
    def earth_other(self) -> EarthChoice:
        """The earth conductor in the code set beside it."""
        return self.earth_by_code[code_of(self.rule_book).beside]

    @property
    def earthing(self) -> Earthing:
        """The bond of each state, the changeover, the bank's earth, the bonding."""
        return self.inspection.earthing

    @property
    def clearance(self) -> Clearance:
        """Whether faults to earth open their devices, circuit by circuit."""
        return self.inspection.clearance

    @property
    def string_rules(self) -> Strings:
        """What the wiring code holds a string against."""
        return code_of(self.rule_book).strings

    @property
    def limits(self) -> Limits:
        """The clauses behind what boxes, lines and neutral may not be asked to bear."""
        return code_of(self.rule_book).limits

    @property
    def best_string(self) -> StringChoice | None:
        """The recommended series × parallel on one input, None when nothing is allowed."""
        return next((choice for choice in self.string_table if choice.best), None)

    def run(self, key: str) -> RunDesign | None:
        """A run by its key, or None where the system has no such run."""
        return next((run for run in self.runs if run.need.key == key), None)


def _runs(
    sketch: Sketch,
    system: System,
    plans: tuple[InputPlan, ...],
    names: list[RuleBook],
    low_c: float,
) -> tuple[RunDesign, ...]:
    """Every run by each code: what a run needs may differ, such as a string's fuse."""
    book = sketch.wiring.rule_book
    by_code = {
        name: run_needs(sketch, system, plans, record_low_c=low_c, book=name) for name in names
    }
    sized = {name: [size_run(need, name) for need in by_code[name]] for name in names}
    return tuple(
        RunDesign(need, {name: sized[name][place] for name in names}, book)
        for place, need in enumerate(by_code[book])
    )


def _both_leads_ohm(sketch: Sketch, runs: tuple[RunDesign, ...], key: str) -> float:
    """Both leads of one unit or machine, as chosen in the rule book shown; 0 without any. [Ω]"""
    run = next((run for run in runs if run.need.key == key), None)
    if run is None:
        return 0.0
    lead = run.shown
    size, sets = lead.judged.size, lead.judged.parallel
    per_m = resistance_ohm_per_m(lead.book, size, lead.insulation_c)
    return 2 * per_m * run.need.run.length_m / sets


def _bank(
    sketch: Sketch, system: System, lead_ohm: float, peak: Peak | None, low_c: float
) -> BankWiring | None:
    if not system.units:
        return None
    return bank_wiring(sketch, system, lead_ohm, peak, record_low_c=low_c)


def _drawn(
    sketch: Sketch, plans: tuple[InputPlan, ...], low_c: float, hot_c: float
) -> tuple[StringChoice, ...]:
    return tuple(
        judge_string(sketch, plan.in_series, plan.in_parallel, record_low_c=low_c, hot_cell_c=hot_c)
        for plan in plans
    )


def _safety_notes(
    runs: tuple[RunDesign, ...], drawn: tuple[StringChoice, ...], bank: BankWiring | None
) -> tuple[str, ...]:
    """Voltages that want covers or can kill, and drops larger than quoted guidance."""
    array_v = max((choice.cold_voc_v for choice in drawn), default=0.0)
    drops = (drop_note(run.need.title, run.need.side, run.need.run.max_drop_frac) for run in runs)
    thin = (
        sentence(
            "runs.thinner",
            run=run.need.title,
            size=run.shown.label,
            habit_mm2=run.need.habit_mm2,
        )
        for run in runs
        if run.shown.judged.size.area_mm2 * run.shown.judged.parallel < run.need.habit_mm2 * 0.999
    )
    volts = voltage_notes(array_v, bank.charging.highest_v if bank else 0.0)
    return (*volts, *filter(None, drops), *thin)


# Parts that speak in the terms of the code shown; inspection and cautions do so by themselves.
_SAYING = (
    *("sources", "designations", "bill_of_materials", "faults", "advice"),
    *("arrangement", "runs"),
)


def electrical_design(
    sketch: Sketch,
    system: System,
    *,
    record_low_c: float,
    hot_cell_c: float = 70.0,
    peak: Peak | None = None,
) -> ElectricalDesign:
    """Size every conductor and device of a system and say what decides and what breaks.

    Parameters
    ----------
    sketch : Sketch
    system : System
        The counts to wire; `system.drawn_system(sketch)` for those drawn.
    record_low_c : float
        Coldest air to reckon with for string voltage; an own value in the sketch comes first. [°C]
    hot_cell_c : float
        Hottest cells. [°C]
    peak : Peak, optional
        Coincident demand, to hold against each line's machines.

    Raises
    ------
    BadInput
        When a voltage, length or current is impossible, or no conductor carries a run.

    References
    ----------
    NFPA 70 and IEC 60364 as named in each result.
    """
    own_low = sketch.weather.record_low_c
    low_c = record_low_c if own_low is None else own_low
    check_temperatures(low_c, hot_cell_c)
    check_voltages(sketch)
    book = sketch.wiring.rule_book
    names = [n for n in WIRING_CODES if n in (book, code_of(book).beside)]
    plans, input_faults = input_plans(sketch, system)
    drawn = _drawn(sketch, plans, low_c, hot_cell_c)
    runs = _runs(sketch, system, plans, names, low_c)
    earths = {
        name: earth_choice(sketch, [run.by_code[name] for run in runs], name) for name in names
    }
    lead_ohm = _both_leads_ohm(sketch, runs, "unit_lead")
    bank = _bank(sketch, system, lead_ohm, peak, low_c)
    leads = Leads(lead_ohm, _both_leads_ohm(sketch, runs, "bank_to_inverter"))
    plan, limits = arrangement_plan(sketch, system, peak), input_limits(sketch, system)
    shown = [(run.need, run.shown) for run in runs]
    sources = sources_of(sketch, system, plans, shown, bank)
    seen = Seen(sketch, system, code_of(book), runs, plans, drawn, bank, plan)
    inspection, starts = inspection_of(seen), starts_of(sketch, system, leads)
    marks = designated(seen, inspection, earths[book])
    more = (
        *safety_items(sketch, runs, inspection, marks),
        *small_items(sketch, runs, earths[book], marks),
    )
    bill = bill_of_materials(sketch, system, shown, bank, plan, earths[book], marks, more)
    strings = tuple(c for r in runs if r.need.key == "string" for c in r.by_code.values())
    voltage_faults = (fault for choice in drawn for fault in choice.refused)
    faults = (
        *voltage_faults,
        *input_faults,
        *(fault for _, choice in shown for fault in choice.faults),
        *earths[book].faults,
        *(bank.faults if bank else ()),
        *plan.faults,
        *source_faults(shown, bank, plan, feeds(sketch, system)),
        *inspection.faults,
        *starts.faults,
        *plan_faults(seen, record_low_c),
    )
    design = ElectricalDesign(
        system=system,
        rule_book=book,
        rule_book_name=code_of(book).title,
        record_low_c=low_c,
        hot_cell_c=hot_cell_c,
        string_table=string_table(sketch, record_low_c=low_c, hot_cell_c=hot_cell_c),
        best_reason=BEST_REASON,
        string_limits=string_limits(sketch),
        input_plans=plans,
        drawn_strings=drawn,
        runs=runs,
        earth_by_code=earths,
        bank=bank,
        arrangement=plan,
        input_limits=limits,
        sources=sources,
        practice=practice_facts(sketch, strings),
        designations=marks,
        bill_of_materials=bill,
        faults=tuple(dict.fromkeys(faults)),
        advice=(
            *(bank.advice if bank else ()),
            *plan.notes,
            *filter(None, (limit.too_small for limit in limits)),
            *source_advice(sources),
            *connection_advice(feeds(sketch, system)),
            *plan_advice(seen, low_c),
            *_safety_notes(runs, drawn, bank),
        ),
        cautions=cautions(book),
        starts=starts,
        inspection=inspection,
        insulation_tests=insulation_tests(
            sketch.equipment.module,
            [one.in_series for one in plans],
            max(plan.line_v, plan.between_lines_v),
            bank.charging.highest_v if bank else None,
        ),
    )
    design = replace(design, bill_of_materials=(*bill, *label_items(sketch, design)))
    words = code_of(book).words
    return replace(design, **{part: spoken(getattr(design, part), words) for part in _SAYING})
