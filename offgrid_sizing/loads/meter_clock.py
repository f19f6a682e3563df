"""From a meter's stamps to the fixed clock of standard time: order, offsets, daylight saving."""

from dataclasses import dataclass
from zoneinfo import ZoneInfoNotFoundError

import numpy as np
import pandas as pd

from offgrid_sizing.loads.meter_times import LARGEST_OFFSET_MIN, NO_OFFSET
from offgrid_sizing.places.ground import standard_offset_h
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.words import sentence


@dataclass(frozen=True, eq=False)
class Clocked:
    """Stamps on one fixed clock, in order.

    Parameters
    ----------
    at : datetime64[s] array
        Local standard time.
    order : int array
        Which row of the file each stamp came from.
    offset_h : float or None
        Hours ahead of UTC, None when nobody said it.
    facts : dict
        For the report: `clock`, `out_of_order`, `dst_rows`.
    notes : tuple of str
    """

    at: np.ndarray
    order: np.ndarray
    offset_h: float | None
    facts: dict
    notes: tuple[str, ...]


def _offset_of(zone: str) -> float:
    """The zone's standard time, or a sentence where there is no such zone. [h]"""
    try:
        return standard_offset_h(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise BadInput(sentence("meter.clock.no_zone", zone=zone)) from None


def _in_file_order(at: np.ndarray) -> tuple[np.ndarray, int]:
    """Rows oldest first where the file runs backwards, and how many jump back in time."""
    steps = np.diff(at).astype(int)
    order = np.arange(at.size)
    if (steps < 0).sum() > (steps > 0).sum():
        return order[::-1], int((steps > 0).sum())
    return order, int((steps < 0).sum())


def _follows_saving(at: np.ndarray, zone: str) -> bool | None:
    """Whether naive stamps jump with daylight saving; None: the file does not show it."""
    index = pd.DatetimeIndex(at)
    lost = index.tz_localize(zone, nonexistent="NaT", ambiguous=np.ones(at.size, bool)).isna()
    if lost.any():
        return False
    twice = index.tz_localize(zone, nonexistent="shift_forward", ambiguous="NaT").isna()
    if twice.any():
        return bool(index[twice].duplicated().any())
    return None


def _naive_in_zone(at: np.ndarray, zone: str) -> np.ndarray:
    """UTC of civil stamps in file order; the second pass of the repeated hour is winter time."""
    index = pd.DatetimeIndex(at)
    first = ~index.duplicated(keep="first")
    aware = index.tz_localize(zone, nonexistent="shift_forward", ambiguous=np.asarray(first))
    return aware.tz_convert("UTC").tz_localize(None).to_numpy().astype("datetime64[s]")


def to_standard(
    at: np.ndarray,
    offset_min: np.ndarray,
    zone: str | None = None,
    offset_h: float | None = None,
) -> Clocked:
    """Put stamps on the fixed clock of standard time.

    Stamps with an offset are taken at their word. Stamps without one follow the zone's daylight
    saving if the file shows the repeated or missing hour, or if it shows neither; a file with
    readings in the hour that daylight saving skips keeps standard time all year.

    Parameters
    ----------
    at : datetime64[s] array
        As written, in file order, without NaT.
    offset_min : int array
        `NO_OFFSET` where none was written.
    zone : str, optional
        IANA zone of the place.
    offset_h : float, optional
        Standard time of the place; the zone's own where not given.
    """
    if offset_h is not None and not abs(offset_h) * 60 <= LARGEST_OFFSET_MIN:
        raise BadInput(sentence("meter.clock.offset_range", offset=offset_h))
    order, backwards = _in_file_order(at)
    at, offset_min = at[order], offset_min[order]
    notes, dst_rows = [], 0
    if offset_h is None and zone:
        offset_h = _offset_of(zone)
    with_offset = offset_min != NO_OFFSET
    if with_offset.all() and at.size:
        utc = at - (offset_min * 60).astype("timedelta64[s]")
        if offset_h is None:
            offset_h = float(offset_min.min()) / 60
            if (offset_min == 0).all():
                notes.append(sentence("meter.clock.all_utc"))
        clock = sentence("meter.clock.with_offset")
        dst_rows = int((offset_min != offset_min.min()).sum())
        standard = utc + np.timedelta64(round(offset_h * 3600), "s")
    elif zone:
        follows = _follows_saving(at, zone)
        if follows is False:
            standard, clock = at, sentence("meter.clock.standard", zone=zone)
        else:
            assert offset_h is not None  # the zone's own, from above
            utc = _naive_in_zone(at, zone)
            standard = utc + np.timedelta64(round(offset_h * 3600), "s")
            dst_rows = int((standard != at).sum())
            key = "civil" if follows else "civil_assumed"
            clock = sentence(f"meter.clock.{key}", zone=zone)
    else:
        standard, clock = at, sentence("meter.clock.as_written")
    if with_offset.any() and not with_offset.all():
        notes.append(sentence("meter.clock.some_offsets"))
    sort = np.argsort(standard, kind="stable")
    facts = {"clock": clock, "out_of_order": backwards, "dst_rows": dst_rows}
    return Clocked(standard[sort], order[sort], offset_h, facts, tuple(notes))
