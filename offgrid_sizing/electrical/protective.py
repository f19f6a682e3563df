"""The protective conductor of each run, by the code's own rule, enlarged where the line is."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from offgrid_sizing.electrical.run_need import Choice
from offgrid_sizing.electrical.sizes import RuleBook, Size, code_of, parse_size, sizes_of
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.wiring_code import WiringCode
from offgrid_sizing.words import Said, said, sentence

_BY_CURRENT = ("ampacity", "terminal", "device")


@dataclass(frozen=True)
class ProtectiveConductor:
    """The protective conductor of one run in one rule book.

    Parameters
    ----------
    book, label : str
    area_mm2 : float
        Section in use. [mm²]
    because : Said
        What decided it.
    rules : tuple of str
    enlarged : float
        Line conductor over the smallest its current asks for; 1 where the code asks for nothing
        more or the line is no larger.
    """

    book: RuleBook
    label: str
    area_mm2: float
    because: Said
    rules: tuple[str, ...]
    enlarged: float


def line_mm2(choice: Choice) -> float:
    """All parallel sets of the line conductor together. [mm²]"""
    return choice.judged.size.area_mm2 * choice.judged.parallel


def enlargement(choice: Choice) -> float:
    """The line conductor over the smallest that current, terminals and device allow; at least 1.

    References
    ----------
    NFPA 70, 250.122(B): in proportion to the section, where ungrounded conductors are larger than
    their ampacity asks for.
    """
    parsed = [parse_size(label) for name, label in choice.smallest if name in _BY_CURRENT]
    return max(1.0, line_mm2(choice) / max(sets * area_mm2 for sets, area_mm2, _ in parsed))


def _by_device(code: WiringCode, choice: Choice) -> tuple[float, Said]:
    """By the device ahead; without one by the current asked for, as if a device were so rated."""
    table = code.table(code.protective.table)
    device_a = choice.device.rating_a if choice.device else choice.design_a
    areas = {size.label: size.area_mm2 for size in sizes_of(code.name)}
    rows = zip(table.numbers("device_max_a"), table.texts("size"), strict=True)
    label = next((size for most, size in rows if device_a <= most), table.texts("size")[-1])
    key = "device" if choice.device else "no_device"
    return areas[label], said(f"earthing.protective.{key}", device_a=round(device_a, 1))


def _by_line_conductor(code: WiringCode, choice: Choice) -> tuple[float, Said]:
    """By the line conductor: constant + share of its section."""
    table = code.table(code.protective.table)
    line = line_mm2(choice)
    columns = (table.numbers(name) for name in ("line_max_mm2", "constant_mm2", "share"))
    rows = zip(*columns, strict=True)
    constant, share = next((fixed, part) for most, fixed, part in rows if line <= most)
    return constant + share * line, said("earthing.protective.line", line_mm2=round(line, 2))


PROTECTIVE_RULES: Mapping[str, Callable[[WiringCode, Choice], tuple[float, Said]]] = {
    "by_device": _by_device,
    "by_line_conductor": _by_line_conductor,
}


def protective_conductor(choice: Choice) -> ProtectiveConductor:
    """Smallest protective conductor of a run, of copper, in the rule book of its choice.

    It never has to be larger than the line conductor itself (NFPA 70, 250.122(A)).

    Raises
    ------
    BadInput
        When the code names a rule that is not known.

    References
    ----------
    NFPA 70, Table 250.122 and 250.122(B); IEC 60364-5-54, Table 54.2 and 543.1.3.
    """
    code = code_of(choice.book)
    rule = code.protective
    if rule.rule not in PROTECTIVE_RULES:
        known = ", ".join(PROTECTIVE_RULES)
        raise BadInput(sentence("code.unknown_rule", code=code.short, rule=rule.rule, known=known))
    table_mm2, because = PROTECTIVE_RULES[rule.rule](code, choice)
    grown = enlargement(choice) if rule.enlarged_rule else 1.0
    wanted = table_mm2 * grown
    rules = [code.table(rule.table).cited]
    if grown > 1.001:
        rules.append(rule.enlarged_rule)
        because = said("earthing.protective.enlarged", because=because, times=round(grown, 2))
    if wanted < rule.floor_mm2:
        wanted, because = rule.floor_mm2, said("earthing.protective.floor")
        rules.append(rule.floor_rule)
    size = _size(choice, min(wanted, max(line_mm2(choice), rule.floor_mm2)))
    return ProtectiveConductor(
        choice.book, size.label, size.area_mm2, because, tuple(rules), max(1.0, grown)
    )


def _size(choice: Choice, wanted_mm2: float) -> Size:
    sizes = sizes_of(choice.book)
    return next((one for one in sizes if one.area_mm2 >= wanted_mm2 * 0.999), sizes[-1])
