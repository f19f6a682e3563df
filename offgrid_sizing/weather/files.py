"""Weather from a file the user gives: found, read, laid on the clock, and judged."""

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from offgrid_sizing.sketch import BadInput, WeatherChoice, file_inside
from offgrid_sizing.weather import bands
from offgrid_sizing.weather.climate import WIND_M_PER_S, Spot, bare_sky
from offgrid_sizing.weather.daily import smooth_year
from offgrid_sizing.weather.formats import read_known, text_of
from offgrid_sizing.weather.grid import NORTH_END, SOUTH_END
from offgrid_sizing.weather.plain import read_plain
from offgrid_sizing.weather.quality import noon_shift_h
from offgrid_sizing.weather.record import Record
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.weather.steps import Years, relay, weather_from_years
from offgrid_sizing.weather.sun import SunPath, sun_path
from offgrid_sizing.weather.tidy import years_of_record
from offgrid_sizing.words import Saying, said, sentence

MAX_BYTES = 40_000_000


@dataclass(frozen=True)
class FileHints:
    """What the user says of a file, against what it seems to say itself."""

    stamp: str = "auto"
    unit: str = "auto"
    utc_offset_h: float | None = None


AS_IT_SAYS = FileHints()


def hints_of(choice: WeatherChoice) -> FileHints:
    """The hints in a sketch."""
    return FileHints(choice.file_stamp, choice.file_unit, choice.file_utc_offset_h)


def read_bytes(path: Path) -> bytes:
    """The content of an ordinary file, if it is not too large.

    Raises
    ------
    BadInput
    """
    try:
        size = path.stat().st_size
        if path.exists() and not (path.is_file() or path.is_dir()):  # a pipe may never end
            raise BadInput(sentence("weather.refused.not_ordinary", file=path.name))
        if size > MAX_BYTES:
            raise BadInput(
                sentence(
                    "weather.refused.too_large",
                    file=path.name,
                    size=size / 1e6,
                    most=MAX_BYTES / 1e6,
                )
            )
        return path.read_bytes()
    except OSError as error:
        raise BadInput(
            sentence("weather.refused.unreadable", file=path.name, reason=error.strerror)
        ) from None


def read_record(content: bytes, name: str, hints: FileHints = AS_IT_SAYS) -> Record:
    """A weather file's content as a Record, whatever its name ends in.

    Raises
    ------
    BadInput
        One sentence: too large, no text, cut off, or not weather.
    """
    if len(content) > MAX_BYTES:
        raise BadInput(sentence("weather.refused.larger", file=name, most=MAX_BYTES / 1e6))
    text = text_of(content, name)
    record = read_known(text, content, name)
    if record is None:
        record = read_plain(text, name, hints.unit, hints.stamp)
    elif hints.stamp != "auto":
        record = replace(record, stamp=hints.stamp)
    _refuse_impossible_place(record, name)
    return record


def _refuse_impossible_place(record: Record, name: str) -> None:
    limits = {
        "latitude_deg": (-90, 90),
        "longitude_deg": (-180, 180),
        "elevation_m": (-430, 9000),
        "utc_offset_h": (-14, 14),
    }
    for field, (low, high) in limits.items():
        value = getattr(record, field)
        if value is not None and not low <= value <= high:  # also where it is NaN
            raise BadInput(
                sentence(
                    "weather.refused.heading",
                    file=name,
                    value=float(value),
                    field=field,
                    low=low,
                    high=high,
                )
            )


def _grid_temperature(spot: Spot, sun: SunPath) -> np.ndarray:
    """Smooth year of air temperature from the built-in climate, shape (n,)."""
    if not SOUTH_END <= spot.latitude_deg <= NORTH_END:
        raise BadInput(sentence("weather.refused.no_air"))
    monthly = bare_sky(spot).sky.temperature_c
    return np.repeat(smooth_year(monthly), sun.steps_per_day)


def _years(record: Record, spot: Spot, hints: FileHints):
    return years_of_record(
        record,
        spot,
        utc_offset_h=hints.utc_offset_h,
        spare_temperature=lambda sun: _grid_temperature(spot, sun),
        spare_wind=WIND_M_PER_S,
    )


def _guess_stamp(record: Record, spot: Spot, hints: FileHints):
    """Lay a record without a known stamp as beginning, middle and end; keep the sun's choice."""
    tried = {}
    for stamp in ("begin", "middle", "end"):
        years, names, notes = _years(replace(record, stamp=stamp), spot, hints)
        sun = sun_path(years.latitude_deg, years.longitude_deg, years.step_h, years.utc_offset_h)
        shift = noon_shift_h(years.ghi, sun)
        tried[stamp] = (np.inf if shift is None else abs(shift), years, names, notes)
    stamp = min(tried, key=lambda one: tried[one][0])
    _, years, names, notes = tried[stamp]
    return years, names, (*notes, sentence(f"weather.note.stamp_{stamp}"))


def _clock_of(years: Years, spot: Spot) -> float:
    """The sketch's clock, or that of the weather's own longitude when it comes from far away."""
    gap = (years.longitude_deg - spot.longitude_deg + 180) % 360 - 180
    return spot.utc_offset_h if abs(gap) <= 7.5 else float(round(years.longitude_deg / 15))


def weather_of_record(
    record: Record,
    spot: Spot,
    *,
    kind: str,
    name: str = "",
    hints: FileHints = AS_IT_SAYS,
    service: str = "",
) -> Weather:
    """A record as weather years on the sketch's clock and step, of a file or of a service.

    Raises
    ------
    BadInput
    """
    lay = _guess_stamp if record.stamp == "auto" else _years
    years, names, notes = lay(record, spot, hints)
    years = relay(years, spot.step_h, _clock_of(years, spot))
    elevation = spot.elevation_m if record.elevation_m is None else float(record.elevation_m)
    ordinary = (sentence("weather.told.one_year"),) if len(names) == 1 else ()
    return weather_from_years(
        years,
        elevation_m=elevation,
        kind=kind,
        provenance=_provenance(record, years, names, name, service),
        caveats=(*notes, *ordinary, *bands.general_caveats(years.latitude_deg)),
        year_names=names,
    )


def _provenance(record: Record, years: Years, names, name: str, service: str) -> str:
    count: Saying | str = names[0]
    if len(names) > 1:
        count = said("weather.year.several", count=len(names), first=names[0], last=names[-1])
    key = "online" if service else "file"
    key += "_place" if record.place.strip(" -") else ""
    return sentence(
        f"weather.from.{key}",
        kind=record.kind,
        name=name,
        place=record.place,
        latitude=float(years.latitude_deg),
        longitude=float(years.longitude_deg),
        years=count,
        service=service,
        whose=said("weather.from.commission" if service == "PVGIS" else "weather.from.nasa"),
    )


def file_weather(choice: WeatherChoice, spot: Spot, base_dir: Path | str | None = None) -> Weather:
    """The weather file a sketch names, which lies in `base_dir` (the sketch's folder).

    Raises
    ------
    BadInput
        One sentence on what is wrong with the file.
    """
    path = file_inside(base_dir, choice.file or "", "weather.file")
    hints = hints_of(choice)
    record = read_record(read_bytes(path), path.name, hints)
    return weather_of_record(record, spot, kind="file", name=path.name, hints=hints)
