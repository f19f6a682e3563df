"""Whether the wiring of a system holds, in one prominent sentence for every paper, file and row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from offgrid_sizing.electrical.sizes import RuleBook, code_of
from offgrid_sizing.words import sentence

if TYPE_CHECKING:
    from offgrid_sizing.electrical.design import ElectricalDesign


@dataclass(frozen=True)
class Verdict:
    """Refused, with faults, or all limits kept.

    Parameters
    ----------
    rule_book : str
    refused : tuple of str
        Why no wiring could be worked out; empty where there is a design.
    faults : tuple of str
        Every limit the design breaks; empty where none is, or where it is refused.
    """

    rule_book: RuleBook
    refused: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()

    @property
    def code(self) -> str:
        """The rule book with its edition."""
        return code_of(self.rule_book).title

    @property
    def ok(self) -> bool:
        """Whether there is a design and it keeps every limit that is checked."""
        return not self.refused and not self.faults

    @property
    def sentences(self) -> tuple[str, ...]:
        """Everything to be put right."""
        return self.refused or self.faults

    @property
    def headline(self) -> str:
        """What is the matter, in one sentence."""
        if self.refused:
            return sentence("verdict.refused")
        count = len(self.faults)
        if count:
            kind = "broken_one" if count == 1 else "broken"
            return sentence(f"verdict.{kind}", count=count, code=self.code)
        return sentence("verdict.kept", code=self.code)

    @property
    def alert(self) -> str:
        """The headline with what is to be put right first; empty where all is well."""
        if self.ok:
            return ""
        first, *more = self.sentences
        key = "alert_more" if more else "alert"
        return sentence(f"verdict.{key}", headline=self.headline, first=first, more=len(more))


def verdict_of(
    rule_book: RuleBook, design: ElectricalDesign | None, refusal: tuple[str, ...] = ()
) -> Verdict:
    """The verdict on a design, or on the refusal that stands in its place.

    Parameters
    ----------
    rule_book : str
    design : ElectricalDesign or None
        None where the boxes cannot be wired.
    refusal : tuple of str
        The sentences that say why; read only without a design.
    """
    if design is None:
        return Verdict(rule_book, refused=refusal or (sentence("verdict.no_wiring"),))
    return Verdict(rule_book, faults=design.faults)
