"""What a conductor may carry: table value, air temperature, company, and its resistance."""

from math import sqrt
from typing import Literal

from offgrid_sizing.electrical.sizes import RuleBook, Size
from offgrid_sizing.rule_tables import RuleTable, rule_table
from offgrid_sizing.sketch import BadInput

Method = Literal["free_air", "B1", "B2", "C", "D1", "E"]
FT_PER_KM = 3280.84
COPPER_PER_K = 0.00393  # IEC 60028, relative to 20 °C
NFPA_COPPER_PER_K = 0.00323  # NFPA 70, chapter 9, table 8, note 2, relative to 75 °C
PV_CABLE_C = 120.0  # EN 50618, conductor temperature of its table


def _column_c(book: RuleBook, conductor_c: float) -> int:
    """The tabulated conductor temperature at or below the one allowed. [°C]"""
    held = (60, 75, 90) if book == "nfpa70" else (70, 90)
    below = [column for column in held if column <= conductor_c]
    return below[-1] if below else held[0]


def ampacity_table(book: RuleBook, method: Method, conductor_c: float, loaded: int) -> RuleTable:
    """The table that rates a conductor laid this way.

    Parameters
    ----------
    conductor_c : float
        Highest conductor temperature allowed by insulation or terminal. [°C]
    loaded : int
        Loaded conductors of the circuit, 2 or 3 (IEC only).
    """
    if book == "nfpa70":
        return rule_table("nfpa70_310_17" if method == "free_air" else "nfpa70_310_16")
    hot = _column_c(book, conductor_c) == 90
    if method in ("free_air", "E"):
        return rule_table(f"iec60364_5_52_b52_{12 if hot else 10}")
    return rule_table(f"iec60364_5_52_b52_{(3 if hot else 2) + (2 if loaded == 3 else 0)}")


def base_ampacity_a(
    book: RuleBook, size: Size, method: Method, conductor_c: float, loaded: int = 2
) -> float:
    """Table value at the table's own air temperature. [A]

    NFPA 70: Table 310.17 in free air, 310.16 elsewhere. IEC 60364-5-52: Tables B.52.2 to B.52.5
    by method; in free air single-core touching (F) from 25 mm², multi-core (E) below that.

    >>> base_ampacity_a("iec60364", Size("10 mm²", 10), "C", 70)
    63.0
    """
    table = ampacity_table(book, method, conductor_c, loaded)
    column_c = _column_c(book, conductor_c)
    if book == "nfpa70":
        row = table.texts("size").index(size.label)
        return table.numbers(f"c{column_c}")[row]
    row = table.numbers("section_mm2").index(size.area_mm2)
    if method in ("free_air", "E"):
        touching = table.numbers(f"F{loaded}")[row] if method == "free_air" else 0.0
        return touching or table.numbers(f"E{loaded}")[row]
    return table.numbers(method)[row]


def ambient_factor(
    book: RuleBook, conductor_c: float, ambient_c: float, *, in_ground: bool = False
) -> float:
    """Correction of the table value for the air (or ground) round the conductor.

    A temperature between two rows takes the warmer row. A terminal of 60 °C has no IEC column:
    the 70 °C value is lowered by the square-root law of the temperature rise.

    Raises
    ------
    BadInput
        When the surroundings are as hot as the conductor may get.
    """
    column_c = _column_c(book, conductor_c)
    if book == "nfpa70":
        table, column, steps = rule_table("nfpa70_310_15_b_1"), f"c{column_c}", "upper_c"
    else:
        table = rule_table(f"iec60364_5_52_b52_{15 if in_ground else 14}")
        column, steps = "xlpe" if column_c == 90 else "pvc", "ambient_c"
    rows = zip(table.numbers(steps), table.numbers(column), strict=True)
    factor = next((value for step, value in rows if ambient_c <= step), 0.0)
    if conductor_c < column_c:
        factor = sqrt(max(0.0, conductor_c - ambient_c) / (column_c - 30))
    if factor == 0.0:
        raise BadInput(
            f"wiring: {ambient_c:g} °C round the conductor leaves no room under its "
            f"{min(column_c, conductor_c):g} °C: choose insulation for a higher temperature or a "
            "cooler way."
        )
    return factor


def grouping_factor(book: RuleBook, circuits: int, loaded: int = 2) -> float:
    """Reduction for circuits laid together.

    NFPA 70 Table 310.15(C)(1) counts current-carrying conductors, IEC 60364-5-52 Table B.52.17
    counts circuits.

    Raises
    ------
    BadInput
        Beyond the 20 circuits of the IEC table.
    """
    if book == "nfpa70":
        table, count, column = rule_table("nfpa70_310_15_c_1"), circuits * loaded, "conductors_max"
    else:
        table, count, column = rule_table("iec60364_5_52_b52_17"), circuits, "circuits"
    rows = zip(table.numbers(column), table.numbers("factor"), strict=True)
    factor = next((value for most, value in rows if count <= most), None)
    if factor is None:
        raise BadInput(
            f"wiring: {circuits} circuits laid together are beyond Table B.52.17 (20): "
            "split them over several ways."
        )
    return factor


def pv_cable_ampacity_a(size: Size, ambient_c: float) -> float:
    """Capacity of photovoltaic cable, two cables touching on a surface; 0 if not tabulated. [A]

    EN 50618 Table A.3 holds for air up to 60 °C; above, the square-root law with its conductor
    temperature of 120 °C.
    """
    table = rule_table("en50618")
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
    if book == "nfpa70":
        table = rule_table("nfpa70_ch9_t8")
        row = table.texts("size").index(size.label)
        per_kft = table.numbers("stranded_ohm_per_kft")[row]
        return per_kft * FT_PER_KM / 1e6 * (1 + NFPA_COPPER_PER_K * (conductor_c - 75))
    table = rule_table("iec60228")
    column = "class5_ohm_per_km" if flexible else "class2_ohm_per_km"
    per_km = table.numbers(column)[table.numbers("section_mm2").index(size.area_mm2)]
    return per_km / 1000 * (1 + COPPER_PER_K * (conductor_c - 20))


def voltage_drop_v(resistance_per_m: float, length_m: float, current_a: float) -> float:
    """Drop along both conductors of a run, there and back. [V]

    Raises
    ------
    BadInput
        When the length is not above zero.
    """
    if not length_m > 0:
        raise BadInput(f"wiring: a run's length must be above 0 m (got {length_m:g}).")
    return 2 * length_m * resistance_per_m * current_a
