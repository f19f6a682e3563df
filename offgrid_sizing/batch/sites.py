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
from offgrid_sizing.places import nearest_place
from offgrid_sizing.sketch import (
    BadInput,
    Sketch,
    SketchError,
    WeatherChoice,
    file_inside,
    present_path,
    read_sketch,
    reason_of,
    sketch_from_dict,
    sketch_to_json,
    with_mains_of,
)
from offgrid_sizing.spelling import unaccented
from offgrid_sizing.text_files import WESTERN, encoding_of
from offgrid_sizing.words import Said, Sentence, said, sentence, together

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
        What the rows are laid over; where it is left out the farmhouse demo, with the mains and
        the wiring code of each row's country. Files that a template read from a path names are
        looked for beside it, else beside the table.

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
            raise BadInput(sentence("batch.source.no_file", source=str(source)))
        if source.stat().st_size > MAX_BYTES:
            raise BadInput(sentence("batch.source.large", name=source.name))
        content = source.read_bytes()
    except FileNotFoundError:
        raise BadInput(sentence("batch.source.missing", source=str(source))) from None
    except OSError as error:
        reason = reason_of(error)
        raise BadInput(
            sentence("batch.source.unreadable", source=str(source), reason=reason)
        ) from None
    base_dir = source.parent
    if isinstance(template, str | Path):
        base_dir, template = Path(template).parent, read_sketch(template)
    return _from_table(content, source, template, base_dir)


def _from_folder(folder: Path) -> tuple[tuple[Site, ...], tuple[BadRow, ...]]:
    paths = sorted(path for path in folder.iterdir() if path.suffix.lower() == ".json")
    if not paths:
        raise BadInput(sentence("batch.source.no_sketches", source=str(folder)))
    sites, bad = [], []
    for path in paths:
        try:
            sketch = read_sketch(file_inside(folder, path.name, said("batch.this_sketch")))
        except BadInput as error:
            bad.append(BadRow(path.name, path.stem, together(*error.sentences)))
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
            raise BadInput(sentence("batch.table.half_utf16", name=name)) from None
        line = content.count(b"\n", 0, error.start) + 1
        byte = f"{content[error.start]:02X}"
        raise BadInput(sentence("batch.table.mixed", name=name, line=line, byte=byte)) from None


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
        why = _csv_fault(str(error), delimiter)
        raise BadInput(sentence("batch.table.no_csv", name=name, why=why, line=last)) from None
    if not rows:
        raise BadInput(sentence("batch.table.empty", name=name))
    return [head.strip() for head in rows[0]], rows[1:], delimiter


def _csv_fault(words: str, delimiter: str) -> str | Said:
    """What the reader of CSV found (CPython, Modules/_csv.c); a rare fault in its own words."""
    if "end of data" in words:
        return said("batch.csv.open_quote")
    if "expected after" in words:
        return said("batch.csv.after_quote", delimiter=delimiter)
    if "field limit" in words:
        return said("batch.csv.long_cell", limit=csv.field_size_limit())
    return words


def _from_table(content: bytes, source: Path, template: Sketch | None, base_dir: Path):
    if b"\x00" in content and not content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise BadInput(sentence("batch.table.no_text", name=source.name))
    head, rows, delimiter = _rows(decoded(content, source.name), source.name)
    head = [present_path(column) for column in head]
    _check_head(head, source.name)
    decimal_comma, farmhouse = delimiter == ";", demo()
    sites, bad = [], []
    for number, cells in enumerate(rows, start=2):
        if not any(cell.strip() for cell in cells):
            continue
        row = sentence("batch.row", number=number)
        named = dict(zip(head, cells, strict=False))
        name = named.get("name", "").strip()
        try:
            if len(cells) != len(head):
                raise SketchError(sentence("batch.cells", cells=len(cells), head=len(head)))
            base = template or _as_there(farmhouse, named, decimal_comma=decimal_comma)
            sketch, note = laid_over(base, named, decimal_comma=decimal_comma)
        except SketchError as error:
            bad.append(BadRow(row, name, together(*error.sentences)))
            continue
        key = site_key(name, sketch)
        sites.append(Site(row, key, sketch.site.name, sketch, str(base_dir), note))
    if not sites and not bad:
        raise BadInput(sentence("batch.table.no_sites", name=source.name))
    return tuple(sites), tuple(bad)


def _as_there(sketch: Sketch, named: dict[str, str], *, decimal_comma: bool) -> Sketch:
    """The sketch with the mains of the country that a row's point lies in or is nearest to."""
    try:
        latitude_deg, longitude_deg = (
            float(cell_value(named[column], decimal_comma=decimal_comma))
            for column in ("latitude", "longitude")
        )
    except (TypeError, ValueError, BadInput):  # said where the row is laid over the sketch
        return sketch
    if not (abs(latitude_deg) <= 90 and abs(longitude_deg) <= 180):  # likewise
        return sketch
    place, _ = nearest_place(latitude_deg, longitude_deg)
    return with_mains_of(sketch, place.country)


def _check_head(head: list[str], name: str) -> None:
    missing = [column for column in NEEDED if column not in head]
    if missing:
        read_as = ", ".join(head[:6]) or said("batch.table.nothing")
        how_many = "lacks_one" if len(missing) == 1 else "lacks_more"
        columns = ", ".join(missing)
        raise BadInput(
            sentence(f"batch.table.{how_many}", name=name, columns=columns, read_as=read_as)
        )
    blank = [number for number, column in enumerate(head, start=1) if not column]
    if blank:
        raise BadInput(_nameless(name, blank))
    twice = sorted({column for column in head if head.count(column) > 1})
    if twice:
        raise BadInput(sentence("batch.table.twice", name=name, column=repr(twice[0])))
    for column in head:
        if column not in SHORT and not is_field(column):
            raise BadInput(sentence("batch.table.no_field", name=name, column=repr(column)))


def _nameless(name: str, blank: list[int]) -> Sentence:
    how_many = ("one", "two", "three")[len(blank) - 1] if len(blank) <= 3 else "more"
    columns = dict(zip(("first", "second", "third"), blank, strict=False))
    return sentence(f"batch.nameless.{how_many}", name=name, **columns)


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
            raise SketchError(sentence("refused.missing", where=column))
    latitude = raw["site"]["latitude_deg"]
    facing = any(column.startswith("roof_planes.") for column in cells)
    other_side = isinstance(latitude, int | float) and (
        latitude * template.site.latitude_deg < 0 and not facing
    )
    if other_side:
        for plane in raw["roof_planes"]:
            plane["azimuth_deg"] = (180 - plane["azimuth_deg"]) % 360
        notes.append(sentence("batch.note.turned"))
    if "title" not in cells:
        raw["title"] = raw["site"]["name"]
    return sketch_from_dict(raw), together(*notes, by="; ")


def _leave_place(raw: dict) -> list[Sentence]:
    notes = []
    raw["site"] |= {"elevation_m": None, "utc_offset_h": None, "civil_zone": None, "country": ""}
    if raw["horizon"] or raw["obstacles"]:
        raw["horizon"], raw["obstacles"] = [], []
        notes.append(sentence("batch.note.skyline"))
    weather = raw["weather"]
    weather["record_low_c"] = None
    if weather["source"] in ("sample", "file", "monthly"):
        years = WeatherChoice.model_fields["years"].default
        weather |= {"source": "climate", "sample": None, "file": None, "years": years}
        weather |= {"monthly_ghi_kwh_per_m2_day": None, "monthly_tilted_peak_sun_hours_h": None}
        notes.append(sentence("batch.note.climate"))
    return notes
