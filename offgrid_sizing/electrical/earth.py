"""The earth conductor of the boxes and the bank, in both rule books."""

from dataclasses import dataclass

from offgrid_sizing.electrical.run_need import Choice
from offgrid_sizing.electrical.sizes import RuleBook, nearest_below, parse_size, sizes_of
from offgrid_sizing.rule_tables import rule_table
from offgrid_sizing.sketch import Sketch

SMALLEST_MM2 = {"nfpa70": 8.36, "iec60364": 6.0}
_FLOOR_RULE = {
    "nfpa70": "NFPA 70, 250.166: not below 8 AWG (from memory)",
    "iec60364": "IEC 60364-5-54, 542.3 and 544.1: not below 6 mm² copper (from memory)",
}


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


def _nfpa_mm2(choices: list[Choice]) -> tuple[float, str]:
    table = rule_table("nfpa70_250_122")
    largest_a = max((c.device.rating_a for c in choices if c.device), default=0.0)
    areas = {size.label: size.area_mm2 for size in sizes_of("nfpa70")}
    rows = zip(table.numbers("device_max_a"), table.texts("size"), strict=True)
    label = next((size for most, size in rows if largest_a <= most), table.texts("size")[-1])
    return areas[label], f"largest device ahead, {largest_a:g} A ({table.source})"


def _iec_mm2(choices: list[Choice]) -> tuple[float, str]:
    table = rule_table("iec60364_5_54_t54_2")
    line_mm2 = max((c.judged.size.area_mm2 * c.judged.parallel for c in choices), default=0.0)
    rows = zip(
        table.numbers("line_max_mm2"),
        table.numbers("constant_mm2"),
        table.numbers("share"),
        strict=True,
    )
    constant, share = next((fixed, part) for most, fixed, part in rows if line_mm2 <= most)
    return constant + share * line_mm2, f"largest conductor, {line_mm2:g} mm² ({table.source})"


def earth_choice(sketch: Sketch, choices: list[Choice], book: RuleBook) -> EarthChoice:
    """Smallest earth conductor for the largest device or conductor of the whole system.

    Parameters
    ----------
    sketch : Sketch
    choices : list of Choice
        All runs in this rule book.
    book : {"nfpa70", "iec60364"}

    References
    ----------
    NFPA 70, Table 250.122 and 250.166; IEC 60364-5-54, Table 54.2.
    """
    wanted, because = _nfpa_mm2(choices) if book == "nfpa70" else _iec_mm2(choices)
    floor = SMALLEST_MM2[book]
    if wanted < floor:
        wanted, because = floor, _FLOOR_RULE[book]
    largest = sizes_of(book)[-1]
    size = next((s for s in sizes_of(book) if s.area_mm2 >= wanted * 0.999), largest)
    used = size
    faults: tuple[str, ...] = ()
    own = sketch.wiring.earth.size
    if own:
        sets, area_mm2, _ = parse_size(own, "wiring.earth.size")
        used = nearest_below(book, area_mm2 * sets, "wiring.earth.size")
        if used.area_mm2 < size.area_mm2 * 0.999:
            faults = (f"Earth, {used.label}: the rule asks for {size.label} ({because}).",)
    return EarthChoice(
        book=book,
        label=used.label,
        area_mm2=used.area_mm2,
        because=because,
        rules=(because, _FLOOR_RULE[book]),
        faults=faults,
        by_user=bool(own),
        rule_label=size.label,
        length_m=sketch.wiring.earth.length_m,
    )
