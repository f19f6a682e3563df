"""A plain CSV of weather: documented columns, units and stamps recognised or told.

Columns (any order, any of the names): time; ghi, dni, dhi in W/m²; temp_air in °C; wind_speed in
m/s. At least `time` and one of ghi, or dni with dhi. Lines `# latitude: 12.3`, `# longitude`,
`# elevation_m`, `# utc_offset_h`, `# stamp: begin|middle|end` above the headings are understood.
"""

import csv
import io
import re
import warnings

import numpy as np
import pandas as pd

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.spelling import unaccented
from offgrid_sizing.weather.record import COLUMNS, Record
from offgrid_sizing.words import sentence

MAX_ROWS = 700_000
LONGEST_HEADING = 20_000
_NAMES = {
    "time": (
        "time",
        "timestamp",
        "datetime",
        "date time",
        "date",
        "time utc",
        "utc time",
        "local time",
        "period start",
        "period end",
    ),
    "ghi": (
        "ghi",
        "g h",
        "global horizontal irradiance",
        "global horizontal",
        "global",
        "irradiance",
        "solar radiation",
        "shortwave radiation",
    ),
    "dni": ("dni", "gb n", "direct normal irradiance", "direct normal", "beam normal"),
    "dhi": ("dhi", "gd h", "diffuse horizontal irradiance", "diffuse horizontal", "diffuse"),
    "temp_air": (
        "temp air",
        "t2m",
        "temperature",
        "air temperature",
        "temp",
        "dry bulb",
        "ambient temperature",
        "tamb",
    ),
    "wind_speed": ("wind speed", "ws10m", "wind", "windspeed", "ws"),
}
_DATE_PARTS = {"year", "month", "day", "hour"}
_OFFSET = re.compile(r"(Z|(?<=\d\d:\d\d)[+-]\d\d(?::?\d\d)?)$")
_UNIT = re.compile(r"[\[(]\s*([^\])]*?)\s*[\])]")
_SCALES = {"w/m2": 1.0, "wm-2": 1.0, "w m-2": 1.0, "kw/m2": 1000.0}
_ENERGIES = {
    "wh/m2": 1.0,
    "kwh/m2": 1000.0,
    "kj/m2": 1 / 3.6,
    "mj/m2": 1e6 / 3600,
    "j/m2": 1 / 3600,
}


def _heading(cell: str) -> tuple[str, str, str]:
    """(our column or '', unit text, folded heading)."""
    unit = _UNIT.search(cell)
    base = _UNIT.sub(" ", cell) if unit and unit[1].lower() not in ("h", "n", "utc") else cell
    key = " ".join(re.sub(r"[^a-z0-9]+", " ", unaccented(base)).split())
    for column, names in _NAMES.items():
        if key in names:
            return column, (unit[1] if unit else "").lower().replace("²", "2"), key
    return "", "", key


def _metadata(lines: list[str]) -> dict[str, str]:
    pairs = (line.lstrip("# ").partition(":") for line in lines)
    return {key.strip().lower(): value.strip() for key, sign, value in pairs if sign}


def _number(about: dict[str, str], *names: str) -> float | None:
    for name in names:
        if name in about:
            try:
                return float(about[name])
            except ValueError:
                raise BadInput(
                    sentence("weather.plain.needs_number", name=name, text=about[name][:30])
                ) from None
    return None


def _layout(text: str, name: str) -> tuple[int, str, list[str], dict[str, str]]:
    """Where the headings stand, the separator, the headings, and the lines above."""
    above = []
    for number, line in enumerate(io.StringIO(text)):
        if number > 200:
            break
        if line.lstrip().startswith("#") or not line.strip() or len(line) > LONGEST_HEADING:
            above.append(line[:LONGEST_HEADING])
            continue
        separator = max(";\t,", key=line.count)
        cells = [cell.strip() for cell in next(csv.reader([line.rstrip()], delimiter=separator))]
        if {"ghi", "dni", "dhi"} & {_heading(cell)[0] for cell in cells}:
            return number, separator, cells, _metadata(above)
        above.append(line)
    raise BadInput(sentence("weather.plain.unknown", file=name))


