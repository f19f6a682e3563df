"""The two boards on paper: what stands on each, and the year of the unprotected supply."""

from __future__ import annotations

from offgrid_sizing.boundary_words import boundary_sentence, unprotected_sentences
from offgrid_sizing.loads.boards import BoardList, board_lists
from offgrid_sizing.report.model import Block, Notes, Table
from offgrid_sizing.report.spoken import figure
from offgrid_sizing.simulation import Simulation
from offgrid_sizing.words import sentence

_HEADS = ("appliance", "count", "running_all", "va", "start_va", "line", "kwh_a_day")


def _table(one: BoardList) -> Table:
    return Table(
        sentence(f"paper_energy.board_{one.board}"),
        tuple(sentence(f"paper_energy.col_{key}") for key in _HEADS),
        tuple(
            (
                row.name,
                row.count,
                round(row.running_w, 1),
                round(row.running_va, 1),
                round(row.start_va, 1),
                row.line,
                round(row.kwh_per_day, 3),
            )
            for row in one.rows
        ),
        note=sentence(
            "paper_energy.board_note",
            running=figure(one.peak.running_va),
            starting=figure(one.peak.starting_va),
            kwh=figure(one.daily_kwh),
        ),
    )


def board_tables(simulation: Simulation) -> tuple[Table, ...]:
    """The protected board and the unprotected supply; empty where there is no boundary."""
    lists = board_lists(simulation.sketch, simulation.inputs.loads)
    return tuple(_table(one) for one in lists)


def board_blocks(simulation: Simulation) -> tuple[Block, ...]:
    """Both boards and what the year is for the unprotected one; empty where there is none."""
    tables = board_tables(simulation)
    boundary = boundary_sentence(simulation.sketch, simulation.inputs.loads)
    if boundary is None:
        return ()
    told = (boundary, *unprotected_sentences(simulation))
    return (*tables, Notes(sentence("paper_energy.board_year"), told))
