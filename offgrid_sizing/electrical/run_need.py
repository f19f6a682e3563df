"""What a run must carry, a size held against it, and the conductor and device chosen."""

from dataclasses import dataclass
from typing import Literal

from offgrid_sizing.electrical.protection import BREAKER_FACTOR, Device
from offgrid_sizing.electrical.sizes import RuleBook, Size, code_of
from offgrid_sizing.sketch import Run
from offgrid_sizing.words import sentence


@dataclass(frozen=True)
class RunNeed:
    """What one run must carry, the same for every rule book.

    Parameters
    ----------
    key, title, field : str
        Short name, name for people, and the sketch's field that holds the run.
    side : {"array", "bank", "ac"}
    current_a : float
        Largest current that lasts, without any factor. [A]
    why : str
        How that current came about.
    drop_current_a, drop_base_v : float
        Current and voltage the drop is reckoned with. [A], [V]
    highest_v : float
        Highest voltage between its conductors. [V]
    fault_a : float
        Prospective fault current at its device. [A]
    run : Run
        Length, method, company, drop limit and own size.
    ambient_c, box_c, insulation_c, terminal_c : float
        Air on the way and at the terminals; limits of insulation and terminals. [°C]
    bright_sky : bool
        The sun may exceed 1,000 W/m²: the code's factor counts.
    continuous : bool
        Lasts three hours or more.
    count : int
        How many such runs there are.
    loaded, conductors : int
        Loaded conductors (2 or 3), and all laid, earth left out.
    habit_mm2 : float
        Smallest section the trade lays here, whatever the rules allow; 0: no habit. [mm²]
    pv_cable : bool
        Photovoltaic cable (EN 50618), where laid in free air.
    device_kind, poles : str
        Fuse or breaker; an empty kind means none is needed, and `no_device` says why.
    device_pieces : int
        Separate fuses of one run: one for each fused pole.
    device_factor : float
        Conventional current of the device over its rating.
    maker_device_a, largest_device_a : float or None
        A rating the maker names; the largest rating allowed. [A]
    largest_of : str
        Whose the largest rating is: a key below `sources.bound`.
    set_device_a, device_rule : float or None, str
        A rating worked out for the source in front, and where it comes from; else by the code.
    least_conductor_a : float
        What the code asks the conductors to carry, whatever the current. [A]
    string_isc_a : float
        A module's short-circuit current, from which a code may set the least fuse; else 0. [A]
    """

    key: str
    title: str
    field: str
    side: Literal["array", "bank", "ac"]
    current_a: float
    why: str
    drop_current_a: float
    drop_base_v: float
    highest_v: float
    fault_a: float
    run: Run
    ambient_c: float
    box_c: float
    insulation_c: float
    terminal_c: float
    bright_sky: bool = False
    continuous: bool = True
    count: int = 1
    loaded: int = 2
    conductors: int = 2
    habit_mm2: float = 0.0
    pv_cable: bool = False
    terminals_free_air: bool = False
    device_kind: str = ""
    no_device: str = ""
    poles: str = ""
    device_pieces: int = 1
    device_factor: float = BREAKER_FACTOR
    maker_device_a: float | None = None
    largest_device_a: float | None = None
    largest_of: str = "module"
    set_device_a: float | None = None
    device_rule: str = ""
    least_conductor_a: float = 0.0
    string_isc_a: float = 0.0

    def conductor_a(self, book: RuleBook) -> float:
        """Current the rule book asks the conductors to bear. [A]"""
        return max(self.design_a(book), self.least_conductor_a)

    def design_a(self, book: RuleBook) -> float:
        """Current the rule book asks conductor and device to bear. [A]"""
        code = code_of(book)
        lasting = code.continuous_factor if self.continuous else 1.0
        bright = code.strings.bright_sky_factor if self.bright_sky else 1.0
        return self.current_a * bright * lasting


@dataclass(frozen=True)
class Judged:
    """A size held against a need in one rule book; currents are those of all parallel sets.

    Parameters
    ----------
    size, parallel : Size, int
    table : str
        Where its rating stands.
    base_a : float
        Table value of one conductor. [A]
    ambient_factor, grouping_factor : float
    corrected_a : float
        Capacity on the way. [A]
    terminal_a : float
        Capacity its terminals allow. [A]
    drop_v, drop_frac : float
        Loss of voltage there and back. [V], share
    """

    size: Size
    parallel: int
    table: str
    base_a: float
    ambient_factor: float
    grouping_factor: float
    corrected_a: float
    terminal_a: float
    drop_v: float
    drop_frac: float

    @property
    def usable_a(self) -> float:
        """What it may carry, way and terminals together. [A]"""
        return min(self.corrected_a, self.terminal_a)

    @property
    def label(self) -> str:
        """Size as written on a drawing, e.g. '2 × 70 mm²'."""
        if self.parallel == 1:
            return self.size.label
        return sentence("code.sets", sets=self.parallel, size=self.size.label)


@dataclass(frozen=True)
class Choice:
    """The conductor and device of one run in one rule book.

    Parameters
    ----------
    book : str
    design_a : float
        Current asked for, with all factors. [A]
    device : Device or None
    judged : Judged
        The size in use.
    smallest : tuple of (str, str)
        Smallest size each criterion alone would accept.
    governs : str
        What decides: ampacity, terminal, device, drop, or practice (a habit above the rules).
    faults : tuple of str
        What the size in use breaks; empty when all is well.
    by_user : bool
    rule_label : str
        Size the rules would choose.
    rules : tuple of str
        Rules used.
    insulation_c : float
        Of the cable in use; above the one asked for where that carries nothing in the heat. [°C]
    """

    book: RuleBook
    design_a: float
    device: Device | None
    judged: Judged
    smallest: tuple[tuple[str, str], ...]
    governs: str
    faults: tuple[str, ...]
    by_user: bool
    rule_label: str
    rules: tuple[str, ...]
    insulation_c: float

    @property
    def label(self) -> str:
        """Size as written on a drawing."""
        return self.judged.label
