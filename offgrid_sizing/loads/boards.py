"""What stands on each of the two boards: a row an appliance, with its power, start and energy."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.loads.peaks import legs_of, moments_of
from offgrid_sizing.loads.year import LoadYear, Peak
from offgrid_sizing.sketch import Board, Sketch
from offgrid_sizing.words import Sentence, sentence


@dataclass(frozen=True)
class BoardRow:
    """One kind of appliance on its board; powers are of all of its count.

    Parameters
    ----------
    name : str
    count : int
    running_w, running_va : float
        [W], [VA]
    start_va : float
        All of them running while one of them starts. [VA]
    line : Sentence
        As the sketch says; what is left to the program is spread to balance.
    kwh_per_day : float
        Mean of the first weather year. [kWh/day]
    """

    name: str
    count: int
    running_w: float
    running_va: float
    start_va: float
    line: Sentence
    kwh_per_day: float


@dataclass(frozen=True)
class BoardList:
    """One board: its rows, largest energy first, what it may draw at once, and its energy."""

    board: Board
    rows: tuple[BoardRow, ...]
    peak: Peak
    daily_kwh: float


def _rows(
    sketch: Sketch, board: Board, names: tuple[str, ...], rows_w: np.ndarray, step_h: float
) -> tuple[BoardRow, ...]:
    moments = moments_of(sketch, board=board)
    kwh = rows_w.sum(axis=1) * step_h / 365 / 1000
    one_line = legs_of(sketch) == 1
    found = []
    for at in np.argsort(-kwh, kind="stable"):
        appliance = moments.appliances[at]
        leg = "L1" if one_line else appliance.leg
        found.append(
            BoardRow(
                name=names[at],
                count=appliance.count,
                running_w=float(moments.running_w[at]),
                running_va=float(moments.running_va[at]),
                start_va=float(moments.running_va[at] + moments.start_va[at]),
                line=sentence(f"choices.leg.{leg}"),
                kwh_per_day=float(kwh[at]),
            )
        )
    return tuple(found)


def board_lists(sketch: Sketch, year: LoadYear) -> tuple[BoardList, ...]:
    """The protected board and the unprotected supply; empty where there is no boundary.

    Parameters
    ----------
    sketch : Sketch
    year : LoadYear
        Of that sketch.
    """
    beside = year.unprotected
    if beside is None:
        return ()
    own = _rows(sketch, "protected", year.appliance_names, year.appliance_w, year.step_h)
    other = _rows(sketch, "unprotected", beside.appliance_names, beside.appliance_w, year.step_h)
    return (
        BoardList("protected", own, year.peak, year.daily_kwh),
        BoardList("unprotected", other, beside.peak, beside.daily_kwh),
    )
