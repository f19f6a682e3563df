"""Tables of the wiring rules as shipped in `data/rules`: read once, each with its source."""

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from offgrid_sizing.paths import data_dir
from offgrid_sizing.words import sentence
from offgrid_sizing.words.cited import cited


@dataclass(frozen=True)
class RuleTable:
    """One table of a rule book or standard.

    Parameters
    ----------
    name : str
        File name without its ending.
    title, source, edition, provenance, note : str
        As written at the head of the file.
    columns : tuple of str
    rows : tuple of tuple of str
        Cells as text; `numbers` turns a column into floats.
    """

    name: str
    title: str
    source: str
    edition: str
    provenance: str
    note: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def texts(self, column: str) -> tuple[str, ...]:
        """One column as text."""
        place = self.columns.index(column)
        return tuple(row[place] for row in self.rows)

    def numbers(self, column: str) -> tuple[float, ...]:
        """One column as floats; an empty cell (no value in the table) becomes 0."""
        return tuple(float(cell) if cell else 0.0 for cell in self.texts(column))

    @property
    def cited(self) -> str:
        """Source and edition, for a person to read."""
        return cited(f"{self.source}, edition {self.edition}")


@cache
def rule_table(name: str) -> RuleTable:
    """A shipped table by its file name without ending, wherever under `data/rules` it lies.

    Raises
    ------
    FileNotFoundError
        When the installation lacks the table.
    """
    found = next((data_dir() / "rules").rglob(f"{name}.csv"), None)
    if found is None:
        raise FileNotFoundError(sentence("rules.missing", name=name))
    return read_table(found)


@cache
def read_table(path: Path) -> RuleTable:
    """A table from a file, with the source at its head."""
    lines = path.read_text(encoding="utf-8").splitlines()
    heads = (line[1:].split(":", 1) for line in lines if line.startswith("#"))
    head = {key.strip(): value.strip() for key, value in heads}
    table = list(csv.reader(line for line in lines if line and not line.startswith("#")))
    return RuleTable(
        name=path.stem,
        title=head["title"],
        source=cited(head["source"]),
        edition=head["edition"],
        provenance=head["provenance"],
        note=head.get("note", ""),
        columns=tuple(table[0]),
        rows=tuple(tuple(row) for row in table[1:]),
    )
