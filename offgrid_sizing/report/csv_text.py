"""Tables as CSV whose cells a spreadsheet never takes for formulas, whoever wrote the text."""

import re
from typing import Any

import pandas as pd

from offgrid_sizing.printable import printable

# Signs that open a formula, also as full-width letters; and the semicolon, at which spreadsheets
# of half the world begin the next cell.
_OPENS_FORMULA = re.compile(r"(?:^|(?<=;))(?=\s*[=+\-@＝＋－＠])")


def safe_cell(value: Any) -> Any:
    """A cell as it is, but text in one line, and marked as text where it would be a formula."""
    return _OPENS_FORMULA.sub("'", printable(value)) if isinstance(value, str) else value


def csv_text(frame: pd.DataFrame, *, header: bool = True, float_format: str | None = None) -> str:
    """A table as CSV without its index; every text, headings too, through `safe_cell`."""
    columns = (frame.iloc[:, place] for place in range(frame.shape[1]))
    safe = pd.DataFrame(
        {
            place: column if column.dtype.kind in "biufM" else column.map(safe_cell)
            for place, column in enumerate(columns)
        },
        index=frame.index,
    )
    safe.columns = [safe_cell(str(name)) for name in frame.columns]
    return safe.to_csv(index=False, header=header, float_format=float_format)
