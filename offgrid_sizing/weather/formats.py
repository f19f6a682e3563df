"""Which weather format a file is in, and the known formats read through pvlib."""

import io
import json
import re
import tempfile
import warnings
from collections.abc import Callable
from pathlib import Path

import pandas as pd

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.text_files import decoded
from offgrid_sizing.weather.record import Record, numbers_of
from offgrid_sizing.words import sentence

_SAME = {name: name for name in ("ghi", "dni", "dhi", "temp_air", "wind_speed")}
_MAGIC = {
    b"\x89PNG": "png",
    b"\xff\xd8\xff": "jpeg",
    b"GIF8": "gif",
    b"%PDF": "pdf",
    b"PK\x03\x04": "zip",
    b"\x1f\x8b": "gzip",
    b"\xd0\xcf\x11\xe0": "old_excel",
    b"\x89HDF": "hdf5",
    b"CDF": "netcdf",
    b"<!DO": "web_page",
    b"<htm": "web_page",
}


def text_of(content: bytes, name: str) -> str:
    """The file as text.

    Raises
    ------
    BadInput
        Empty, or not text: says what it is where its first bytes tell.
    """
    if not content.strip():
        raise BadInput(sentence("weather.refused.empty", file=name))
    for magic, what in _MAGIC.items():
        if content.startswith(magic):
            known = sentence(f"weather.magic.{what}")
            raise BadInput(sentence("weather.refused.no_weather", file=name, what=known))
    text = decoded(content)
    if "\x00" in text[:100_000]:
        raise BadInput(sentence("weather.refused.no_text", file=name))
    return _one_line_end(text)


