"""What to set as the largest current of each machine's alternating-current input, by source."""

from dataclasses import dataclass
from math import floor
from typing import Literal

from offgrid_sizing.electrical.legs import LINES
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import Said, said

Source = Literal["grid", "generator"]
SMALLEST_A = 5  # common practice, no source: inputs can seldom be set below about 5 A


@dataclass(frozen=True)
class InputLimit:
    """The input limit of each machine for one source, in whole amperes as it is keyed in.

    Parameters
    ----------
    source : {"grid", "generator"}
    source_w : float
        What the source gives in all: the grid's import limit, the generator's rating. [W]
    line_v : float
        Line to neutral. [V]
    lines : int
        Lines the source shares its power over, evenly.
    per_line : int
        Machines on each line.
    transfer_max_a : float
        What one machine's input bears. [A]
    """

    source: Source
    source_w: float
    line_v: float
    lines: int
    per_line: int
    transfer_max_a: float

    @property
    def source_line_a(self) -> float:
        """What the source gives on each line, at power factor 1. [A]"""
        return self.source_w / (self.lines * self.line_v)

    @property
    def by_machine(self) -> bool:
        """Whether the machine's own transfer limit is the smaller."""
        return self.transfer_max_a <= self.source_line_a / self.per_line

    @property
    def each_a(self) -> int:
        """The setting of each machine, rounded down. [A]"""
        most_a = min(self.transfer_max_a, self.source_line_a / self.per_line)
        return floor(most_a + 1e-9)

    @property
    def line_a(self) -> int:
        """All machines of one line together, so set. [A]"""
        return self.each_a * self.per_line

    @property
    def words(self) -> str:
        """The setting with its sum, e.g. "10 A each, 20 A together"."""
        return str(self.words_said)

    @property
    def words_said(self) -> Said:
        """The setting with its sum, in any language."""
        if self.lines * self.per_line == 1:
            kind = "one"
        elif self.lines == 1:
            kind = "together"
        else:
            kind = "each_line" if self.per_line == 1 else "together_each_line"
        return said(f"input.set.{kind}", each=self.each_a, total=self.line_a)

    @property
    def because(self) -> str:
        """How the setting comes about."""
        return str(self.because_said)

    @property
    def because_said(self) -> Said:
        """How the setting comes about, in any language."""
        shared = "of_lines" if self.lines > 1 else "of_one"
        gives = said(
            f"input.gives.{shared}",
            watts=round(self.source_w),
            volts=self.line_v,
            lines=self.lines,
            amperes=self.source_line_a,
        )
        source = said(f"input.of.{self.source}", gives=gives)
        if self.by_machine:
            return said("input.because.machine", most=self.transfer_max_a, source=source)
        if self.per_line > 1:
            return said("input.because.shared", source=source, machines=self.per_line)
        return said("input.because.source", source=source)

    @property
    def too_small(self) -> str:
        """A sentence where the setting is lower than inputs can commonly be set; else empty."""
        return "" if self.too_small_said is None else str(self.too_small_said)

    @property
    def too_small_said(self) -> Said | None:
        """The same in any language, None where the setting is large enough."""
        if self.each_a >= SMALLEST_A:
            return None
        kind = "machine" if self.by_machine else self.source
        return said(
            f"input.small.{self.source}",
            each=self.each_a,
            smallest=SMALLEST_A,
            remedy=said(f"input.remedy.{kind}"),
        )


def input_limits(sketch: Sketch, system: System) -> tuple[InputLimit, ...]:
    """The limit for each source that feeds the inputs, the grid before the generator.

    Parameters
    ----------
    sketch : Sketch
    system : System

    Returns
    -------
    tuple of InputLimit
        Empty without grid and generator.

    Notes
    -----
    The smaller of what a machine passes and its share of what the source gives; a source feeds
    all lines evenly (the load may not, the inputs then draw less). Power factor 1 is the safe
    side: at any other the same amperes are fewer watts.
    """
    machine, lines = sketch.equipment.inverter, len(LINES[system.arrangement])
    sources: list[tuple[Source, float]] = []
    if sketch.grid.kind != "none":
        sources.append(("grid", sketch.grid.import_limit_w))
    if sketch.generator is not None:
        sources.append(("generator", sketch.generator.rated_w))
    return tuple(
        InputLimit(
            source=source,
            source_w=source_w,
            line_v=machine.output_v,
            lines=lines,
            per_line=system.inverters // lines,
            transfer_max_a=machine.transfer_max_a,
        )
        for source, source_w in sources
    )


def one_setting(limits: tuple[InputLimit, ...]) -> tuple[InputLimit, str] | None:
    """The limit to key in where one setting must serve both sources, and why; None without both.

    Parameters
    ----------
    limits : tuple of InputLimit
        From `input_limits`.
    """
    if len(limits) < 2:
        return None
    small, large = sorted(limits, key=lambda limit: limit.each_a)
    if small.each_a == large.each_a:
        return small, "the same for both"
    return small, f"the smaller of the two, the {small.source}'s"
