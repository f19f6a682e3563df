"""Grid and generator each behind its own device: the rating, and what may be drawn for long."""

from dataclasses import dataclass
from math import inf
from typing import Literal, NamedTuple

from offgrid_sizing.electrical.legs import LINES
from offgrid_sizing.electrical.protection import standard_ratings_a
from offgrid_sizing.electrical.sizes import RuleBook, code_of
from offgrid_sizing.loads.boundary import unprotected_peak
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import Sentence, said, sentence

AcSource = Literal["grid", "generator"]
_SLACK = 1 + 1e-9


@dataclass(frozen=True)
class Feed:
    """One source in front of the machines' inputs; currents are those of one line.

    Parameters
    ----------
    source : {"grid", "generator"}
    source_w : float
        The grid's import limit, or the generator's rating. [W]
    lines : int
        Lines it shares its power over, evenly.
    rated_a : float
        What it gives for long, at power factor 1. [A]
    passes_a : float
        What the machines of one line pass together. [A]
    device_a, device_bears_a : float
        Rating of its own device, and what that bears for long by the code. [A]
    least_conductor_a : float
        What the code asks its conductors to carry. [A]
    named_a : float or None
        Largest device its maker or the supplier names. [A]
    rule : str
        Where the rating comes from.
    beside_a : float
        What the unprotected supply may draw from the grid on the fullest line, before the
        machines. [A]
    faults : tuple of str
        Where no standard device protects it.
    """

    source: AcSource
    source_w: float
    lines: int
    rated_a: float
    passes_a: float
    device_a: float
    device_bears_a: float
    least_conductor_a: float
    named_a: float | None
    rule: str
    beside_a: float = 0.0
    faults: tuple[Sentence, ...] = ()

    @property
    def lasting_a(self) -> float:
        """What may be drawn for long: the smaller of its rating and what the device bears. [A]"""
        return min(self.rated_a, self.device_bears_a)

    @property
    def drawn_a(self) -> float:
        """What is drawn for long: the machines, set to this source, and what stands beside. [A]"""
        return min(self.lasting_a, self.passes_a + self.beside_a)


def device_within_a(ratings_a: tuple[float, ...], wanted_a: float, most_a: float) -> float | None:
    """Smallest rating at or above a wanted one that is not above a limit, else the largest below.

    >>> device_within_a((16, 20, 25, 32), 21.7, 27.2), device_within_a((6, 10), 7.25, 9.06)
    (25, 6)
    >>> device_within_a((15, 20), 4.3, 5.4) is None
    True
    """
    allowed = [rating for rating in ratings_a if rating <= most_a * _SLACK]
    enough = [rating for rating in allowed if rating * _SLACK >= wanted_a]
    if enough:
        return min(enough)
    return max(allowed, default=None)


class _Asked(NamedTuple):
    """What a code and a sketch ask of one source's device; meanings as in `Feed`."""

    source: AcSource
    source_w: float
    named_a: float | None
    most_factor: float  # of the rated current; a device above it does not protect the source
    conductor_factor: float
    rule: str
    beside_a: float = 0.0


def _feed(sketch: Sketch, system: System, book: RuleBook, asked: _Asked) -> Feed:
    machine, lines = sketch.equipment.inverter, len(LINES[system.arrangement])
    named_a = asked.named_a
    rated_a = asked.source_w / (lines * machine.output_v)
    passes_a = machine.transfer_max_a * (system.inverters // lines)
    factor = code_of(book).continuous_factor
    needed_a, own_most_a = min(rated_a, passes_a + asked.beside_a), asked.most_factor * rated_a
    most_a = min(own_most_a, inf if named_a is None else named_a)
    # The maker's own device is one to be had, whatever the table of standard ratings holds.
    own = () if named_a is None or named_a > own_most_a else (named_a,)
    ratings = (*standard_ratings_a(book), *own)
    device_a = device_within_a(ratings, factor * needed_a, most_a)
    faults: tuple[Sentence, ...] = ()
    if device_a is None:
        device_a = min(ratings)
        faults = (
            sentence(
                "sources.no_device",
                source=said(f"sources.kind.{asked.source}"),
                rated_a=round(rated_a, 1),
                most_a=round(most_a, 1),
                least_a=device_a,
                field=said(f"fields.{asked.source}.breaker_a"),
            ),
        )
    return Feed(
        source=asked.source,
        source_w=asked.source_w,
        lines=lines,
        rated_a=rated_a,
        passes_a=passes_a,
        device_a=device_a,
        device_bears_a=device_a / factor,
        least_conductor_a=asked.conductor_factor * needed_a,
        named_a=named_a,
        rule=asked.rule,
        beside_a=asked.beside_a,
        faults=faults,
    )


def _unprotected_a(sketch: Sketch) -> float:
    """Current of the unprotected supply on its fullest line. [A]"""
    peak = unprotected_peak(sketch)
    return max(peak.leg_va.values()) / sketch.equipment.inverter.output_v if peak else 0.0


def feeds(sketch: Sketch, system: System, book: RuleBook | None = None) -> tuple[Feed, ...]:
    """Grid and generator with the device of each, the grid first; empty without either.

    Parameters
    ----------
    sketch : Sketch
    system : System
    book : str, optional
        The sketch's own unless named.

    Notes
    -----
    The device carries what the source may give for long with the code's factor. A generator's is
    not above `sources.device_most_factor` × its rated current, and none is above what is named in
    the sketch; where the ratings leave no such device, a smaller one is taken and the machines'
    inputs are set to what it bears. A source feeds all lines evenly. The grid's connection carries
    the unprotected supply beside the machines' inputs: all that may run there together, added as
    numbers on the fullest line, which is the safe side.
    """
    code = code_of(book or sketch.wiring.rule_book)
    asked: list[_Asked] = []
    if sketch.grid.kind != "none":
        grid = sketch.grid
        asked.append(
            _Asked(
                "grid",
                grid.import_limit_w,
                grid.breaker_a,
                inf,
                1.0,
                code.device_rule,
                _unprotected_a(sketch),
            )
        )
    if sketch.generator is not None:
        own, rule = sketch.generator, code.sources
        asked.append(
            _Asked(
                "generator",
                own.rated_w,
                own.breaker_a,
                rule.device_most_factor,
                rule.conductor_factor,
                rule.device_rule,
            )
        )
    return tuple(_feed(sketch, system, code.name, one) for one in asked)
