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
        if size > MAX_BYTES:
            raise BadInput(
                f"{path.name} is {size / 1e6:.0f} MB large; weather files up to "
                f"{MAX_BYTES / 1e6:.0f} MB are read: average it to longer steps or fewer years."
            )
        return path.read_bytes()
    except OSError as error:
        raise BadInput(f"the weather file {path.name} cannot be read: {error.strerror}.") from None


def read_record(content: bytes, name: str, hints: FileHints = AS_IT_SAYS) -> Record:
    """A weather file's content as a Record, whatever its name ends in.

    Raises
    ------
    BadInput
        One sentence: too large, no text, cut off, or not weather.
    """
    if len(content) > MAX_BYTES:
        raise BadInput(f"{name} is larger than {MAX_BYTES / 1e6:.0f} MB: average it first.")
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
                f"{name} gives {value:g} as {field}, which must be between {low} and {high}: "
                "check its heading."
            )


def _grid_temperature(spot: Spot, sun: SunPath) -> np.ndarray:
    """Smooth year of air temperature from the built-in climate, shape (n,)."""
    if not SOUTH_END <= spot.latitude_deg <= NORTH_END:
        raise BadInput("the weather file needs air temperature so near to a pole: add temp_air.")
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
    word = {"begin": "beginning", "middle": "middle", "end": "end"}[stamp]
    said = f"The time stamps fit the sun best as the {word} of each step, and are read so."
    return years, names, (*notes, said)


def _clock_of(years: Years, spot: Spot) -> float:
    """The sketch's clock, or that of the weather's own longitude when it comes from far away."""
    gap = (years.longitude_deg - spot.longitude_deg + 180) % 360 - 180
    return spot.utc_offset_h if abs(gap) <= 7.5 else float(round(years.longitude_deg / 15))


def weather_of_record(
    record: Record,
    spot: Spot,
    *,
    kind: str,
    name: str,
    hints: FileHints = AS_IT_SAYS,
) -> Weather:
    """A record as weather years on the sketch's clock and step.

    Raises
    ------
    BadInput
    """
    lay = _guess_stamp if record.stamp == "auto" else _years
    years, names, notes = lay(record, spot, hints)
    years = relay(years, spot.step_h, _clock_of(years, spot))
    elevation = spot.elevation_m if record.elevation_m is None else float(record.elevation_m)
    place = f" of {record.place}" if record.place.strip(" -") else ""
    count = f"{len(names)} years {names[0]} to {names[-1]}" if len(names) > 1 else names[0]
    ordinary: tuple[str, ...] = ()
    if len(names) == 1:
        ordinary = ("One year alone says little about leaner ones.",)
    return weather_from_years(
        years,
        elevation_m=elevation,
        kind=kind,
        provenance=f"{record.kind} {name}{place} ({years.latitude_deg:.2f}°, "
        f"{years.longitude_deg:.2f}°), {count}.",
        caveats=(*notes, *ordinary, *bands.general_caveats(years.latitude_deg)),
        year_names=names,
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
