"""A paper that cannot be made costs itself alone: figures, hours and other papers are written."""

from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from offgrid_sizing.words import Sentence, sentence

T = TypeVar("T")


class PaperError(Exception):
    """Papers could not be made; everything else of the answer is written.

    Attributes
    ----------
    sentence : str
        Which, and why.
    written : tuple of Path
        What is there all the same.
    """

    def __init__(self, sentence: Sentence, written: tuple[Path, ...]):
        super().__init__(sentence)
        self.sentence, self.written = sentence, written


class Spared:
    """Makes papers one by one and notes which could not be made."""

    def __init__(self) -> None:
        self.faults: dict[str, BaseException] = {}

    def make(self, name: str, work: Callable[[], T]) -> T | None:
        """What the work gives; None where it failed, whatever ended it but a wish to stop."""
        try:
            return work()
        except (KeyboardInterrupt, SystemExit, GeneratorExit):
            raise
        except BaseException as fault:  # the typesetter's own panic is no Exception
            self.faults[name] = fault
            return None

    def sentence(self) -> Sentence:
        """Which papers are missing, and why the first of them is."""
        fault = next(iter(self.faults.values()))
        why = (str(fault).splitlines() or [""])[0][:200]
        names = ", ".join(self.faults)
        return sentence("paper.not_made", names=names, kind=type(fault).__name__, fault=why)
