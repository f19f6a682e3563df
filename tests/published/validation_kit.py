"""What the tests of this folder hold against outside truth, written down as the guide's report.

The fixture `validated` of `conftest.py` asserts and keeps what it asserted; the report is made of
that alone. `test_validation_report.py` fails when the committed report says something else.
Write it anew, after the reason of a difference is understood:

    .venv/bin/python tests/published/validation_kit.py
"""

import sys
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest

HERE = Path(__file__).resolve().parent
REPORT = HERE.parents[1] / "offgrid_sizing" / "guide" / "validation.md"
HEAD = HERE / "validation_head.md"
TAIL = HERE / "validation_tail.md"
SHOWN = 6  # values of a row written out; of more, the first, the last and how many
GROUPS = {
    "test_loads_published": "Loads",
    "test_solar_published": "Sun, sky and light on a plane",
    "test_solar_stations": "The built-in climate against typical years of stations",
    "test_cold_limit_published": "The coldest air for strings",
    "test_measured_array": "A measured array",
    "test_solar_array_needed": "The array asked for by synthetic and by real years",
    "test_extended_years": "A typical year extended to many",
    "test_cell_temperature_published": "Cell temperature, module power and yields",
    "test_practice_published": "Bank and practice",
    "test_ageing_published": "Wear of the bank",
    "test_sizing_published": "Hand methods of sizing",
    "test_electrical_strings_published": "Strings",
    "test_electrical_conductors_published": "Conductors and protection",
    "test_economics_published": "Money and fuel",
}


@dataclass
class Row:
    """One check: what, against which source, the values on both sides, the difference allowed."""

    what: str
    source: str
    unit: str
    allowed: str
    published: list[float] = field(default_factory=list)
    computed: list[float] = field(default_factory=list)


RECORD: dict[str, dict[tuple[str, str], Row]] = {}


def keep(module: str, row: Row) -> None:
    """Add a check to the record; one of the same name and source gets the values."""
    rows = RECORD.setdefault(module, {})
    held = rows.setdefault((row.what, row.source), row)
    if held is not row:
        held.published += row.published
        held.computed += row.computed


class Validated:
    """Asserts a computed value against a published one and keeps both for the report."""

    def __init__(self, module: str):
        self.module = module

    def __call__(self, what, source, computed, published, unit="", *, abs=None, rel=None):
        """`computed` must equal `published` within `abs` or `rel`, exactly where neither is given.

        Both may be numbers or sequences of one length. [unit]
        """
        got, told = (np.atleast_1d(np.asarray(one, float)) for one in (computed, published))
        assert got.shape == told.shape
        margin = {"abs": abs, "rel": rel} if abs or rel else {"abs": 1e-9, "rel": 1e-12}
        allowed = _number(abs, 2) if abs else f"{_number(100 * rel, 2)} %" if rel else "0"
        row = Row(what, source, unit, allowed, told.ravel().tolist(), got.ravel().tolist())
        keep(self.module, row)
        assert got == pytest.approx(told, **margin), f"{what} ({source})"

    def error(self, what, source, error, limit, unit=""):
        """A measured error, which must not pass its limit; there is no value to print beside it."""
        keep(self.module, Row(what, source, unit, _number(limit, 3), [], [float(error)]))
        assert error <= limit, f"{what} ({source})"


def report() -> str:
    """The whole report as Markdown."""
    rows = [row for kept in RECORD.values() for row in kept.values()]
    told = [row for row in rows if row.published]
    values = sum(len(row.published) for row in told)
    counts = {"checks": len(told), "values": values, "errors": len(rows) - len(told)}
    head = HEAD.read_text(encoding="utf-8").format(**counts)
    groups = [section(module) for module in GROUPS if module in RECORD]
    return "\n".join([head, *groups, TAIL.read_text(encoding="utf-8")])


def section(module: str) -> str:
    """The report's table of one file of tests."""
    lines = [
        f"## {GROUPS[module]}",
        "",
        "| what | published | computed | largest difference | allowed | unit | source |",
        "|---|---|---|---|---|---|---|",
        *(_line(row) for row in RECORD[module].values()),
        "",
    ]
    return "\n".join(lines)


def _line(row: Row) -> str:
    cells = (
        row.what,
        _values(row.published, 6) if row.published else "–",
        _values(row.computed, 5 if row.published else 3),
        _difference(row) if row.published else "–",
        row.allowed,
        row.unit,
        row.source,
    )
    return "| " + " | ".join(cell.replace("|", "/") for cell in cells) + " |"


def _values(values: list[float], digits: int) -> str:
    if len(values) > SHOWN:
        first, last = values[0], values[-1]
        return f"{len(values)} values, {_number(first, digits)} to {_number(last, digits)}"
    return "; ".join(_number(value, digits) for value in values)


def _number(value: float, digits: int) -> str:
    """A number with so many digits, without exponent, minus sign and trailing zeros."""
    rounded = float(f"{value:.{digits}g}")
    text = f"{rounded:.9f}".rstrip("0").rstrip(".")
    return text.replace("-", "−")


def _difference(row: Row) -> str:
    gaps = np.array(row.computed) - np.array(row.published)
    worst = float(gaps[np.argmax(np.abs(gaps))])
    size = max(np.max(np.abs(row.published)), 1.0)
    return "0" if abs(worst) < 1e-8 * size else _number(worst, 2)


def main() -> int:
    """Run the tests of this folder and write the report if they hold."""
    import validation_kit as shared  # the copy that the tests fill

    code = pytest.main([str(HERE), "-q", "-k", "not validation_report"])
    if code == 0:
        shared.REPORT.write_text(shared.report(), encoding="utf-8", newline="\n")
    return int(code)


if __name__ == "__main__":
    sys.path.insert(0, str(HERE))
    sys.exit(main())
