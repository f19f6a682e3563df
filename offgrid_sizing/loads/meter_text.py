"""Reading a meter's table as text, whatever wrote it, without ever holding all of it.

Encoding, delimiter, preamble and header are found from the first lines; then only the wanted
columns are streamed. Size, rows, columns and fields are bounded.
"""

import csv
import io
from collections import Counter
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from offgrid_sizing.loads.meter_times import looks_like_time
from offgrid_sizing.loads.meter_values import looks_like_number
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.text_files import SAMPLE_BYTES, encoding_of
from offgrid_sizing.words import sentence

MAX_METER_BYTES = 60_000_000
MAX_ROWS = 800_000
MAX_COLUMNS = 400
MAX_LINE = 100_000
SAMPLE_LINES = 200
_DELIMITERS = (";", "\t", "|", ",")
_MAGIC = (
    (b"PK\x03\x04", "workbook"),
    (b"\xd0\xcf\x11\xe0", "old_workbook"),
    (b"\x1f\x8b", "compressed"),
    (b"\x89PNG", "picture"),
    (b"\xff\xd8\xff", "picture"),
    (b"%PDF", "pdf"),
)


@dataclass(frozen=True)
class Layout:
    """How a table is written.

    `sample` holds the first data rows; `skipped` the lines before the first of them.
    """

    name: str
    encoding: str
    delimiter: str
    header: tuple[str, ...]
    has_header: bool
    skipped: int
    sample: tuple[tuple[str, ...], ...]


def name_of(source) -> str:
    """What to call a source in a sentence."""
    return sentence("meter.uploaded") if isinstance(source, bytes) else Path(source).name


def _size(source) -> int:
    return len(source) if isinstance(source, bytes) else Path(source).stat().st_size


def _may_be_read(path: Path) -> bool:
    """False for a device or a pipe, which may never end."""
    return path.is_file() or path.is_dir()  # a folder gets its own sentence


def open_bytes(source):
    """The bytes of a path or an upload, after checks that it exists and is not too large.

    Raises
    ------
    BadInput
        No such file, a folder, unreadable, empty or larger than 60 MB.
    """
    name = name_of(source)
    try:
        size = _size(source)
        if not isinstance(source, bytes) and not _may_be_read(Path(source)):
            raise BadInput(sentence("meter.text.no_ordinary_file", file=name))
        # The caller closes it, and streams from it, so neither Path.open nor `with` fits.
        stream = io.BytesIO(source) if isinstance(source, bytes) else open(source, "rb")  # noqa: PTH123, SIM115 - see above
    except FileNotFoundError:
        raise BadInput(sentence("meter.text.not_there", file=str(source))) from None
    except IsADirectoryError:
        raise BadInput(sentence("meter.text.folder", file=name)) from None
    except BadInput:
        raise
    except (OSError, ValueError) as error:
        reason = str(getattr(error, "strerror", None) or error)
        raise BadInput(sentence("meter.text.unreadable", file=name, reason=reason)) from None
    if size > MAX_METER_BYTES:
        stream.close()
        most = MAX_METER_BYTES / 1e6
        raise BadInput(sentence("meter.text.too_large", file=name, size=size / 1e6, most=most))
    if size == 0:
        stream.close()
        raise BadInput(sentence("meter.text.empty", file=name))
    return stream


def _encoding(head: bytes, name: str) -> str:
    for magic, what in _MAGIC:
        if head.startswith(magic):
            known = sentence(f"meter.text.{what}")
            raise BadInput(sentence("meter.text.no_table", file=name, what=known))
    encoding = encoding_of(head)
    if not encoding.startswith("utf-16") and head.count(0) > 0.02 * len(head):
        raise BadInput(sentence("meter.text.nul", file=name))
    return encoding


def _text(source, encoding: str):
    return io.TextIOWrapper(open_bytes(source), encoding=encoding, errors="replace", newline="")


def _lines(text):
    """Lines of a text; of one longer than any reading only the beginning."""
    for line in text:
        yield line[:MAX_LINE]


