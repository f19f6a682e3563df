"""A metered file, whatever its shape, as a clean load and a report of what was done to it."""

from dataclasses import dataclass
from datetime import timedelta, timezone
from functools import lru_cache

import numpy as np
import pandas as pd

from offgrid_sizing.loads.meter_clean import CleanLoad, clean
from offgrid_sizing.loads.meter_clock import to_standard
from offgrid_sizing.loads.meter_columns import Columns, guess_columns
from offgrid_sizing.loads.meter_espi import looks_like_xml
from offgrid_sizing.loads.meter_table import Raw, column_options, read_table, read_xml
from offgrid_sizing.loads.meter_text import Layout, layout_of, name_of
from offgrid_sizing.loads.meter_year import fit_year
from offgrid_sizing.sketch import BadInput, MeteredLoad, file_inside
from offgrid_sizing.words import sentence


@dataclass(frozen=True, eq=False)
class Metered:
    """A cleaned file.

    Parameters
    ----------
    load : CleanLoad
        Gapless, local standard time.
    offset_h : float or None
        Standard time's offset from UTC where known.
    report : dict
        Plain values, ready for JSON; `sentences` says it in words.
    """

    load: CleanLoad
    offset_h: float | None
    report: dict


def preview_meter_file(source, rows: int = 8, **options) -> tuple[pd.DataFrame, Layout, Columns]:
    """First rows, layout and guessed columns, for a person to confirm or correct.

    Parameters
    ----------
    source : path or bytes
        A text table (not XML).
    rows : int
    **options
        As in `clean_meter_file`.
    """
    layout = layout_of(source)
    columns = guess_columns(layout, **column_options(options))
    shown = [dict(zip(layout.header, row, strict=False)) for row in layout.sample[:rows]]
    return pd.DataFrame(shown, columns=list(dict.fromkeys(layout.header))), layout, columns


def _usable(raw: Raw, name: str) -> np.ndarray:
    good = ~np.isnat(raw.stamps.at) & np.isfinite(raw.values)
    if good.sum() < 2:
        key = "no_two_far" if raw.stamps.far else "no_two"
        raise BadInput(sentence(f"meter.rows.{key}", file=name, dates=raw.stamps.far))
    if good.mean() < 0.3 and raw.facts["values_missing"] < 0.5 * raw.values.size:
        raise BadInput(sentence("meter.rows.few", file=name, share=float(good.mean())))
    return good


