"""How many places join neutral and earth in each state of a system: exactly one is right."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.sketch.building import Known

StateKey = Literal["grid", "generator", "islanded", "islanded_generator"]
Place = Literal["grid", "generator", "board", "inverter"]
Verdict = Literal["one", "none", "several", "open", "monitored"]

FIELDS: dict[str, str] = {
    "grid": "earthing.grid_system",
    "generator": "earthing.generator_bond",
    "board": "earthing.board_bond",
    "inverter": "equipment.inverter.bonds_neutral",
    "switches_neutral": "equipment.inverter.switches_neutral",
    "changeover": "earthing.changeover",
}


@dataclass(frozen=True)
class Bond:
    """One place that may join neutral and earth, as seen from the home's neutral in one state.

    Parameters
    ----------
    place : {"grid", "generator", "board", "inverter"}
    answer : {"yes", "no", "unknown"}
        Whether it is a bond of that state.
    ask : tuple of str
        Fields that would settle an unknown.
    """

    place: Place
    answer: Known
    ask: tuple[str, ...] = ()


@dataclass(frozen=True)
class BondState:
    """The bonds of one state.

    Parameters
    ----------
    key : {"grid", "generator", "islanded", "islanded_generator"}
        Fed by the grid, by the generator, running alone with the changeover at the grid (or
        without one), running alone with the changeover at the generator.
    bonds : tuple of Bond
    unearthed_supply : bool
        The neutral is that of an IT grid, which has no bond by design.
    """

    key: StateKey
    bonds: tuple[Bond, ...]
    unearthed_supply: bool = False

    @property
    def least(self) -> int:
        """Bonds there are for certain."""
        return sum(bond.answer == "yes" for bond in self.bonds)

    @property
    def most(self) -> int:
        """Bonds there may be."""
        return sum(bond.answer != "no" for bond in self.bonds)

    @property
    def ask(self) -> tuple[str, ...]:
        """Fields that would settle what is open, each once."""
        return tuple(dict.fromkeys(field for bond in self.bonds for field in bond.ask))

    @property
    def places(self) -> tuple[Place, ...]:
        """Where neutral and earth are joined for certain."""
        return tuple(bond.place for bond in self.bonds if bond.answer == "yes")

    @property
    def verdict(self) -> Verdict:
        """Exactly one, none at all, more than one, or not to be told yet.

        An unearthed supply without a bond is right only with insulation monitoring.
        """
        if self.least > 1:
            return "several"
        if self.most == 0:
            return "monitored" if self.unearthed_supply else "none"
        if self.least == self.most == 1:
            return "several" if self.unearthed_supply else "one"
        return "open"


def _gated(bond: Bond, gate: Known, field: str) -> Bond:
    """A bond behind a contact: cut off where the contact opens, open where that is not known."""
    if gate == "yes" or bond.answer == "no":
        return Bond(bond.place, "no")
    if gate == "no":
        return bond
    return Bond(bond.place, "unknown", (*bond.ask, field))


def _own(place: Place, answer: Known) -> Bond:
    return Bond(place, answer, (FIELDS[place],) if answer == "unknown" else ())


def _at_source(sketch: Sketch, place: Place) -> Bond:
    if place == "grid":
        system = sketch.earthing.grid_system
        answer: Known = "unknown" if system == "unknown" else "no" if system == "it" else "yes"
        return _own(place, answer)
    known: dict[str, Known] = {"bonded": "yes", "floating": "no", "unknown": "unknown"}
    return _own(place, known[sketch.earthing.generator_bond])


def _neutral_parted(sketch: Sketch) -> Known:
    """Whether the changeover keeps the neutral of the source that is off apart."""
    known: dict[str, Known] = {
        "lines": "no",
        "none": "no",
        "lines_and_neutral": "yes",
        "unknown": "unknown",
    }
    return known[sketch.earthing.changeover]


def _upstream(sketch: Sketch, at: Place, other: Place | None) -> tuple[Bond, ...]:
    """Bonds that hang on the input's neutral with the changeover at one source."""
    bonds: tuple[Bond, ...] = (_at_source(sketch, at),)
    if other is not None:
        away = _at_source(sketch, other)
        bonds += (_gated(away, _neutral_parted(sketch), FIELDS["changeover"]),)
    return bonds


def bond_states(sketch: Sketch) -> tuple[BondState, ...]:
    """Every state of the system with the bonds of its neutral.

    A bond behind the machines counts in every state; a machine's own only while it runs alone; that
    of grid or generator wherever the neutral is joined through: in the machine while it is fed, and
    also alone where the machine does not part the input's neutral.
    """
    sources: list[Place] = []
    if sketch.grid.kind != "none":
        sources.append("grid")
    if sketch.generator is not None:
        sources.append("generator")
    machine = sketch.equipment.inverter
    board = _own("board", sketch.earthing.board_bond)
    own = _own("inverter", machine.bonds_neutral)
    if not sources:
        return (BondState("islanded", (own, board)),)
    states: list[BondState] = []
    alone: list[BondState] = []
    it = sketch.earthing.grid_system == "it"
    for place in sources:
        other = next((one for one in sources if one != place), None)
        above = _upstream(sketch, place, other)
        key: StateKey = "grid" if place == "grid" else "generator"
        states.append(BondState(key, (*above, board), unearthed_supply=it and place == "grid"))
        parted, field = machine.switches_neutral, FIELDS["switches_neutral"]
        behind = tuple(_gated(bond, parted, field) for bond in above)
        name: StateKey = "islanded_generator" if alone else "islanded"
        alone.append(BondState(name, (*behind, own, board)))
    return (*states, *alone)


def answer_at(states: Iterable[BondState], place: str) -> Known:
    """Whether neutral and earth are joined at a place in any state."""
    answers = {bond.answer for state in states for bond in state.bonds if bond.place == place}
    return "yes" if "yes" in answers else "unknown" if "unknown" in answers else "no"
