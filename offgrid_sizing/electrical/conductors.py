"""One conductor run in one rule book: smallest size that fits load, device, terminals and drop."""

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

from offgrid_sizing.electrical.ampacity import (
    TooHot,
    ambient_factor,
    ampacity_table,
    base_ampacity_a,
    grouping_factor,
    pv_cable_ampacity_a,
    resistance_ohm_per_m,
    voltage_drop_v,
)
from offgrid_sizing.electrical.code_rules import terminal_a
from offgrid_sizing.electrical.devices import device_faults, device_of
from offgrid_sizing.electrical.protection import Device, coordinated
from offgrid_sizing.electrical.run_need import Choice, Judged, RunNeed
from offgrid_sizing.electrical.sizes import (
    RuleBook,
    Size,
    code_of,
    nearest_below,
    parse_size,
    sizes_of,
)
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.words import Sentence, sentence

MAX_PARALLEL = 6
INSULATIONS_C = (70, 75, 90)  # those a sketch may ask for
TERMINALS_C = (60, 75, 90)  # the same
CRITERIA = ("ampacity", "terminal", "device", "drop", "practice")


@dataclass(frozen=True)
class _Case:
    """A need in one book with its device, ready to judge sizes."""

    need: RunNeed
    book: RuleBook
    device: Device | None

    @cached_property
    def carry_a(self) -> float:
        return self.device.rating_a if self.device else self.need.conductor_a(self.book)

    def judge(self, size: Size, parallel: int) -> Judged:
        """All figures of a size laid `parallel` times."""
        need, book, run = self.need, self.book, self.need.run
        together = run.loaded_together * (1 if run.method == "free_air" else parallel)
        group = grouping_factor(book, together, need.loaded)
        table, base_a, ambient = self._way(size)
        drop_v = voltage_drop_v(
            resistance_ohm_per_m(book, size, need.insulation_c, flexible=need.side != "ac"),
            run.length_m,
            need.drop_current_a / parallel,
        )
        return Judged(
            size=size,
            parallel=parallel,
            table=table,
            base_a=base_a,
            ambient_factor=ambient,
            grouping_factor=group,
            corrected_a=parallel * base_a * ambient * group,
            terminal_a=parallel * terminal_a(book, need, size),
            drop_v=drop_v,
            drop_frac=drop_v / need.drop_base_v,
        )

    def _way(self, size: Size) -> tuple[str, float, float]:
        need, book, run = self.need, self.book, self.need.run
        code = code_of(book)
        if need.pv_cable and code.pv_cable_table and run.method == "free_air":
            cable = code.table(code.pv_cable_table)
            base_a = pv_cable_ampacity_a(size, 60.0, cable)
            now_a = pv_cable_ampacity_a(size, need.ambient_c, cable)
            return cable.cited, base_a, now_a / base_a if base_a else 0.0
        table = ampacity_table(book, run.method, need.insulation_c, need.loaded)
        base_a = base_ampacity_a(book, size, run.method, need.insulation_c, need.loaded)
        in_ground = run.method == "D1"
        ambient = ambient_factor(book, need.insulation_c, need.ambient_c, in_ground=in_ground)
        return table.cited, base_a, ambient

    def passes(self, judged: Judged) -> dict[str, bool]:
        """Which criteria a judged size meets."""
        need, slack = self.need, 1 + 1e-9
        design_a = need.design_a(self.book)
        capacity_a = min(judged.corrected_a, judged.terminal_a)
        fits_device = capacity_a * slack >= self.carry_a and self._small_conductor(judged)
        if self.device and code_of(self.book).coordination:
            fits_device = fits_device and coordinated(
                design_a, self.device.rating_a, judged.corrected_a, need.device_factor
            )
        return {
            "ampacity": judged.corrected_a * slack >= need.conductor_a(self.book),
            "terminal": judged.terminal_a * slack >= need.conductor_a(self.book),
            "device": fits_device,
            "drop": judged.drop_frac <= need.run.max_drop_frac * slack,
            "practice": judged.size.area_mm2 * judged.parallel >= need.habit_mm2 * 0.999,
        }

    def _small_conductor(self, judged: Judged) -> bool:
        """Whether the device stays within the largest one a small conductor may have."""
        code = code_of(self.book)
        if not code.small_conductor_table or self.device is None:
            return True
        table = code.table(code.small_conductor_table)
        caps = dict(zip(table.texts("size"), table.numbers("max_device_a"), strict=True))
        return self.device.rating_a <= caps.get(judged.size.label, float("inf"))


def _candidates(book: RuleBook, parallel: int) -> tuple[Size, ...]:
    floor_mm2 = code_of(book).parallel_from_mm2 if parallel > 1 else 0.0
    return tuple(size for size in sizes_of(book) if size.area_mm2 >= floor_mm2)


def _by_rule(case: _Case) -> tuple[Judged, tuple[tuple[str, str], ...], str]:
    """Fewest parallel sets, then the smallest size, that meet every criterion."""
    for parallel in range(1, MAX_PARALLEL + 1):
        judged = [case.judge(size, parallel) for size in _candidates(case.book, parallel)]
        met = [case.passes(one) for one in judged]
        good = [one for one, passed in zip(judged, met, strict=True) if all(passed.values())]
        if not good:
            continue
        first = {name: next(i for i, passed in enumerate(met) if passed[name]) for name in CRITERIA}
        smallest = tuple((name, judged[place].label) for name, place in first.items())
        return good[0], smallest, max(CRITERIA, key=lambda name: first[name])
    need = case.need
    largest = sizes_of(case.book)[-1].label
    raise BadInput(
        sentence(
            "runs.too_much",
            run=need.title,
            carry_a=case.carry_a,
            length_m=need.run.length_m,
            most=MAX_PARALLEL,
            largest=largest,
            code=code_of(case.book).short,
        )
    )


