"""Rules of wiring codes that are algorithms: small functions a code's data names."""

from collections.abc import Callable, Mapping

from offgrid_sizing.electrical.ampacity import Method, ambient_factor, base_ampacity_a
from offgrid_sizing.electrical.run_need import Choice, RunNeed
from offgrid_sizing.electrical.sizes import Size, code_of, sizes_of
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.wiring_code import WiringCode
from offgrid_sizing.words import sentence


def _table_uncorrected(code: WiringCode, need: RunNeed, size: Size) -> float:
    """The enclosed table's value as it stands, or free air where boxes are marked for it. [A]"""
    limit_c = min(need.terminal_c, need.insulation_c)
    method: Method = "free_air" if need.terminals_free_air else "C"
    return base_ampacity_a(code.name, size, method, limit_c, need.loaded)


def _corrected(code: WiringCode, need: RunNeed, size: Size) -> float:
    """The cooler column, corrected for the air in the box. [A]"""
    limit_c = min(need.terminal_c, need.insulation_c)
    method = "free_air" if need.pv_cable else need.run.method
    base_a = base_ampacity_a(code.name, size, method, limit_c, need.loaded)
    return base_a * ambient_factor(code.name, limit_c, need.box_c)


def _largest_device(code: WiringCode, choices: list[Choice]) -> tuple[float, str]:
    """Earth by the largest overcurrent device ahead. [mm²]"""
    table = code.table(code.earth.table)
    largest_a = max((c.device.rating_a for c in choices if c.device), default=0.0)
    areas = {size.label: size.area_mm2 for size in sizes_of(code.name)}
    rows = zip(table.numbers("device_max_a"), table.texts("size"), strict=True)
    label = next((size for most, size in rows if largest_a <= most), table.texts("size")[-1])
    return areas[label], sentence("runs.largest_device", largest_a=largest_a, source=table.source)


def _largest_line_conductor(code: WiringCode, choices: list[Choice]) -> tuple[float, str]:
    """Earth by the largest line conductor: constant + share of its section. [mm²]"""
    table = code.table(code.earth.table)
    line_mm2 = max((c.judged.size.area_mm2 * c.judged.parallel for c in choices), default=0.0)
    columns = (table.numbers(name) for name in ("line_max_mm2", "constant_mm2", "share"))
    rows = zip(*columns, strict=True)
    constant, share = next((fixed, part) for most, fixed, part in rows if line_mm2 <= most)
    return constant + share * line_mm2, sentence(
        "runs.largest_conductor", line_mm2=line_mm2, source=table.source
    )


TERMINAL_RULES: Mapping[str, Callable[[WiringCode, RunNeed, Size], float]] = {
    "table_uncorrected": _table_uncorrected,
    "corrected": _corrected,
}
EARTH_RULES: Mapping[str, Callable[[WiringCode, list[Choice]], tuple[float, str]]] = {
    "largest_device": _largest_device,
    "largest_line_conductor": _largest_line_conductor,
}


def _named(rules: Mapping[str, Callable], name: str, code: WiringCode) -> Callable:
    if name not in rules:
        known = ", ".join(rules)
        raise BadInput(sentence("code.unknown_rule", code=code.short, rule=name, known=known))
    return rules[name]


def terminal_a(book: str, need: RunNeed, size: Size) -> float:
    """What terminals allow one conductor by the code's own rule. [A]"""
    code = code_of(book)
    return _named(TERMINAL_RULES, code.terminal_rule, code)(code, need, size)


def earth_mm2(book: str, choices: list[Choice]) -> tuple[float, str]:
    """Smallest earth section by the code's own rule, before its floor, and why. [mm²]"""
    code = code_of(book)
    return _named(EARTH_RULES, code.earth.rule, code)(code, choices)
