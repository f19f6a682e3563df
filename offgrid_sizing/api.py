"""What other programs may hold on to: a sketch goes in, an outcome comes out.

>>> from offgrid_sizing.api import load_sketch, outcome, summary
>>> answer = outcome(load_sketch("sketch.json"))  # doctest: +SKIP
>>> summary(answer)["electrical"]["ok"]  # doctest: +SKIP
True

The names of `__all__` keep their meaning, and a change of them stands in CHANGELOG.md; every
other module may change without a word. This module works nothing out: each name is one of the
rooms' own, and its docstring says what it takes, gives and raises. Whatever is wrong with a
sketch or its files raises `BadInput`, one sentence a fault in `sentences`.
"""

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import Outcome, compared_outcome, sized_outcome
from offgrid_sizing.outcome import drawn_outcome as outcome
from offgrid_sizing.report.folder import write_folder as write_answer
from offgrid_sizing.report.hourly import hourly_frame as hourly
from offgrid_sizing.report.machine import summary_dict as summary
from offgrid_sizing.sketch import (
    BadInput,
    Sketch,
    json_schema,
    sketch_from_dict,
    sketch_from_json,
    sketch_to_json,
)
from offgrid_sizing.sketch import read_sketch as load_sketch

__all__ = [
    "BadInput",
    "Outcome",
    "Sketch",
    "compared_outcome",
    "demo",
    "hourly",
    "json_schema",
    "load_sketch",
    "outcome",
    "sized_outcome",
    "sketch_from_dict",
    "sketch_from_json",
    "sketch_to_json",
    "summary",
    "write_answer",
]
