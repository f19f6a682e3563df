"""What to set as the largest current of each machine's alternating-current input, by source."""

from dataclasses import dataclass
from math import floor, inf

from offgrid_sizing.electrical.source_device import AcSource, feeds
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import Sentence, said, sentence

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
    device_a, device_bears_a : float
        The source's own device on each line, and what it bears for long by the code. [A]
    beside_a : float
        What the unprotected supply may draw from the source on the fullest line. [A]
    """

    source: AcSource
    source_w: float
    line_v: float
    lines: int
    per_line: int
    transfer_max_a: float
    device_a: float = inf
    device_bears_a: float = inf
    beside_a: float = 0.0

    @property
    def source_line_a(self) -> float:
        """What the source gives on each line, at power factor 1. [A]"""
        return self.source_w / (self.lines * self.line_v)

    @property
    def lasting_a(self) -> float:
        """What the machines may draw on each line for long: what the source gives and its device
        bears, less what the unprotected supply may take."""
        return max(min(self.source_line_a, self.device_bears_a) - self.beside_a, 0.0)

    @property
    def by_machine(self) -> bool:
        """Whether the machine's own transfer limit is the smaller."""
        return self.transfer_max_a <= self.lasting_a / self.per_line

    @property
    def by_device(self) -> bool:
        """Whether the source's own device bears less than the source gives."""
        return self.device_bears_a < self.source_line_a * (1 - 1e-9) and not self.by_machine

    @property
    def each_a(self) -> int:
        """The setting of each machine, rounded down. [A]"""
        most_a = min(self.transfer_max_a, self.lasting_a / self.per_line)
        return floor(most_a + 1e-9)

    @property
    def line_a(self) -> int:
        """All machines of one line together, so set. [A]"""
        return self.each_a * self.per_line

    @property
    def words(self) -> Sentence:
        """The setting with its sum, e.g. "10 A each, 20 A together"."""
        if self.lines * self.per_line == 1:
            kind = "one"
        elif self.lines == 1:
            kind = "together"
        else:
            kind = "each_line" if self.per_line == 1 else "together_each_line"
        return sentence(f"input.set.{kind}", each=self.each_a, total=self.line_a)

    @property
    def because(self) -> Sentence:
        """How the setting comes about."""
        gives = said(
            f"input.gives.{'of_lines' if self.lines > 1 else 'of_one'}",
            watts=round(self.source_w),
            volts=self.line_v,
            lines=self.lines,
            amperes=self.source_line_a,
        )
        source = said(f"input.of.{self.source}", gives=gives)
        if self.by_machine:
            return sentence("input.because.machine", most=self.transfer_max_a, source=source)
        if self.by_device:
            source = said(
                "input.because.device",
                source=source,
                device=self.device_a,
                bears=self.device_bears_a,
            )
        if self.beside_a:
            source = said("input.because.beside", source=source, beside=self.beside_a)
        if self.per_line > 1:
            return sentence("input.because.shared", source=source, machines=self.per_line)
        return sentence("input.because.source", source=source)

    @property
    def too_small(self) -> str:
        """A sentence where the setting is lower than inputs can commonly be set; else empty."""
        if self.each_a >= SMALLEST_A:
            return ""
        kind = "machine" if self.by_machine else self.source
        return sentence(
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
    side: at any other the same amperes are fewer watts. What the source's own device bears for long
    by the wiring code shown is kept too (`source_device.feeds`).
    """
    machine = sketch.equipment.inverter
    return tuple(
        InputLimit(
            source=feed.source,
            source_w=feed.source_w,
            line_v=machine.output_v,
            lines=feed.lines,
            per_line=system.inverters // feed.lines,
            transfer_max_a=machine.transfer_max_a,
            device_a=feed.device_a,
            device_bears_a=feed.device_bears_a,
            beside_a=feed.beside_a,
        )
        for feed in feeds(sketch, system)
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
        return small, sentence("input.alike")
    return small, sentence(f"input.smaller.{small.source}")