def _joined(table: pd.DataFrame, heads: list[tuple[str, str, str]]) -> pd.Series:
    """Dates and times as text from columns year, month, day, hour and, where there, minute."""
    at = {key: k for k, (_, _, key) in enumerate(heads)}

    def part(key, width):
        return table[at[key]].astype(str).str.replace(r"\.0$", "", regex=True).str.zfill(width)

    minute = part("minute", 2) if "minute" in at else "00"
    return (
        part("year", 4)
        + "-"
        + part("month", 2)
        + "-"
        + part("day", 2)
        + " "
        + part("hour", 2)
        + ":"
        + minute
    )


def _bad_cell(raw: pd.Series, column: str, first_row: int, name: str) -> None:
    """Refuse formulas and words in a column of numbers; what stands for nothing is a gap."""
    text = raw.astype(str).fillna("").str.strip()
    empty = text.str.lower().isin(("", "nan", "na", "n/a", "null", "none", "-", "--", "missing"))
    wrong = pd.to_numeric(raw, errors="coerce").isna() & ~empty
    if not wrong.any():
        return
    at = int(np.flatnonzero(wrong.to_numpy())[0])
    cell = text.iloc[at][:30]
    key = "formula" if cell.startswith(("=", "+", "@")) else "no_number"
    raise BadInput(
        sentence(f"weather.plain.{key}", file=name, line=first_row + at, column=column, cell=cell)
    )


def _without_offset(text: pd.Series) -> tuple[pd.Series, float | None]:
    """Stamps without their offset where all carry the same one, and that offset in hours."""
    found = text.str.extract(_OFFSET, expand=False)
    one = found.iloc[0]
    if not isinstance(one, str) or not (found == one).all():
        return text, None
    sign = -1 if one.startswith("-") else 1
    digits = re.sub(r"\D", "", one).ljust(4, "0")
    hours = 0.0 if one == "Z" else sign * (int(digits[:2]) + int(digits[2:4]) / 60)
    return text.str.replace(_OFFSET, "", regex=True), hours


def _parsed(text: pd.Series) -> pd.Series:
    """Dates and times, NaT where there is none; in UTC where stamps carry differing offsets."""
    first = text.iloc[0]
    form = "%Y%m%d:%H%M" if re.fullmatch(r"\d{8}:\d{4}", first) else "mixed"
    day_first = False
    if re.fullmatch(r"\d{1,2}[./]\d{1,2}[./]\d{4}.*", first):
        numbers = pd.to_numeric(text.str.split(r"[./]", n=1).str[0], errors="coerce")
        day_first = bool(numbers.max() > 12)
        text = text.str.replace(".", "/", n=2, regex=False)
    try:
        return pd.to_datetime(text, format=form, dayfirst=day_first, errors="coerce")
    except ValueError:  # offsets that differ from row to row
        return pd.to_datetime(text, format=form, dayfirst=day_first, errors="coerce", utc=True)


def _times(raw: pd.Series, first_row: int, name: str) -> tuple[pd.DatetimeIndex, float | None]:
    """Naive labels, and the clock's offset where the stamps carry one (UTC if they differ)."""
    text = raw.astype(str).fillna("").str.strip()
    text, offset = _without_offset(text)
    parsed = _parsed(text)
    bad = parsed.isna().to_numpy()
    if bad.any():
        at = int(np.flatnonzero(bad)[0])
        cell = text.iloc[at][:30]
        raise BadInput(sentence("weather.plain.no_date", file=name, line=first_row + at, cell=cell))
    index = pd.DatetimeIndex(parsed)
    if index.tz is not None:
        index, offset = index.tz_convert("UTC").tz_localize(None), 0.0
    odd = (index.year < 1900) | (index.year > 2100)
    if odd.any():
        at = int(np.flatnonzero(odd)[0])
        year = int(index.year[at])
        raise BadInput(
            sentence("weather.plain.odd_year", file=name, line=first_row + at, year=year)
        )
    return index, offset


