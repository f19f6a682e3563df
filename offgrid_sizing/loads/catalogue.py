"""The appliance catalogue: typical household and small-business appliances, each with a source."""

import csv
import difflib
from dataclasses import dataclass
from functools import cache

from offgrid_sizing.loads.hours import parse_windows
from offgrid_sizing.paths import data_dir
from offgrid_sizing.sketch import Appliance, BadInput
from offgrid_sizing.words import sentence


@dataclass(frozen=True)
class Kind:
    """One row of `data/appliances.csv`.

    `source` says where the power came from; `basis` is "read" (the number stood in a text that
    was looked up), "memory" (recalled) or "practice" (common practice, no source). Hours, duty
    and starting multiples are common practice, no source, unless `source` says otherwise.
    """

    kind: str
    name: str
    category: str
    running_w: float
    power_factor: float
    duty_frac: float
    starting_multiple: float
    standby_w: float
    hours: str
    days: str
    months: str
    driver: str
    critical: bool
    deferrable: bool
    other_names: str
    basis: str
    source: str


_NUMBERS = ("running_w", "power_factor", "duty_frac", "starting_multiple", "standby_w")
_FLAGS = ("critical", "deferrable")
_DAYS = {
    "all": (True,) * 7,
    "weekdays": (True,) * 5 + (False,) * 2,
    "weekend": (False,) * 5 + (True,) * 2,
    "working days": (True,) * 6 + (False,),
}


def _kind(row: dict) -> Kind:
    values = dict(row)
    values.update({name: float(row[name]) for name in _NUMBERS})
    values.update({name: row[name] == "yes" for name in _FLAGS})
    return Kind(**values)


@cache
def all_kinds() -> tuple[Kind, ...]:
    """Every appliance of the catalogue, in its order."""
    path = data_dir() / "appliances.csv"
    with path.open(encoding="utf-8", newline="") as file:
        return tuple(_kind(row) for row in csv.DictReader(file))


@cache
def categories() -> tuple[str, ...]:
    """Categories in the catalogue's order."""
    return tuple(dict.fromkeys(kind.category for kind in all_kinds()))


def kind_named(kind: str) -> Kind:
    """The row of this kind.

    Raises
    ------
    BadInput
        When the catalogue has no such row; names the nearest one.
    """
    rows = {row.kind: row for row in all_kinds()}
    if kind in rows:
        return rows[kind]
    near = difflib.get_close_matches(kind, rows, n=1)
    if near:
        raise BadInput(sentence("household.no_kind_near", kind=kind, near=near[0]))
    raise BadInput(sentence("household.no_kind", kind=kind))


def appliance_from(kind: str, **changes) -> Appliance:
    """An appliance with the catalogue's typical values, some of them changed.

    Parameters
    ----------
    kind : str
        Such as "refrigerator".
    **changes
        Fields of `Appliance` that differ, such as `count=2` or `hours=...`; naming `hours`
        replaces the catalogue's windows.

    Raises
    ------
    BadInput
        When the catalogue has no such row.
    pydantic.ValidationError
        When a change is impossible.

    Examples
    --------
    >>> appliance_from("kettle", count=2).running_w
    2000.0
    """
    row = kind_named(kind)
    windows, run_time_h = parse_windows(row.hours)
    values = {
        "name": row.name,
        "kind": row.kind,
        "days": _DAYS[row.days],
        "months": _months(row.months),
        "windows": windows,
        "run_time_h": run_time_h,
        "driver": row.driver,
        "critical": row.critical,
        "deferrable": row.deferrable,
    }
    values.update({name: getattr(row, name) for name in _NUMBERS})
    if changes.get("hours") is not None:
        values.update(windows=(), run_time_h=None)
    return Appliance(**(values | changes))


def _months(text: str) -> tuple[int, ...]:
    if text == "all":
        return tuple(range(1, 13))
    first, last = (int(part) for part in text.split("-"))
    length = (last - first) % 12 + 1
    return tuple(sorted((first - 1 + step) % 12 + 1 for step in range(length)))
