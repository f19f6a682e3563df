"""A record of labelled rows laid on the common 365-day clock, its gaps filled and said."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pandas as pd

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.weather.gaps import fill_air, fill_sun
from offgrid_sizing.weather.parts import with_all_parts
from offgrid_sizing.weather.record import COLUMNS, Record
from offgrid_sizing.weather.steps import Years
from offgrid_sizing.weather.sun import SunPath, sun_path
from offgrid_sizing.words import Said, said, sentence
from offgrid_sizing.year_days import MONTH_EDGES

STEPS_MIN = (1, 5, 10, 15, 30, 60)
MOST_MISSING_FRAC = 0.10
LIMITS = {
    "ghi": (-50, 1800),
    "dni": (-50, 1800),
    "dhi": (-50, 1400),
    "temp_air": (-90, 65),
    "wind_speed": (0, 80),
}


@dataclass(frozen=True, eq=False)
class Laid:
    """Values on the clock, shape (years, n), NaN where the record has none.

    `phase_min` is how far the steps begin past the full step; `missing` counts gaps by column.
    """

    values: dict[str, np.ndarray]
    step_h: float
    phase_min: int
    year_names: tuple[str, ...]
    notes: tuple[str, ...]


def _step_min(index: pd.DatetimeIndex) -> int:
    """Length of a step in minutes, from the commonest distance between labels."""
    gaps = np.diff(np.unique(index.asi8)) // pd.Timedelta(minutes=1).as_unit(index.unit).asm8.view(
        "i8"
    )
    if not len(gaps):
        raise BadInput(sentence("weather.refused.single_moment"))
    length = int(pd.Series(gaps).mode().iloc[0])
    if length not in STEPS_MIN:
        raise BadInput(sentence("weather.refused.odd_steps", length=length))
    return length


def _distinct(rows: pd.DataFrame) -> tuple[pd.DataFrame, list[str]]:
    again = rows.index.duplicated(keep="first")
    if not again.any():
        return rows, []
    first = rows.index[again][0]
    note = sentence("weather.note.twice", count=int(again.sum()), first=f"{first:%Y-%m-%d %H:%M}")
    return rows[~again], [note]


def _plausible(rows: pd.DataFrame) -> tuple[pd.DataFrame, list[str]]:
    notes, kept = [], {}
    for column in COLUMNS:
        if column not in rows:
            continue
        low, high = LIMITS[column]
        wrong = (rows[column] < low) | (rows[column] > high)
        if wrong.any():
            notes.append(_implausible(column, rows[column][wrong]))
        kept[column] = rows[column].where(~wrong)
    return pd.DataFrame(kept, index=rows.index), notes


def _implausible(column: str, wrong: pd.Series) -> str:
    low, high = LIMITS[column]
    return sentence(
        "weather.note.implausible",
        count=len(wrong),
        column=column,
        low=low,
        high=high,
        value=float(wrong.iloc[0]),
        at=f"{wrong.index[0]:%Y-%m-%d %H:%M}",
    )


def _positions(index: pd.DatetimeIndex, step_min: int, phase_min: int) -> np.ndarray:
    """Step number of each label in its 365-day year."""
    day = MONTH_EDGES[index.month.to_numpy() - 1] + index.day.to_numpy() - 1
    minute = index.hour.to_numpy() * 60 + index.minute.to_numpy()
    return (day * 1440 + minute - phase_min) // step_min % (365 * 1440 // step_min)


def _year_blocks(index: pd.DatetimeIndex, position: np.ndarray) -> tuple[np.ndarray, list[str]]:
    """Which weather year each row belongs to, and the years' names.

    A file in which no moment of the calendar comes twice is one year, whatever years its months
    are from; otherwise calendar years.
    """
    years = index.year.to_numpy()
    if len(np.unique(position)) == len(position):
        named = np.unique(years)
        run = np.all(np.diff(index.asi8) > 0)
        if len(named) == 1:
            return np.zeros(len(index), dtype=int), [str(named[0])]
        # Hours that a shift moved over New Year do not make a second year.
        counts = np.array([(years == year).mean() for year in named])
        if counts.max() > 0.99:
            return np.zeros(len(index), dtype=int), [str(named[counts.argmax()])]
        joined = (
            f"{named[0]}-{named[-1]}"
            if run and len(named) == 2
            else sentence("weather.year.typical")
        )
        return np.zeros(len(index), dtype=int), [joined]
    named, block = np.unique(years, return_inverse=True)
    return block, [str(year) for year in named]


def _months_there(values: np.ndarray) -> tuple[Said, ...]:
    """Which months hold data."""
    per_day = np.isfinite(values).reshape(365, -1).mean(1)
    edges = pairwise(MONTH_EDGES)
    there = (k + 1 for k, (a, b) in enumerate(edges) if per_day[a:b].mean() > 0.5)
    named = tuple(said(f"calendar.short.{month}") for month in there)
    return named or (said("weather.refused.no_month"),)


def _whole_years(
    values: dict[str, np.ndarray], names: list[str]
) -> tuple[dict[str, np.ndarray], list[str], list[str]]:
    """Drop the years with more than a tenth of the sunshine missing; refuse if none is left."""
    sunny = next(values[c] for c in ("ghi", "dni", "dhi") if c in values)
    missing = np.isnan(sunny).mean(1)
    keep = missing <= MOST_MISSING_FRAC
    if not keep.any():
        best = int(np.argmin(missing))
        raise BadInput(
            sentence(
                "weather.refused.no_whole_year",
                share=float(1 - missing[best]),
                year=names[best],
                months=_months_there(sunny[best]),
            )
        )
    dropped = [name for name, whole in zip(names, keep, strict=True) if not whole]
    notes: list[str] = []
    if dropped:
        notes.append(sentence("weather.note.left_out", years=tuple(dropped)))
    kept = [name for name, whole in zip(names, keep, strict=True) if whole]
    return {column: array[keep] for column, array in values.items()}, kept, notes


def _year_to_date(index: pd.DatetimeIndex, position: np.ndarray, n: int) -> np.ndarray | None:
    """Rows of the latest twelve months, if together they make a whole year; else None."""
    order = np.argsort(index.asi8)[::-1]
    _, first = np.unique(position[order], return_index=True)
    rows = order[first]
    return rows if len(rows) >= (1 - MOST_MISSING_FRAC) * n else None


def lay(record: Record) -> Laid:
    """Rows on the clock by calendar position, without February 29, repeats and absurd values.

    Raises
    ------
    BadInput
        Odd steps, or no whole year.
    """
    rows, notes = _distinct(record.rows[record.rows.index.notna()])
    if not len(rows):
        raise BadInput(sentence("weather.refused.no_dated_row"))
    rows, more = _plausible(rows)
    notes += more
    step_min = _step_min(rows.index)
    back_min = {"begin": 0.0, "end": step_min, "middle": step_min / 2}.get(record.stamp, 0.0)
    index = rows.index - pd.Timedelta(minutes=back_min)
    if record.stamp == "instant":
        index = index - pd.Timedelta(minutes=step_min / 2)
    leap = (index.month == 2) & (index.day == 29)
    rows, index = rows[~leap], index[~leap]
    phase = int(pd.Series(index.minute % step_min).mode().iloc[0])
    n = 365 * 1440 // step_min
    position = _positions(index, step_min, phase)
    block, names = _year_blocks(index + pd.Timedelta(minutes=step_min / 2), position)
    counts = np.bincount(block, minlength=len(names)) / n
    latest = _year_to_date(index, position, n)
    if counts.max() < 1 - MOST_MISSING_FRAC and latest is not None:
        rows, index, position = rows.iloc[latest], index[latest], position[latest]
        block, names = np.zeros(len(latest), dtype=int), [sentence("weather.year.latest")]
        notes.append(sentence("weather.note.latest"))
    values = {}
    for column in rows:
        laid = np.full((len(names), n), np.nan)
        laid[block, position] = rows[column].to_numpy()
        values[column] = laid
    values, names, more = _whole_years(values, names)
    return Laid(values, step_min / 60, phase, tuple(names), tuple(notes + more))


def _place_of(record: Record, spot) -> tuple[float, float, list[str]]:
    if record.latitude_deg is None or record.longitude_deg is None:
        return (
            spot.latitude_deg,
            spot.longitude_deg,
            [sentence("weather.note.no_place")],
        )
    return record.latitude_deg, record.longitude_deg, []


def _offset_of(record: Record, spot, told_h: float | None) -> tuple[float, list[str]]:
    if told_h is not None:
        return told_h, []
    if record.utc_offset_h is None:
        note = sentence("weather.note.no_zone", offset=float(spot.utc_offset_h))
        return spot.utc_offset_h, [note]
    return record.utc_offset_h, []


def _gaps_said(filled: dict[str, int]) -> list[str]:
    columns = tuple(f"{column} {count}" for column, count in filled.items() if count > 0)
    return [sentence("weather.note.filled", columns=columns)] if columns else []


def complete(
    laid: Laid, sun: SunPath, spare_temperature, spare_wind: float, elevation_m: float
) -> tuple[dict[str, np.ndarray], list[str]]:
    """Fill the gaps and make the columns the record lacks, shape (years, n) each.

    `spare_temperature()` gives a year of air temperature on the same clock; the height decides
    how bright a cloudless beam can be.
    """
    share = {column: float(np.isnan(v).mean()) for column, v in laid.values.items()}
    count = {column: int(np.isnan(v).sum()) for column, v in laid.values.items()}
    notes = _gaps_said({c: count[c] for c in count if share[c] <= MOST_MISSING_FRAC})
    values = {}
    for column, array in laid.values.items():
        if share[column] > MOST_MISSING_FRAC:
            notes.append(sentence("weather.note.not_used", column=column, share=share[column]))
        elif column in ("ghi", "dni", "dhi"):
            values[column] = np.maximum(fill_sun(array, sun, beam=column == "dni"), 0.0)
        else:
            values[column] = fill_air(array, sun.steps_per_day)
    values, more = with_all_parts(values, sun, elevation_m)
    notes += more
    shape = values["ghi"].shape
    if "temp_air" not in values:
        values["temp_air"] = np.broadcast_to(spare_temperature(), shape).copy()
        notes.append(sentence("weather.note.no_air"))
    if "wind_speed" not in values:
        values["wind_speed"] = np.full(shape, spare_wind)
        notes.append(sentence("weather.note.no_wind", wind=float(spare_wind)))
    return values, notes


def years_of_record(
    record: Record, spot, *, utc_offset_h: float | None, spare_temperature, spare_wind: float
) -> tuple[Years, tuple[str, ...], tuple[str, ...]]:
    """Weather years of a record, their names, and sentences on all that was assumed or mended.

    Raises
    ------
    BadInput
        When the record holds no whole year or cannot be laid on a clock.
    """
    latitude, longitude, notes = _place_of(record, spot)
    offset, more = _offset_of(record, spot, utc_offset_h)
    notes += more
    laid = lay(record)
    clock_h = offset - laid.phase_min / 60
    sun = sun_path(latitude, longitude, laid.step_h, clock_h)
    height = spot.elevation_m if record.elevation_m is None else float(record.elevation_m)
    values, filled = complete(laid, sun, lambda: spare_temperature(sun), spare_wind, height)
    years = Years(
        ghi=values["ghi"],
        dni=values["dni"],
        dhi=values["dhi"],
        temp_air=values["temp_air"],
        wind_speed=values["wind_speed"],
        step_h=laid.step_h,
        utc_offset_h=clock_h,
        latitude_deg=latitude,
        longitude_deg=longitude,
    )
    return years, laid.year_names, (*record.notes, *notes, *laid.notes, *filled)
