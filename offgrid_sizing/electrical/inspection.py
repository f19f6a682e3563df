"""What inspectors look for, row by row: broken, asked, designed, checked, or not done."""

from dataclasses import dataclass, replace

from offgrid_sizing.electrical import inspect_array, inspect_bank, inspect_place
from offgrid_sizing.electrical.clearance import Clearance, clearance_of
from offgrid_sizing.electrical.earthing import Earthing, earthing_of
from offgrid_sizing.electrical.heating import Heated, heated_of, heating_row
from offgrid_sizing.electrical.inspect_array import surge_array_v
from offgrid_sizing.electrical.inspection_row import STATES, InspectionRow, Seen, State
from offgrid_sizing.electrical.not_done import NOT_DONE, not_done_words
from offgrid_sizing.words import Said, Sentence, said
from offgrid_sizing.words.spoken import spoken

_ROWS = (*inspect_array.ROWS, *inspect_bank.ROWS, *inspect_place.ROWS)


@dataclass(frozen=True)
class Inspection:
    """Every row an inspector may ask about, by the wiring code shown.

    Parameters
    ----------
    rows : tuple of InspectionRow
        In the order of the subject: array, bank, room, runs, earthing, clearance, not done.
    earthing : Earthing
    clearance : Clearance
    heated : tuple of Heated
        Short-circuit heating of conductors, circuit by circuit.
    surge_array_v : float
        Least continuous voltage of the array's surge device; 0 without an array. [V]
    """

    rows: tuple[InspectionRow, ...]
    earthing: Earthing
    clearance: Clearance
    heated: tuple[Heated, ...]
    surge_array_v: float

    def of(self, state: State) -> tuple[InspectionRow, ...]:
        """The rows of one state."""
        return tuple(row for row in self.rows if row.state == state)

    @property
    def by_state(self) -> tuple[tuple[State, tuple[InspectionRow, ...]], ...]:
        """Faults and questions first; states without a row are left out."""
        return tuple((state, self.of(state)) for state in STATES if self.of(state))

    @property
    def faults(self) -> tuple[Sentence, ...]:
        """Broken limits that no run, string or bank names already."""
        return tuple(row.fault for row in self.of("fault") if not row.told_elsewhere)

    @property
    def questions(self) -> int:
        """How many rows wait for the user's answer."""
        return len(self.of("asked"))

    @property
    def fields(self) -> tuple[str, ...]:
        """Fields of the sketch that would answer what is open, each once."""
        return tuple(dict.fromkeys(field for row in self.of("asked") for field in row.fields))

    @property
    def sentence(self) -> Said:
        """How much is open."""
        return open_words(self.questions)

    def row(self, key: str) -> InspectionRow:
        """A row by its key.

        Raises
        ------
        KeyError
            When there is none.
        """
        for row in self.rows:
            if row.key == key:
                return row
        raise KeyError(key)


def open_words(questions: int) -> Said:
    """How many questions of an inspector wait for an answer, as a sentence."""
    if not questions:
        return said("inspection.open_none")
    if questions == 1:
        return said("inspection.open_one")
    return said("inspection.open_many", count=questions)


def inspection_of(seen: Seen) -> Inspection:
    """All rows of a design, by the code shown alone.

    Parameters
    ----------
    seen : Seen
        What has been designed; no figure is worked out twice.
    """
    earthing, clearance = earthing_of(seen), clearance_of(seen)
    heated = heated_of(seen)
    undone = (InspectionRow(key, "not_done", (), not_done_words(key)) for key in NOT_DONE)
    rows = (
        *(row(seen) for row in _ROWS),
        *earthing.rows,
        *clearance.rows,
        heating_row(seen, heated),
        *undone,
    )
    code = seen.code
    rows = tuple(replace(spoken(row, code.words), terms=code.terms) for row in rows)
    return Inspection(rows, earthing, clearance, heated, surge_array_v(seen))