def _stray(at: np.ndarray) -> np.ndarray:
    """Readings more than six years from the middle one: a clock that was never set."""
    middle = np.sort(at)[at.size // 2]
    return np.abs((at - middle).astype("timedelta64[D]").astype(int)) > 6 * 366


def read_meter(source, **options) -> Metered:
    """Read and clean a metered file.

    Parameters, errors: see `clean_meter_file`.
    """
    raw = read_xml(source) if looks_like_xml(source) else read_table(source, options)
    name = name_of(source)
    if options.get("quantity") not in (None, "auto"):
        raw = Raw(**(vars(raw) | {"quantity": options["quantity"]}))
    good = _usable(raw, name)
    at, values, offset = raw.stamps.at[good], raw.values[good], raw.stamps.offset_min[good]
    duration = None if raw.duration_s is None else raw.duration_s[good]
    stray = _stray(at)
    if stray.any():
        at, values, offset = at[~stray], values[~stray], offset[~stray]
        duration = None if duration is None else duration[~stray]
    offset_h = options.get("utc_offset_h")
    if offset_h is None and raw.offset_min is not None and not options.get("civil_zone"):
        offset_h = raw.offset_min / 60
    clock = to_standard(at, offset, options.get("civil_zone"), offset_h)
    duration = None if duration is None else duration[clock.order]
    try:
        load = clean(clock.at, values[clock.order], raw.quantity, raw.labels, duration)
    except BadInput as error:
        faults = (sentence("meter.of_file", file=name, fault=one) for one in error.sentences)
        raise BadInput(*faults) from None
    far = raw.stamps.far + int(stray.sum())
    unreadable = raw.facts.pop("values_unreadable") + int(np.isnat(raw.stamps.at).sum())
    notes = [*raw.notes, *clock.notes]
    if far:
        notes.append(sentence("meter.rows.stray", count=far))
    if unreadable - raw.stamps.far > 0:
        notes.append(sentence("meter.rows.unreadable", count=unreadable - raw.stamps.far))
    notes += [*load.notes, *_cautions(load)]
    report = {
        "file": name,
        **raw.facts,
        "rows_unreadable": unreadable,
        "dates_left_out": far,
        "quantity": raw.quantity,
        "labels": raw.labels,
        **clock.facts,
        **load.facts,
        "step_h": load.step_h,
        **_totals(load),
        "sentences": notes,
    }
    return Metered(load, clock.offset_h, report)


def _totals(load: CleanLoad) -> dict:
    days = load.load_w.size * load.step_h / 24
    energy = float(load.load_w.sum() * load.step_h / 1000)
    return {
        "first": str(load.time[0]),
        "last": str(load.time[-1]),
        "days": round(days, 3),
        "energy_kwh": energy,
        "daily_kwh": energy / days,
        "highest_mean_w": float(load.load_w.max()),
    }


def _cautions(load: CleanLoad) -> list[str]:
    daily = _totals(load)["daily_kwh"]
    if daily > 1000 or daily < 0.05:
        return [sentence("meter.unusual", daily=daily)]
    return []


def clean_meter_file(source, **options) -> tuple[pd.DataFrame, dict]:
    """Clean a metered file of any common shape.

    Text tables: delimiter, decimal sign, encoding, preamble, time format, kWh or Wh an interval,
    W or kW, a register that counts up, date and time apart, a day a row. XML: ESPI.

    Parameters
    ----------
    source : path or bytes
    **options
        `time_column`, `value_column` (header or number), `quantity`
        (`meter_columns.QUANTITIES` or "auto"), `labels` ("begin", "end", "auto"), `day_first`
        (bool), `civil_zone` (IANA), `utc_offset_h` (standard time of the place).

    Returns
    -------
    (frame, report)
        Frame with `time` (beginning of the step, standard time, ISO 8601), `load_w`, `filled`;
        it can be read again as a metered file. Report: counts, totals and `sentences`, ready for
        JSON.

    Raises
    ------
    BadInput
        One sentence: what is wrong, and what to do.
    """
    unknown = set(options) - {*column_options({}), "day_first", "civil_zone", "utc_offset_h"}
    if unknown:
        raise TypeError(f"unknown options: {', '.join(sorted(unknown))}")
    metered = read_meter(source, **options)
    time = pd.DatetimeIndex(metered.load.time)
    if metered.offset_h is not None:
        time = time.tz_localize(timezone(timedelta(hours=metered.offset_h)))
    frame = pd.DataFrame(
        {
            "time": [stamp.isoformat() for stamp in time],
            "load_w": np.round(metered.load.load_w, 3),
            "filled": metered.load.filled,
        }
    )
    return frame, metered.report


@lru_cache(maxsize=4)
def _read_cached(path: str, mtime_ns: int, size: int, options: tuple) -> Metered:
    return read_meter(path, **dict(options))


def metered_load(
    metered: MeteredLoad, *, base_dir=None, civil_zone: str | None = None, utc_offset_h: float = 0.0
) -> Metered:
    """The file a sketch names, cleaned; kept in memory until the file changes."""
    if not metered.file.strip():
        raise BadInput(sentence("meter.no_file"))
    path = file_inside(base_dir, metered.file, "loads.metered.file")
    options = {
        "time_column": metered.time_column,
        "value_column": metered.value_column,
        "quantity": metered.quantity,
        "labels": metered.labels,
        "day_first": metered.day_first,
        "civil_zone": civil_zone,
        "utc_offset_h": utc_offset_h,
    }
    status = path.stat()
    return _read_cached(str(path), status.st_mtime_ns, status.st_size, tuple(options.items()))


def metered_year(
    metered: Metered, step_h: float, month_shape: np.ndarray | None = None
) -> tuple[np.ndarray, tuple[str, ...]]:
    """A cleaned file on the 365-day clock: (load_w of shape (n,), sentences)."""
    return fit_year(metered.load, step_h, month_shape)
