"""What a summary is made of: plain blocks that paper, workbook and screen can each set.

Their texts are sayings where the engine speaks (`words.Sentence`); `in_words` puts all of them into
a language at once.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TypeVar

import numpy as np

from offgrid_sizing.economics.lifecycle import LifeCycle
from offgrid_sizing.electrical.verdict import Verdict
from offgrid_sizing.report.charts_svg import Figure
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import Saying, to_words

Cell = str | float | int | None


@dataclass(frozen=True)
class Table:
    """Rows under a head; numbers stay numbers, so that a workbook can compute with them.

    `lead` stands above the rows, `note` below; `widths` are relative widths of the columns on
    paper, empty lets them follow their content.
    """

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    note: str = ""
    widths: tuple[float, ...] = ()
    lead: str = ""


@dataclass(frozen=True)
class Notes:
    """Sentences, one below the other."""

    title: str
    items: tuple[str, ...]


Block = Table | Notes | Figure


@dataclass(frozen=True)
class Section:
    """One subject: a sentence that answers it, then the blocks that show why."""

    key: str
    title: str
    sentence: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, eq=False)
class Hourly:
    """The simulated year step by step, columns as in the hourly file."""

    time: tuple[str, ...]
    columns: dict[str, np.ndarray]
    step_h: float


@dataclass(frozen=True, eq=False)
class Summary:
    """Everything handed over about one sketch, in the order it is read.

    `facts` and `price` are (label, value) pairs for the first page; `year` says which weather year
    pictures and money stand on, `several_years` whether there are others; parts that were not
    computed are None and simply do not appear. A `wiring` that does not hold is said on the first
    page.
    """

    sketch: Sketch
    system: System
    title: str
    place: str
    sentence: str
    facts: tuple[tuple[str, str], ...]
    price: tuple[tuple[str, str], ...]
    year: str
    several_years: bool
    cautions: tuple[str, ...]
    front: tuple[Figure, ...]
    sections: tuple[Section, ...]
    sketch_id: str
    version: str
    date: str
    monthly: Table | None = None
    frontier: Table | None = None
    wiring: Verdict | None = None
    appliances: Table | None = None
    boards: tuple[Table, ...] = ()
    conductors: Table | None = None
    input_limits: Table | None = None
    sources: Table | None = None
    designations: Table | None = None
    inspection: Table | None = None
    life: LifeCycle | None = None
    hourly: Hourly | None = None


T = TypeVar("T")


def in_words(one: T, language: str) -> T:
    """A text in a language, or the same thing with all its texts in that language.

    Figures are drawn; what holds no text (numbers, the sketch, the hours) stays as it is.
    """
    told: object = one
    if isinstance(one, (str, Saying)):
        told = to_words(one, language)
    elif isinstance(one, tuple):
        told = tuple(in_words(part, language) for part in one)
    elif isinstance(one, Figure):
        told = one.to(language)
    elif isinstance(one, (Table, Notes, Section, Summary)):
        parts = {part.name: in_words(getattr(one, part.name), language) for part in fields(one)}
        told = replace(one, **parts)
    return told  # type: ignore[return-value] # each kind gives its own kind
