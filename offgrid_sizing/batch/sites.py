"""The sites of a batch: sketch files of a folder, or rows of a table laid over one sketch."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
from dataclasses import dataclass
from pathlib import Path

from offgrid_sizing import __version__
from offgrid_sizing.batch.fields import is_field, put
from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import (
    BadInput,
    Sketch,
    SketchError,
    WeatherChoice,
    file_inside,
    read_sketch,
    sketch_from_dict,
    sketch_to_json,
)
from offgrid_sizing.spelling import unaccented
from offgrid_sizing.text_files import WESTERN, encoding_of

SHORT = {
    "name": "site.name",
    "latitude": "site.latitude_deg",
    "longitude": "site.longitude_deg",
}
NEEDED = ("name", "latitude", "longitude")
MAX_BYTES = 100_000_000


@dataclass(frozen=True)
class Site:
    """One site to be solved; `key` names its folder and changes with anything in its sketch."""

    row: str
    key: str
    name: str
    sketch: Sketch
    base_dir: str
    note: str = ""


@dataclass(frozen=True)
class BadRow:
    """A row or file that cannot be used, and why."""

    row: str
    name: str
    sentence: str


def site_key(name: str, sketch: Sketch) -> str:
    """Folder name of a site: readable, safe on any file system, new when the sketch is."""
    slug = re.sub(r"[^a-z0-9]+", "-", unaccented(name)).strip("-")[:40] or "site"
    content = __version__ + sketch_to_json(sketch)
    return f"{slug}-{hashlib.sha256(content.encode()).hexdigest()[:12]}"


def read_sites(
    source: str | Path, template: Sketch | str | Path | None = None
) -> tuple[tuple[Site, ...], tuple[BadRow, ...]]:
    """Sites of a folder of sketch files or of a CSV table, and the rows that cannot be used.

    Parameters
    ----------
    source : path
        A folder with `.json` sketches, or a table with columns name, latitude, longitude and any
        field of a sketch by its dotted path (`loads.scale`, `roof_planes.0.tilt_deg`).
    template : Sketch or path, optional
        What the rows are laid over; the farmhouse demo where it is left out. Files that a template
        read from a path names are looked for beside it, else beside the table.

    Raises
    ------
    BadInput
        When nothing can be read at all: no such file, no sites, mixed encodings, unknown columns.
    """
    source = Path(source)
    if source.is_dir():
        return _from_folder(source)
    try:
        if source.exists() and not source.is_file():  # a device or a pipe may never end
            raise BadInput(f"{source} is no ordinary file: name a folder or a CSV table.")
        if source.stat().st_size > MAX_BYTES:
            raise BadInput(f"{source.name} is larger than 100 MB: split it into several tables.")
        content = source.read_bytes()
    except FileNotFoundError:
        raise BadInput(f"there is no file or folder {source}: check the name.") from None
    except OSError as error:
        raise BadInput(f"{source} cannot be read: {error.strerror}.") from None
    base_dir = source.parent
    if isinstance(template, str | Path):
        base_dir, template = Path(template).parent, read_sketch(template)
    return _from_table(content, source, template or demo(), base_dir)


def _from_folder(folder: Path) -> tuple[tuple[Site, ...], tuple[BadRow, ...]]:
    paths = sorted(path for path in folder.iterdir() if path.suffix.lower() == ".json")
    if not paths:
        raise BadInput(f"{folder} holds no .json sketches: name another folder or a CSV table.")
    sites, bad = [], []
    for path in paths:
        try:
            sketch = read_sketch(file_inside(folder, path.name, "this sketch"))
        except BadInput as error:
            bad.append(BadRow(path.name, path.stem, " ".join(error.sentences)))
            continue
        key = site_key(path.stem, sketch)
        sites.append(Site(path.name, key, sketch.site.name, sketch, str(folder)))
    return tuple(sites), tuple(bad)


def decoded(content: bytes, name: str) -> str:
    """The table as text: UTF-8, or UTF-16 where it says so.

    Raises
    ------
    BadInput
        When bytes of another encoding stand in it, naming the line.
    """
    encoding = encoding_of(content)
    try:
        # A guess at the letters of many rows could name sites wrongly: no Western code here.
        return content.decode("utf-8" if encoding == WESTERN else encoding)
    except UnicodeDecodeError as error:
        if encoding.startswith("utf-16"):
            raise BadInput(
                f"{name} begins as UTF-16 but does not go on so: save it as UTF-8."
            ) from None
        line = content.count(b"\n", 0, error.start) + 1
        raise BadInput(
            f"{name} mixes encodings: line {line} holds byte 0x{content[error.start]:02X}, which "
            "is not UTF-8. Save the whole table as UTF-8."
        ) from None


def _rows(text: str, name: str) -> tuple[list[str], list[list[str]], str]:
    first = text.split("\n", 1)[0]
    delimiter = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows, last = [], 0
    try:
        for cells in reader:
            rows.append(cells)
            last = reader.line_num
    except csv.Error as error:
        why = "a quotation mark is opened and not closed" if "end of data" in str(error) else error
        raise BadInput(
            f"{name} is not a readable CSV table: {why}, in the row after line {last}; correct "
            "that row."
        ) from None
    if not rows:
        raise BadInput(f"{name} is empty: it needs a head with name, latitude and longitude.")
    return [head.strip() for head in rows[0]], rows[1:], delimiter


def _from_table(content: bytes, source: Path, template: Sketch, base_dir: Path):
    if b"\x00" in content and not content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise BadInput(f"{source.name} is not a text file: save the table as CSV in UTF-8.")
    head, rows, delimiter = _rows(decoded(content, source.name), source.name)
    _check_head(head, source.name)
    sites, bad = [], []
    for number, cells in enumerate(rows, start=2):
        if not any(cell.strip() for cell in cells):
            continue
        row = f"row {number}"
        named = dict(zip(head, cells, strict=False))
        name = named.get("name", "").strip()
        try:
            if len(cells) != len(head):
                raise SketchError(f"it has {len(cells)} cells where the head has {len(head)}.")
            sketch, note = laid_over(template, named, decimal_comma=delimiter == ";")
        except SketchError as error:
            bad.append(BadRow(row, name, " ".join(error.sentences)))
            continue
        key = site_key(name, sketch)
        sites.append(Site(row, key, sketch.site.name, sketch, str(base_dir), note))
    if not sites and not bad:
        raise BadInput(f"{source.name} holds no sites below its head.")
    return tuple(sites), tuple(bad)


def _check_head(head: list[str], name: str) -> None:
    missing = [column for column in NEEDED if column not in head]
    if missing:
        raise BadInput(
            f"{name} lacks the column{'s' if len(missing) > 1 else ''} {', '.join(missing)}: its "
            f"first line is read as {', '.join(head[:6]) or 'nothing'}."
        )
    blank = [f"column {number}" for number, column in enumerate(head, start=1) if not column]
    if blank:
        raise BadInput(
            f"{name}: {' and '.join(blank[:3])}{' and more' if blank[3:] else ''} of the first "
            f"line {'has' if len(blank) == 1 else 'have'} no name: name or delete "
            f"{'it' if len(blank) == 1 else 'them'}."
        )
    twice = sorted({column for column in head if head.count(column) > 1})
    if twice:
        raise BadInput(f"{name} has the column {twice[0]!r} twice: keep one of them.")
    for column in head:
        if column not in SHORT and not is_field(column):
            raise BadInput(
                f"{name}: column {column!r} is not a field of a sketch; write its dotted path, "
                "such as loads.scale or targets.days_of_autonomy."
            )


def cell_value(text: str, *, decimal_comma: bool = False):
    """What a cell says: a number, true or false, a JSON list, else the text itself."""
    words = text.strip()
    if decimal_comma and re.fullmatch(r"-?\d+,\d+", words):
        words = words.replace(",", ".")
    if words.lower() in ("true", "false"):
        words = words.lower()
    if not re.match(r"[-\d\[{tfn]", words):
        return words
    try:
        return json.loads(words)
    except ValueError:
        return text.strip()


def laid_over(
    template: Sketch, cells: dict[str, str], *, decimal_comma: bool = False
) -> tuple[Sketch, str]:
    """The template with a row's cells put in; empty cells leave it as it is.

    What belongs to the template's own place does not travel with it: its altitude, zone, skyline,
    coldest air and measured weather are left behind, and its roofs face the equator again where the
    site lies in the other hemisphere. The note says so.

    Raises
    ------
    SketchError
        With what is wrong in this row.
    """
    raw = template.model_dump(mode="json")
    notes = _leave_place(raw)
    for column, text in cells.items():
        if text.strip():
            path = SHORT.get(column, column)
            named = path in ("site.name", "title")
            value = text.strip() if named else cell_value(text, decimal_comma=decimal_comma)
            put(raw, path, value)
    for column in NEEDED:
        if not cells.get(column, "").strip():
            raise SketchError(f"{column} is missing.")
    latitude = raw["site"]["latitude_deg"]
    facing = any(column.startswith("roof_planes.") for column in cells)
    other_side = isinstance(latitude, int | float) and (
        latitude * template.site.latitude_deg < 0 and not facing
    )
    if other_side:
        for plane in raw["roof_planes"]:
            plane["azimuth_deg"] = (180 - plane["azimuth_deg"]) % 360
        notes.append("roofs turned to face the equator")
    if "title" not in cells:
        raw["title"] = raw["site"]["name"]
    return sketch_from_dict(raw), "; ".join(notes)


def _leave_place(raw: dict) -> list[str]:
    notes = []
    raw["site"] |= {"elevation_m": None, "utc_offset_h": None, "civil_zone": None, "country": ""}
    if raw["horizon"] or raw["obstacles"]:
        raw["horizon"], raw["obstacles"] = [], []
        notes.append("the template's skyline was left out")
    weather = raw["weather"]
    weather["record_low_c"] = None
    if weather["source"] in ("sample", "file", "monthly"):
        years = WeatherChoice.model_fields["years"].default
        weather |= {"source": "climate", "sample": None, "file": None, "years": years}
        weather |= {"monthly_ghi_kwh_per_m2_day": None, "monthly_tilted_peak_sun_hours_h": None}
        notes.append("built-in climate instead of the template's own weather")
    return notes