def _one_line_end(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _naive(index: pd.DatetimeIndex) -> pd.DatetimeIndex:
    return index.tz_localize(None)


def _epw(text: str, content: bytes) -> Record:
    from pvlib import iotools

    data, about = iotools.read_epw(io.StringIO(text))
    labels = _naive(data.index)
    again = data.groupby(["year", "month", "day", "hour"], sort=False).cumcount().to_numpy()
    per_hour = int(again.max()) + 1
    labels = labels + pd.to_timedelta(again * (60 / per_hour), unit="min")
    rows = numbers_of(data.set_axis(labels), _SAME)
    missing = {"ghi": 9999, "dni": 9999, "dhi": 9999, "temp_air": 99.9, "wind_speed": 999}
    for column, code in missing.items():
        rows[column] = rows[column].where(rows[column] < code)
    if "ECMWF/ERA" in text[:2000]:
        return Record(
            sentence("weather.kind.pvgis_epw"),
            rows,
            "instant",
            0.0,
            about["latitude"],
            about["longitude"],
            about["altitude"],
            sentence("weather.kind.pvgis_cell"),
            (sentence("weather.note.pvgis_utc"),),
        )
    return Record(
        "EPW",
        rows,
        "begin",
        about["TZ"],
        about["latitude"],
        about["longitude"],
        about["altitude"],
        str(about["city"]).title(),
    )


def _tmy3(text: str, content: bytes) -> Record:
    from pvlib import iotools

    data, about = iotools.read_tmy3(io.StringIO(text), map_variables=True)
    # Labels afresh from the columns: the reader moves February 29 to March 1, and with it the
    # last hour of February 28 in the leap years that typical months are taken from.
    clock = data["Time (HH:MM)"].str.split(":")
    labels = (
        pd.to_datetime(data["Date (MM/DD/YYYY)"], format="%m/%d/%Y")
        + pd.to_timedelta(clock.str[0].astype(int), unit="h")
        + pd.to_timedelta(clock.str[1].astype(int), unit="min")
    )
    return Record(
        "TMY3",
        numbers_of(data.set_axis(pd.DatetimeIndex(labels)), _SAME),
        "end",
        about["TZ"],
        about["latitude"],
        about["longitude"],
        about["altitude"],
        about["Name"].strip('"').title(),
    )


def _tmy2(text: str, content: bytes) -> Record:
    from pvlib import iotools

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "year.tm2"  # the reader takes only a path
        path.write_text(text, encoding="utf-8")
        try:
            data, about = iotools.read_tmy2(str(path))
        except ValueError as error:  # whose words begin with a folder of this machine
            raise ValueError(str(error).removeprefix(f"WARNING: In {path} ")) from None
    names = {"GHI": "ghi", "DNI": "dni", "DHI": "dhi", "DryBulb": "temp_air", "Wspd": "wind_speed"}
    moment = data[["year", "month", "day", "hour"]].astype(int)
    labels = pd.to_datetime(moment.assign(year=moment["year"] + 1900, hour=moment["hour"] - 1))
    rows = numbers_of(data.set_axis(pd.DatetimeIndex(labels)), names)
    rows["temp_air"] = rows["temp_air"].where(rows["temp_air"] < 9990) / 10
    rows["wind_speed"] = rows["wind_speed"].where(rows["wind_speed"] < 990) / 10
    return Record(
        "TMY2",
        rows,
        "begin",
        float(about["TZ"]),
        about["latitude"],
        about["longitude"],
        about["altitude"],
        str(about["City"]).title(),
    )


def _nsrdb(text: str, content: bytes) -> Record:
    from pvlib import iotools

    data, about = iotools.read_nsrdb_psm4(io.StringIO(text), map_variables=True)
    return Record(
        "NSRDB CSV",
        numbers_of(data.set_axis(_naive(data.index)), _SAME),
        "middle",
        float(about["Time Zone"]),
        about["latitude"],
        about["longitude"],
        float(about["altitude"]),
        sentence("weather.kind.nsrdb_cell"),
    )


def _pvgis_place(inputs: dict) -> tuple[float, float, float]:
    place = inputs.get("location", inputs)
    lowered = {key.split(" ")[0].lower(): value for key, value in place.items()}
    return float(lowered["latitude"]), float(lowered["longitude"]), float(lowered["elevation"])


def pvgis_typical(data: pd.DataFrame, about: dict) -> Record:
    """PVGIS typical year as pvlib gives it: instants in UTC, moved by the offset it states."""
    stated = re.search(r"time offset[^0-9-]*(-?[\d.]+)", json.dumps(about, default=str), re.I)
    offset_h = float(stated[1]) if stated else 0.0
    labels = _naive(data.index) + pd.to_timedelta(round(offset_h * 60), unit="min")
    return Record(
        sentence("weather.kind.pvgis_typical"),
        numbers_of(data.set_axis(labels), _SAME),
        "instant",
        0.0,
        *_pvgis_place(about["inputs"]),
        sentence("weather.kind.pvgis_cell"),
    )


def pvgis_hourly(data: pd.DataFrame, about: dict) -> Record:
    """PVGIS hourly series as pvlib gives it, for a flat plane.

    Raises
    ------
    BadInput
        When it was made for a tilted or tracking plane.
    """
    inputs = about["inputs"]
    mounting = json.dumps(inputs.get("mounting_system", inputs))
    slopes = re.findall(r"slope[^0-9]*?([\d.]+)", mounting, re.I)
    if "_axis" in mounting or any(float(slope) > 0.5 for slope in slopes):
        raise BadInput(sentence("weather.refused.tilted"))
    rows = numbers_of(data.set_axis(_naive(data.index)), _SAME)
    parts = numbers_of(
        data.set_axis(rows.index),
        {"poa_global": "poa_global", "poa_direct": "direct", "poa_sky_diffuse": "dhi"},
    )
    if "direct" in parts:
        rows["dhi"] = parts["dhi"]
        rows["ghi"] = parts["direct"] + parts["dhi"]
    elif "poa_global" in parts:
        rows["ghi"] = parts["poa_global"]
    kind, cell = sentence("weather.kind.pvgis_hourly"), sentence("weather.kind.pvgis_cell")
    return Record(kind, rows, "instant", 0.0, *_pvgis_place(inputs), cell)


def _pvgis_json(text: str, content: bytes) -> Record:
    from pvlib import iotools

    if '"tmy_hourly"' in text:
        return pvgis_typical(*iotools.read_pvgis_tmy(io.StringIO(text), pvgis_format="json"))
    return pvgis_hourly(*iotools.read_pvgis_hourly(io.StringIO(text), pvgis_format="json"))


def _pvgis_csv(text: str, content: bytes) -> Record:
    from pvlib import iotools

    if "month,year" in text[:600]:
        binary = io.BytesIO(text.encode())
        return pvgis_typical(*iotools.read_pvgis_tmy(binary, pvgis_format="csv"))
    data, about = iotools.read_pvgis_hourly(io.StringIO(text), pvgis_format="csv")
    about.setdefault("inputs", about)
    slope = re.search(r"Slope: *([\d.]+)", text[:2000])
    about["inputs"]["mounting_system"] = {"slope": slope[1] if slope else "0"}
    return pvgis_hourly(data, about)


_READERS: tuple[tuple[str, str, Callable[[str, bytes], Record]], ...] = (
    ("EPW", r"LOCATION,", _epw),
    ("TMY3", r"[^\n]*\n\"?Date \(MM/DD/YYYY\)", _tmy3),
    ("TMY2", r" ?\d{5} .{22} .{2} +-?\d+ [NS] ", _tmy2),
    ("NSRDB CSV", r"Source,Location ID", _nsrdb),
    ("PVGIS JSON", r"\s*\{", _pvgis_json),
    ("PVGIS CSV", r"Latitude \(decimal degrees\):", _pvgis_csv),
)


def read_known(text: str, content: bytes, name: str) -> Record | None:
    """The file as a Record if it is in a known format, None if it is not.

    Raises
    ------
    BadInput
        It looks like a known format but cannot be read as one.
    """
    for kind, start, reader in _READERS:
        if not re.match(start, text[:3000]):
            continue
        try:
            # The parser's warnings on mixed columns are for its developers: what is no number
            # becomes a gap here and is reported as one.
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                return reader(text, content)
        except BadInput:
            raise
        except (
            ValueError,
            KeyError,
            IndexError,
            TypeError,
            AttributeError,
            UnboundLocalError,  # what pvlib's reader of TMY2 says of a file without a row
            OverflowError,
            StopIteration,
            RecursionError,
            MemoryError,
        ) as error:
            told = str(error).strip().splitlines()
            reason = told[0][:120] if told else sentence("weather.refused.cut")
            raise BadInput(
                sentence("weather.refused.cut_off", file=name, kind=kind, reason=reason)
            ) from None
    return None
