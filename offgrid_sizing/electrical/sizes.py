"""Conductor sizes in both systems, AWG and mm², and the way from one to the other."""

import re
from dataclasses import dataclass
from functools import cache
from math import pi
from pathlib import Path

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.wiring_code import WIRING_CODES, WiringCode
from offgrid_sizing.words import sentence

RuleBook = str  # a name in `WIRING_CODES`
MM2_PER_KCMIL = 0.5067075
_WRITTEN = re.compile(
    r"^(?:(?P<sets>\d)\s*[x×]\s*)?(?P<number>\d+(?:[.,]\d+)?|[1-4]/0)\s*"
    r"(?P<unit>AWG|kcmil|mm2|mm²)$",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Size:
    """A conductor size of one rule book: its name there and its nominal metal section. [mm²]"""

    label: str
    area_mm2: float


def awg_diameter_mm(gauge: str) -> float:
    """Diameter of a solid conductor. [mm]

    Parameters
    ----------
    gauge : str
        "14" to "1", or "1/0" to "4/0".

    References
    ----------
    ASTM B258: d = 0.005 in × 92^((36 − n) / 39), with n = 0, −1, −2, −3 for 1/0 to 4/0.

    >>> round(awg_diameter_mm("10"), 3)
    2.588
    """
    number = 1 - int(gauge[0]) if gauge.endswith("/0") else int(gauge)
    return 0.127 * 92 ** ((36 - number) / 39)


def awg_area_mm2(gauge: str) -> float:
    """Metal section of an American wire gauge. [mm²]

    >>> round(awg_area_mm2("2"), 1)
    33.6
    """
    return pi / 4 * awg_diameter_mm(gauge) ** 2


def code_of(book: RuleBook) -> WiringCode:
    """The wiring code of that name.

    Raises
    ------
    BadInput
        When there is none: no other code ever stands in.
    """
    if book not in WIRING_CODES:
        known = ", ".join(WIRING_CODES)
        raise BadInput(sentence("code.unknown", book=book, known=known))
    return WIRING_CODES[book]


def _label_area_mm2(label: str) -> float:
    number, unit = label.split()
    return awg_area_mm2(number) if unit == "AWG" else float(number) * MM2_PER_KCMIL


def sizes_of(book: RuleBook) -> tuple[Size, ...]:
    """All sizes of a rule book's ampacity tables, smallest first."""
    return _sizes(code_of(book).folder, book)


@cache
def _sizes(_folder: Path, book: RuleBook) -> tuple[Size, ...]:
    code = code_of(book)
    table = code.table(code.size_table)
    if code.size_unit == "AWG":
        return tuple(Size(label, _label_area_mm2(label)) for label in table.texts("size"))
    sections = table.numbers("section_mm2")
    return tuple(Size(sentence("code.section", mm2=section), section) for section in sections)


def parse_size(text: str, where: str = "size") -> tuple[int, float, str]:
    """Read a size a person typed: "2 AWG", "1/0 AWG", "250 kcmil", "35 mm2", "2 x 70 mm2".

    Parameters
    ----------
    text : str
    where : str
        Name of the field, for the message.

    Returns
    -------
    (int, float, str)
        Conductors in parallel, section of one in mm², and the size written plainly.

    Raises
    ------
    BadInput
    """
    found = _WRITTEN.match(text.strip())
    if not found:
        raise BadInput(sentence("code.no_size", where=where, text=text))
    number, unit = found["number"].replace(",", "."), found["unit"].lower()
    sets = int(found["sets"] or 1)
    if unit.startswith("mm"):
        area_mm2, label = float(number), f"{float(number):g} mm²"
    elif unit == "kcmil":
        area_mm2, label = float(number) * MM2_PER_KCMIL, f"{float(number):g} kcmil"
    else:
        if "." in number or (not number.endswith("/0") and int(number) > 40):
            raise BadInput(sentence("code.no_gauge", where=where, text=text))
        area_mm2, label = awg_area_mm2(number), f"{number} AWG"
    if sets == 0 or area_mm2 <= 0:
        raise BadInput(sentence("code.no_metal", where=where, text=text))
    return sets, area_mm2, label


def nearest_below(book: RuleBook, area_mm2: float, where: str = "size") -> Size:
    """Largest tabulated size whose metal does not exceed the given section.

    Judging a foreign size by the next smaller one errs on the safe side.

    Raises
    ------
    BadInput
        When the section is smaller than the table's smallest.
    """
    fitting = [size for size in sizes_of(book) if size.area_mm2 <= area_mm2 * 1.001]
    if not fitting:
        smallest = sizes_of(book)[0].label
        raise BadInput(
            sentence("code.below_smallest", where=where, area_mm2=area_mm2, smallest=smallest)
        )
    return fitting[-1]
