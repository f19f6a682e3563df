"""One run as designed: conductor, device and protective conductor by each code."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from offgrid_sizing.electrical.protective import ProtectiveConductor, protective_conductor
from offgrid_sizing.electrical.run_need import Choice, RunNeed
from offgrid_sizing.electrical.sizes import RuleBook, code_of


@dataclass(frozen=True)
class RunDesign:
    """One run by the code shown and the one beside it; `shown` is the one the sketch chose.

    Parameters
    ----------
    need : RunNeed
    by_code : mapping of str to Choice
    rule_book : str
    """

    need: RunNeed
    by_code: Mapping[str, Choice]
    rule_book: RuleBook

    @property
    def shown(self) -> Choice:
        """The choice in the sketch's rule book."""
        return self.by_code[self.rule_book]

    @property
    def other(self) -> Choice:
        """The choice in the other rule book."""
        return self.by_code[code_of(self.rule_book).beside]

    @cached_property
    def protective_by_code(self) -> Mapping[str, ProtectiveConductor]:
        """Its protective conductor by each code."""
        return {name: protective_conductor(choice) for name, choice in self.by_code.items()}

    @property
    def protective(self) -> ProtectiveConductor:
        """Its protective conductor in the sketch's rule book."""
        return self.protective_by_code[self.rule_book]

    @property
    def other_label(self) -> str:
        """The size the other rule book itself chooses, also where the user's own is in use."""
        return self.other.rule_label
