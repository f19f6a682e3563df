"""Numbers as meters and spreadsheets write them: decimal commas, thousands signs, units."""

import re

import numpy as np
import pandas as pd

_NUMBER = re.compile(
    r"^[+\-−]?(?:\d{1,3}(?:[.,'’ \u00a0\u202f]\d{3})+|\d+)?(?:[.,]\d+)?(?:[eE][+-]?\d+)?"
    r"\s*(?:[kKM]?[Ww][Hh]?)?$"
)
LARGEST = 1e15  # beyond it no meter counts, and squares stay finite
_MISSING = {"", "-", "--", "na", "n/a", "nan", "null", "none", "missing", "nd", "#n/a", "?"}


def looks_like_number(text: str) -> bool:
    """Whether a cell is one number, with or without its unit."""
    text = text.strip()
    return bool(text) and any(c.isdigit() for c in text) and bool(_NUMBER.match(text))


def decimal_of(cells: list[str]) -> str:
    """The decimal sign a column uses: '.' or ','.

    The last sign of a cell that holds both is the decimal sign. A column of commas alone is
    decimal unless every comma is followed by exactly three digits and the value is not below one.
    """
    commas = [cell for cell in cells if "," in cell]
    points = [cell for cell in cells if "." in cell]
    for cell in commas:
        if "." in cell:
            return "," if cell.rfind(",") > cell.rfind(".") else "."
    if not commas:
        several = [cell for cell in points if cell.count(".") > 1]
        return "," if several else "."
    grouped = all(re.fullmatch(r"\D*[1-9]\d{0,2}(,\d{3})+\D*", cell.strip()) for cell in commas)
    return "." if grouped else ","


def parse_values(cells: list[str], decimal: str | None = None) -> tuple[np.ndarray, str]:
    """Numbers of a column.

    Parameters
    ----------
    cells : list of str
    decimal : '.' or ',', optional
        Found from the column where not given.

    Returns
    -------
    (float64 array, decimal)
        NaN where a cell is missing, no number, or 1e15 and more.
    """
    if decimal is None:
        decimal = decimal_of(cells)
    text = pd.Series(cells, dtype=object).str.strip()
    text = text.str.replace(r"\s*[kKM]?[Ww][Hh]?$", "", regex=True)
    text = text.str.replace(r"['’ \u00a0\u202f]", "", regex=True).str.replace("−", "-")
    other = "." if decimal == "," else ","
    text = text.str.replace(other, "", regex=False).str.replace(decimal, ".", regex=False)
    text = text.where(text.str.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?"), None)
    values = pd.to_numeric(text, errors="coerce").to_numpy(dtype=float, na_value=np.nan)
    values = np.where(np.abs(values) < LARGEST, values, np.nan)
    return values, decimal


def is_missing(cell: str) -> bool:
    """Whether a cell says that there is no reading."""
    return cell.strip().lower() in _MISSING
