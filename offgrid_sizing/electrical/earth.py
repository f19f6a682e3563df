"""The earth conductor of the boxes and the bank, by each rule book."""

from dataclasses import dataclass

from offgrid_sizing.electrical.code_rules import earth_mm2
from offgrid_sizing.electrical.run_need import Choice
from offgrid_sizing.electrical.sizes import RuleBook, code_of, nearest_below, parse_size, sizes_of
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import Sentence, sentence


@dataclass(frozen=True)
class EarthChoice:
    """Earth conductor in one rule book.

    Parameters
    ----------
    book : str
    label, area_mm2 : str, float
        Size in use.
    because : str
        What decided: the largest device or line conductor, or the rule's floor.
    rules : tuple of str
    faults : tuple of str
        What a user's own size breaks.
    by_user : bool
    rule_label : str
    length_m : float
        One way, to the earth point. [m]
    """

    book: RuleBook
    label: str
    area_mm2: float
    because: str
    rules: tuple[str, ...]
    faults: tuple[str, ...]
    by_user: bool
    rule_label: str
    length_m: float


def _too_small(own: str, size: str, because: str) -> Sentence:
    return sentence("runs.earth_too_small", own=own, size=size, because=because)


def earth_choice(sketch: Sketch, choices: list[Choice], book: RuleBook) -> EarthChoice:
    """Smallest earth conductor for the largest device or conductor of the whole system.

    Parameters
    ----------
    sketch : Sketch
    choices : list of Choice
        All runs in this rule book.
    book : str

    References
    ----------
    NFPA 70, Table 250.122 and 250.166; IEC 60364-5-54, Table 54.2.
    """
    wanted, because = earth_mm2(book, choices)
    rule = code_of(book).earth
    if wanted < rule.floor_mm2:
        wanted, because = rule.floor_mm2, rule.floor_rule
    largest = sizes_of(book)[-1]
    size = next((s for s in sizes_of(book) if s.area_mm2 >= wanted * 0.999), largest)
    used = size
    faults: tuple[str, ...] = ()
    own = sketch.wiring.earth.size
    if own:
        sets, area_mm2, _ = parse_size(own, "wiring.earth.size")
        used = nearest_below(book, area_mm2 * sets, "wiring.earth.size")
        if used.area_mm2 < size.area_mm2 * 0.999:
            faults = (_too_small(used.label, size.label, because),)
    return EarthChoice(
        book=book,
        label=used.label,
        area_mm2=used.area_mm2,
        because=because,
        rules=(because, rule.floor_rule),
        faults=faults,
        by_user=bool(own),
        rule_label=size.label,
        length_m=sketch.wiring.earth.length_m,
    )