_BROKEN = ("ampacity", "terminal", "device", "drop")  # a habit broken is no fault


def _faults(case: _Case, judged: Judged) -> tuple[str, ...]:
    passed = case.passes(judged)
    values = {
        "run": case.need.title,
        "size": judged.label,
        "corrected": judged.corrected_a,
        "terminal": judged.terminal_a,
        "usable": judged.usable_a,
        "design": case.need.conductor_a(case.book),
        "device": case.carry_a,
        "drop": 100 * judged.drop_frac,
        "limit": 100 * case.need.run.max_drop_frac,
    }
    return tuple(sentence(f"runs.broken.{name}", **values) for name in _BROKEN if not passed[name])


def _rules(case: _Case, judged: Judged) -> tuple[str, ...]:
    code = code_of(case.book)
    by_side = code.rules_array if case.need.side == "array" else code.rules_else
    return (judged.table, *code.rules, *by_side)


def size_run(need: RunNeed, book: RuleBook) -> Choice:
    """Choose conductor and device of a run; where the cable asked for bears no heat, a better one.

    A cable whose insulation leaves no room above the air round it carries nothing, and neither do
    terminals. The next insulation that does is then sized, with terminals for more heat where it
    takes these too, and that what was asked for does not pass is its first fault. See `_sized` for
    the rules.

    Parameters
    ----------
    need : RunNeed
    book : str

    Raises
    ------
    BadInput
        When no conductor of any insulation carries it, or voltages and lengths are impossible.
    """
    try:
        return _sized(need, book)
    except TooHot:
        for better in _hotter(need):
            with suppress(TooHot):
                choice = _sized(better, book)
                fault = _too_hot(need, better, choice)
                return replace(choice, faults=(fault, *choice.faults))
        raise


def _hotter(need: RunNeed) -> Iterator[RunNeed]:
    """The same run with cable, else terminals, else both for more heat: the least change first."""
    cables = [one for one in INSULATIONS_C if one > need.insulation_c]
    terminals = [one for one in TERMINALS_C if one > need.terminal_c]
    yield from (replace(need, insulation_c=one) for one in cables)
    for terminal_c, cable_c in product(terminals, (need.insulation_c, *cables)):
        yield replace(need, insulation_c=cable_c, terminal_c=terminal_c)


def _too_hot(need: RunNeed, better: RunNeed, choice: Choice) -> Sentence:
    """That what was asked for carries nothing in this heat, and what does."""
    code = code_of(choice.book)
    table = code.ambient.ground_table if need.run.method == "D1" else code.ambient.air_table
    cable, clamp = better.insulation_c != need.insulation_c, better.terminal_c != need.terminal_c
    key = "too_hot_both" if cable and clamp else "too_hot_terminals" if clamp else "too_hot"
    return sentence(
        f"wiring.{key}",
        run=need.title,
        own_c=need.insulation_c,
        terminal_c=need.terminal_c,
        ambient_c=max(need.ambient_c, need.box_c),
        better_c=better.insulation_c,
        better_terminal_c=better.terminal_c,
        size=choice.label,
        rule=code.table(table).cited,
    )


def _sized(need: RunNeed, book: RuleBook) -> Choice:
    """Choose conductor and device of a run in one rule book.

    The size in use is the user's own where the sketch names one, with all that it breaks.
    Corrected capacity ≥ device ≥ design current always holds for the rules' choice; NFPA 70,
    240.4(B), which lets the device be the next rating above the capacity, is not used, and the
    continuous factor is asked for after correction too, stricter than 215.2(A)(1) and 690.8(B).
    A habit of the trade above the rules (array conductors) is kept, but breaking it is no fault.

    Parameters
    ----------
    need : RunNeed
    book : str

    Raises
    ------
    BadInput
        When no conductor carries it, or voltages and lengths are impossible.

    References
    ----------
    NFPA 70, articles 110.14, 210, 215, 240, 310, 690; IEC 60364-5-52 and IEC 60364-4-43.
    """
    if not need.drop_base_v > 0:
        raise BadInput(sentence("runs.no_voltage", run=need.title, volts=need.drop_base_v))
    case = _Case(need, book, device_of(need, book))
    by_rule, smallest, governs = _by_rule(case)
    used = by_rule
    if need.run.size:
        where = f"{need.field}.size"
        sets, area_mm2, _ = parse_size(need.run.size, where)
        used = case.judge(nearest_below(book, area_mm2, where), sets)
    faults = list(_faults(case, used))
    code = code_of(book)
    thin = used.size.area_mm2 < code.parallel_from_mm2
    if code.parallel_rule and used.parallel > 1 and thin:
        faults.append(
            sentence(
                "runs.not_parallel",
                run=need.title,
                size=used.label,
                least=code.parallel_from,
                rule=code.parallel_rule,
            )
        )
    faults += device_faults(need, book, case.device)
    return Choice(
        book=book,
        design_a=need.design_a(book),
        device=case.device,
        judged=used,
        smallest=smallest,
        governs=governs,
        faults=tuple(faults),
        by_user=bool(need.run.size),
        rule_label=by_rule.label,
        rules=(code_of(book).title, *_rules(case, by_rule)),
        insulation_c=need.insulation_c,
    )
