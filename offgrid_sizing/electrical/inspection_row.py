"""One row of what an inspector looks for, and what every row is worked out from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.wiring_code import WiringCode, words_of
from offgrid_sizing.words import Said, Sentence, said, sentence, together
from offgrid_sizing.words.spoken import spoken

if TYPE_CHECKING:
    from offgrid_sizing.electrical.arrangement import ArrangementPlan
    from offgrid_sizing.electrical.bank import BankWiring
    from offgrid_sizing.electrical.run_design import RunDesign
    from offgrid_sizing.electrical.run_need import RunNeed
    from offgrid_sizing.electrical.strings import InputPlan, StringChoice

State = Literal["fault", "asked", "checked", "designed", "not_done"]
STATES: tuple[State, ...] = ("fault", "asked", "designed", "checked", "not_done")


@dataclass(frozen=True)
class InspectionRow:
    """What an inspector looks for, and where this design stands.

    Parameters
    ----------
    key : str
        Its name is `inspection.title.<key>`.
    state : {"fault", "asked", "designed", "checked", "not_done"}
        A broken limit; a question to the user; a choice made here; a limit kept or a rule that does
        not apply; what this program does not do.
    clauses : tuple of str
        Of the wiring code shown.
    said : Said
    fields : tuple of str
        Fields of the sketch that answer a question.
    told_elsewhere : bool
        A fault the design names already, at the run it belongs to.
    terms : str
        Which set of `code_words` its title is said in.
    """

    key: str
    state: State
    clauses: tuple[str, ...]
    said: Said
    fields: tuple[str, ...] = ()
    told_elsewhere: bool = False
    terms: str = "iec"

    @property
    def title(self) -> Said:
        """What it is about."""
        return spoken(said(f"inspection.title.{self.key}"), words_of(self.terms))

    @property
    def fault(self) -> Sentence:
        """The row as one sentence among a design's faults."""
        return sentence(
            "inspection.as_fault",
            title=self.title,
            text=self.said,
            clauses=together(*self.clauses, by="; "),
        )


@dataclass(frozen=True)
class Seen:
    """All that the rows look at: the sketch, its code, and what has been designed.

    `runs`, `plans`, `drawn`, `bank` and `arrangement` are those of the `ElectricalDesign`.
    """

    sketch: Sketch
    system: System
    code: WiringCode
    runs: tuple[RunDesign, ...]
    plans: tuple[InputPlan, ...]
    drawn: tuple[StringChoice, ...]
    bank: BankWiring | None
    arrangement: ArrangementPlan

    @property
    def array_v(self) -> float:
        """Highest open-circuit voltage of the strings in the coldest air; 0 without any. [V]"""
        return max((one.cold_voc_v for one in self.drawn), default=0.0)

    def run(self, key: str) -> RunDesign | None:
        """A run by its key."""
        return next((run for run in self.runs if run.need.key == key), None)


def run_name(need: RunNeed) -> str:
    """A run's name in every language."""
    return need.title


def by_answer(
    key: str, clauses: tuple[str, ...], answer: str, field: str, **values: object
) -> InspectionRow:
    """A row that stands or falls with what the user says of a box: yes, no, or not known.

    Its sentences are `inspection.<key>.yes`, `.no` and `.asked`.
    """
    states: dict[str, tuple[State, str]] = {
        "yes": ("checked", "yes"),
        "no": ("fault", "no"),
        "unknown": ("asked", "asked"),
    }
    state, name = states[answer]
    words = said(f"inspection.{key}.{name}", **values)
    return InspectionRow(key, state, clauses, words, (field,) if state == "asked" else ())