def _rows(lines, delimiter: str):
    """Cells of each line. A quote sign left open spoils its own line only."""
    for line in lines:
        if delimiter == " ":
            yield line.split()
            continue
        try:
            yield next(csv.reader((line,), delimiter=delimiter, skipinitialspace=True), [])
        except csv.Error:
            yield [""]


def _delimiter(lines: list[str], name: str) -> tuple[str, int]:
    best = (0.0, "", 0)
    for delimiter in (*_DELIMITERS, " "):
        widths = [len(row) for row in _rows(lines, delimiter) if any(c.strip() for c in row)]
        usual, times = Counter(widths).most_common(1)[0] if widths else (0, 0)
        share = times / max(len(widths), 1)
        if usual >= 2 and share > best[0] + (0.0 if best[0] < 0.8 else 1.0):
            best = (share, delimiter, usual)
    if not best[1]:
        raise BadInput(sentence("meter.text.no_columns", file=name))
    return best[1], best[2]


def _is_data(row: list[str], width: int) -> bool:
    cells = [cell.strip() for cell in row]
    if len(cells) < min(width, 2):
        return False
    times = [looks_like_time(cell) for cell in cells]
    numbers = [looks_like_number(cell) and not t for cell, t in zip(cells, times, strict=True)]
    # Epoch seconds or spreadsheet days: a row of numbers alone.
    return sum(numbers) >= (1 if any(times) else 2)


def layout_of(source) -> Layout:
    """Find encoding, delimiter and header from the first lines.

    Raises
    ------
    BadInput
        Not text, no columns, or no line that holds a time and a number.
    """
    name = name_of(source)
    with open_bytes(source) as stream:
        encoding = _encoding(stream.read(SAMPLE_BYTES), name)
    with _text(source, encoding) as text:
        lines = list(islice(_lines(text), SAMPLE_LINES))
    delimiter, width = _delimiter(lines, name)
    rows = [[cell.strip() for cell in row] for row in _rows(lines, delimiter)]
    first = next((at for at, row in enumerate(rows) if _is_data(row, width)), None)
    if first is None:
        raise BadInput(sentence("meter.text.no_readings", file=name, lines=len(lines)))
    if max(len(row) for row in rows[first:]) > MAX_COLUMNS:
        raise BadInput(sentence("meter.text.too_wide", file=name, most=MAX_COLUMNS))
    above = [row for row in rows[:first] if any(row)]
    header = _header(above, len(rows[first]))
    return Layout(
        name=name,
        encoding=encoding,
        delimiter=delimiter,
        header=header or tuple(_nameless(n) for n in range(len(rows[first]))),
        has_header=bool(header),
        skipped=first,
        sample=tuple(tuple(row) for row in rows[first:] if row),
    )


def _header(above: list[list[str]], width: int) -> tuple[str, ...]:
    """The header's cells; a second line of units is joined to the names."""
    if not above or len(above[-1]) < max(width - 1, 1):
        return ()
    cells = above[-1]
    if len(above) > 1 and len(above[-2]) == len(cells) and all(len(c) < 8 for c in cells):
        cells = [f"{name} {unit}".strip() for name, unit in zip(above[-2], cells, strict=True)]
    cells = [*cells, ""][:width] + [""] * (width - len(cells) - 1)
    return tuple(cell or _nameless(n) for n, cell in enumerate(cells))


def _nameless(at: int) -> str:
    """What to call a column that has no name of its own."""
    return sentence("meter.column", number=at + 1)


def read_columns(source, layout: Layout, wanted: tuple[int, ...]) -> list[list[str]]:
    """The wanted columns of every data row, as text, a list each.

    Rows too short to hold them come as empty cells.

    Raises
    ------
    BadInput
        More rows than 800,000.
    """
    found: list[list[str]] = [[] for _ in wanted]
    with _text(source, layout.encoding) as text:
        for number, row in enumerate(_rows(_lines(text), layout.delimiter)):
            if number < layout.skipped or not row:
                continue
            if len(found[0]) >= MAX_ROWS:
                raise BadInput(sentence("meter.text.too_long", file=layout.name, most=MAX_ROWS))
            for cells, at in zip(found, wanted, strict=True):
                cells.append(row[at] if at < len(row) else "")
    return found