def _scaled(
    values: pd.Series, unit: str, step_h: float, told: str, column: str
) -> tuple[pd.Series, tuple[str, ...]]:
    """Irradiance in W/m² and a sentence if a unit other than W/m² was found or guessed."""
    unit = told.lower() if told != "auto" else unit
    if unit in _SCALES and _SCALES[unit] == 1.0:
        return values, ()
    if unit in _SCALES:
        note = sentence("weather.plain.unit_power", column=column, unit=unit)
        return values * _SCALES[unit], (note,)
    if unit in _ENERGIES:
        note = sentence("weather.plain.unit_energy", column=column, unit=unit)
        return values * _ENERGIES[unit] / step_h, (note,)
    top = float(values.quantile(0.999))
    if 0 < top <= 2.0:
        note = sentence("weather.plain.unit_kwh", column=column, top=top)
        return values * 1000 / step_h, (note,)
    if top > 1800:
        note = sentence("weather.plain.unit_kj", column=column, top=top)
        return values / 3.6 / step_h, (note,)
    return values, ()


def _frame(text: str, name: str, skip: int, separator: str, cells: list[str]) -> pd.DataFrame:
    decimal = "," if separator != "," and re.search(r"\d,\d", text[:20_000]) else "."
    try:
        with warnings.catch_warnings():
            # Rows longer than the headings would lose their ends with a warning only.
            warnings.simplefilter("error", pd.errors.ParserWarning)
            return pd.read_csv(
                io.StringIO(text),
                skiprows=skip + 1,
                header=None,
                names=range(len(cells)),
                sep=separator,
                decimal=decimal,
                nrows=MAX_ROWS + 1,
                skip_blank_lines=False,
                low_memory=False,
                index_col=False,
                comment="#",
            )
    except (ValueError, pd.errors.ParserError, pd.errors.ParserWarning) as error:
        reason = " ".join(str(error).split())[:120]
        raise BadInput(sentence("weather.plain.no_table", file=name, reason=reason)) from None


def read_plain(text: str, name: str, unit: str = "auto", stamp: str = "auto") -> Record:
    """A plain CSV as a Record; `unit` and `stamp` override what the file seems to say.

    Raises
    ------
    BadInput
        Naming line and column where a cell cannot be used.
    """
    skip, separator, cells, about = _layout(text, name)
    table = _frame(text, name, skip, separator, cells)
    if len(table) > MAX_ROWS:
        raise BadInput(sentence("weather.plain.too_many", file=name, most=MAX_ROWS))
    heads = [_heading(cell) for cell in cells]
    where = {column: k for k, (column, _, _) in reversed(list(enumerate(heads))) if column}
    dated = {key for _, _, key in heads} >= _DATE_PARTS
    if "time" not in where and not dated:
        raise BadInput(sentence("weather.plain.no_time", file=name))
    table = table.dropna(how="all")
    if table.empty:
        raise BadInput(sentence("weather.plain.no_rows", file=name))
    first_row = skip + 2
    for column in COLUMNS:
        if column in where:
            _bad_cell(table[where[column]], column, first_row, name)
    if "time" in where:
        index, utc = _times(table[where["time"]], first_row, name)
        utc = 0.0 if "utc" in heads[where["time"]][2] else utc
    else:
        index, utc = _times(_joined(table, heads), first_row, name)
    step_h = float(np.median(np.diff(np.unique(index.asi8)))) if len(index) > 1 else np.nan
    step_h = pd.Timedelta(np.nan_to_num(step_h, nan=0), unit=index.unit) / pd.Timedelta(hours=1)
    rows: dict[str, pd.Series] = {}
    notes: list[str] = []
    for column in COLUMNS:
        if column not in where:
            continue
        values = pd.to_numeric(table[where[column]], errors="coerce").set_axis(index)
        if column in ("ghi", "dni", "dhi"):
            in_head = heads[where[column]][1]
            values, more = _scaled(values, in_head, step_h or 1.0, unit, column)
            notes += more
        rows[column] = values
    told = about.get("stamp", "auto") if stamp == "auto" else stamp
    offset = _number(about, "utc_offset_h")
    return Record(
        sentence("weather.kind.plain"),
        pd.DataFrame(rows, dtype="float64"),
        told,
        utc if offset is None else offset,
        _number(about, "latitude", "latitude_deg"),
        _number(about, "longitude", "longitude_deg"),
        _number(about, "elevation_m"),
        about.get("place", ""),
        tuple(notes),
    )
