"""The table of results, and files that are there whole or not at all."""

from __future__ import annotations

import csv
import os
from pathlib import Path
from typing import Any

from offgrid_sizing.batch.sites import BadRow, Site
from offgrid_sizing.batch.solve import FIELDS
from offgrid_sizing.electrical.cautions import cautions
from offgrid_sizing.report.csv_text import safe_cell
from offgrid_sizing.words import DEFAULT, to_words

HEAD = ("row", "name", "latitude", "longitude", "status", *FIELDS, "note", "folder")


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file so that it is never there in part, even if the machine stops."""
    beside = path.with_name(f"{path.name}.{os.getpid()}.part")
    with beside.open("wb") as file:
        file.write(content.encode() if isinstance(content, str) else content)
        file.flush()
        os.fsync(file.fileno())
    beside.replace(path)


def write_table(
    path: Path,
    sites: tuple[Site, ...],
    bad: tuple[BadRow, ...],
    outcomes: dict[str, dict],
    language: str = DEFAULT,
) -> Path:
    """All rows in the order of the source, those that could not be used with their sentence."""
    rows = [(_order(one.row), _bad(one)) for one in bad]
    for site in sites:
        outcome = outcomes.get(site.key)
        row: dict[str, Any] = {
            "row": site.row,
            "name": site.name,
            "note": site.note,
            "status": "not reached",
        }
        row |= {
            "latitude": site.sketch.site.latitude_deg,
            "longitude": site.sketch.site.longitude_deg,
        }
        if outcome is not None:
            row |= {"status": outcome["status"], "folder": f"sites/{site.key}"}
            row |= outcome.get("answer") or {"sentence": outcome["sentence"]}
        rows.append((_order(site.row), row))
    lines = _Lines()
    table = csv.DictWriter(lines, HEAD, restval="", lineterminator="\n")
    table.writeheader()
    for _, row in sorted(rows, key=lambda pair: pair[0]):
        table.writerow({name: safe_cell(_cell(row.get(name, ""), language)) for name in HEAD})
    write_whole(path, "".join(lines))
    return path


def write_cautions(path: Path, sites: tuple[Site, ...], language: str = DEFAULT) -> Path:
    """The full list of cautions for whoever builds one of the sites, in each code they use."""
    books = dict.fromkeys(site.sketch.wiring.rule_book for site in sites)
    said = dict.fromkeys(to_words(one, language) for book in books for one in cautions(book))
    write_whole(path, "".join(f"- {one}\n" for one in said))
    return path


def _bad(one: BadRow) -> dict[str, Any]:
    return {"row": one.row, "name": one.name, "status": "bad row", "sentence": one.sentence}


def _cell(value: Any, language: str) -> Any:
    return to_words(value, language) if isinstance(value, str) else value


def _order(row: str) -> tuple[int, str]:
    number = row.removeprefix("row ")
    return (int(number), "") if number.isdecimal() else (0, row)


class _Lines(list):
    """A list of lines that csv can write to."""

    write = list.append
