"""What a conductor may carry: table value, air temperature, company, and its resistance."""

from collections.abc import Callable
from math import sqrt
from typing import Literal

from offgrid_sizing.electrical.sizes import RuleBook, Size, code_of
from offgrid_sizing.rule_tables import RuleTable, rule_table
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.wiring_code import Ampacity
from offgrid_sizing.words import sentence

Method = Literal["free_air", "B1", "B2", "C", "D1", "E"]
FT_PER_KM = 3280.84
_PER_M: dict[str, Callable[[float], float]] = {
    "ohm_per_km": lambda given: given / 1000,
    "ohm_per_kft": lambda given: given * FT_PER_KM / 1e6,
}
PV_CABLE_C = 120.0  # EN 50618, conductor temperature of its table


class TooHot(BadInput):
    """The surroundings are as hot as the conductor may get."""


def _column_c(book: RuleBook, conductor_c: float) -> int:
    """The tabulated conductor temperature at or below the one allowed. [°C]"""
    held = code_of(book).columns_c
    below = [column for column in held if column <= conductor_c]
    return below[-1] if below else held[0]


def _entry(book: RuleBook, method: Method, conductor_c: float, loaded: int) -> Ampacity:
    code, column_c = code_of(book), _column_c(book, conductor_c)
    for entry in code.ampacity:
        fits = entry.conductor_c in (None, column_c) and entry.loaded in (None, loaded)
        if method in entry.methods and fits:
            return entry
    raise BadInput(
        sentence(
            "code.no_ampacity", code=code.short, loaded=loaded, column_c=column_c, method=method
        )
    )


def _row(table: RuleTable, size: Size) -> int:
    """Row of a size, by its name or its section, whichever the table lists."""
    if "size" in table.columns:
        return table.texts("size").index(size.label)
    return table.numbers("section_mm2").index(size.area_mm2)


def ampacity_table(book: RuleBook, method: Method, conductor_c: float, loaded: int) -> RuleTable:
    """The table that rates a conductor laid this way.

    Parameters
    ----------
    conductor_c : float
        Highest conductor temperature allowed by insulation or terminal. [°C]
    loaded : int
        Loaded conductors of the circuit, 2 or 3 (IEC only).
    """
    return code_of(book).table(_entry(book, method, conductor_c, loaded).table)


def base_ampacity_a(
    book: RuleBook, size: Size, method: Method, conductor_c: float, loaded: int = 2
) -> float:
    """Table value at the table's own air temperature. [A]

    NFPA 70: Table 310.17 in free air, 310.16 elsewhere. IEC 60364-5-52: Tables B.52.2 to B.52.5
    by method; in free air single-core touching (F) from 25 mm², multi-core (E) below that.

    >>> base_ampacity_a("iec60364", Size("10 mm²", 10), "C", 70)
    63.0
    """
    entry = _entry(book, method, conductor_c, loaded)
    table, column_c = code_of(book).table(entry.table), _column_c(book, conductor_c)
    row = _row(table, size)
    columns = (c.format(method=method, loaded=loaded, column_c=column_c) for c in entry.columns)
    return next((value for c in columns if (value := table.numbers(c)[row])), 0.0)


def ambient_factor(
    book: RuleBook, conductor_c: float, ambient_c: float, *, in_ground: bool = False
) -> float:
    """Correction of the table value for the air (or ground) round the conductor.

    A temperature between two rows takes the warmer row. A terminal of 60 °C has no IEC column:
    the 70 °C value is lowered by the square-root law of the temperature rise.

    Raises
    ------
    TooHot
        When the surroundings are as hot as the conductor may get.
    """
    column_c = _column_c(book, conductor_c)
    code = code_of(book)
    rule = code.ambient
    table = code.table(rule.ground_table if in_ground else rule.air_table)
    column, steps = rule.columns[str(column_c)], rule.step_column
    rows = zip(table.numbers(steps), table.numbers(column), strict=True)
    factor = next((value for step, value in rows if ambient_c <= step), 0.0)
    if conductor_c < column_c:
        factor = sqrt(max(0.0, conductor_c - ambient_c) / (column_c - 30))
    if factor == 0.0:
        raise TooHot(
            sentence("code.too_hot", ambient_c=ambient_c, conductor_c=min(column_c, conductor_c))
        )
    return factor


def grouping_factor(book: RuleBook, circuits: int, loaded: int = 2) -> float:
    """Reduction for circuits laid together.

    NFPA 70 Table 310.15(C)(1) counts current-carrying conductors, IEC 60364-5-52 Table B.52.17
    counts circuits.

    Raises
    ------
    BadInput
        Beyond the end of the table.
    """
    code = code_of(book)
    rule = code.grouping
    table, column = code.table(rule.table), rule.most_column
    count = circuits * loaded if rule.counts == "conductors" else circuits
    rows = zip(table.numbers(column), table.numbers("factor"), strict=True)
    factor = next((value for most, value in rows if count <= most), None)
    if factor is None:
        raise BadInput(sentence("code.too_many_together", circuits=circuits, end=rule.end))
    return factor


def pv_cable_ampacity_a(size: Size, ambient_c: float, table: RuleTable | None = None) -> float:
    """Capacity of photovoltaic cable, two cables touching on a surface; 0 if not tabulated. [A]

    EN 50618 Table A.3 holds for air up to 60 °C; above, the square-root law with its conductor
    temperature of 120 °C.
    """
    table = table or rule_table("en50618")
    sections = table.numbers("section_mm2")
    if size.area_mm2 not in sections:
        return 0.0
    base_a = table.numbers("touching_on_surface")[sections.index(size.area_mm2)]
    return base_a * min(1.0, sqrt((PV_CABLE_C - ambient_c) / (PV_CABLE_C - 60)))


def resistance_ohm_per_m(
    book: RuleBook, size: Size, conductor_c: float, *, flexible: bool = True
) -> float:
    """Direct-current resistance of one conductor at its temperature. [Ω/m]

    NFPA 70 chapter 9 table 8 (stranded, uncoated, 75 °C) with its note's coefficient;
    IEC 60228 class 5 (flexible) or class 2 with 0.00393 per K from 20 °C.

    >>> size = Size("16 mm²", 16)
    >>> round(resistance_ohm_per_m("iec60364", size, 20) * 3 * 2 * 50, 3)
    0.363
    """
    code = code_of(book)
    rule = code.resistance
    table = code.table(rule.table)
    given = table.numbers(rule.flexible if flexible else rule.fixed)[_row(table, size)]
    return _PER_M[rule.unit](given) * (1 + rule.per_k * (conductor_c - rule.base_c))


def voltage_drop_v(resistance_per_m: float, length_m: float, current_a: float) -> float:
    """Drop along both conductors of a run, there and back. [V]

    Raises
    ------
    BadInput
        When the length is not above zero.
    """
    if not length_m > 0:
        raise BadInput(sentence("code.no_length", length_m=length_m))
    return 2 * length_m * resistance_per_m * current_a
