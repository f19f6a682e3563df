"""A battery chemistry as one object, read from its data file; none is asked for by its name."""

import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any, TypeVar

from offgrid_sizing.paths import data_dir

Two = tuple[float, float]
T = TypeVar("T")


@dataclass(frozen=True)
class CellLaw:
    """A published cell: loss of capacity = rate × √time and rate × √(full cycles).

    Parameters
    ----------
    calendar_per_root_s, calendar_j_per_mol : float
        Rate at 25 °C and the activation energy. [1/√s], [J/mol]
    calendar_soc : (float, float)
        Factors of (SOC − 0.5)³ and of 1.
    cycle_rate : (float, float)
        Of the C-rate and of 1. [% per √cycle]
    cycle_depth : (float, float, float)
        Factor of (depth − middle)³, the middle, and the factor of 1.
    range_c, cycling_c : (float, float)
        Temperatures of the tests at rest and while cycling. [°C]
    rates_per_h : (float, float)
        Fastest tested charge and discharge. [1/h]
    """

    calendar_per_root_s: float
    calendar_j_per_mol: float
    calendar_soc: Two
    cycle_rate: Two
    cycle_depth: tuple[float, float, float]
    range_c: Two
    cycling_c: Two
    rates_per_h: Two


@dataclass(frozen=True)
class Doubling:
    """Wear by time doubles for each `per_k`; the rule holds within `range_c`. [K], [°C]"""

    per_k: float
    range_c: Two


@dataclass(frozen=True)
class PartCharge:
    """How the want of full charges wears cycles more.

    Parameters
    ----------
    since_full_per_h, lowest_per_h : float
        Weights of the hours since the last full charge, alone and by the lowest charge since.
    reference_rate_per_h : float
        Current over capacity at which they hold. [1/h]
    full_soc_frac : float
        What counts as a full charge.
    longest_h : float
        A longer time since is reckoned as this. [h]
    """

    since_full_per_h: float
    lowest_per_h: float
    reference_rate_per_h: float
    full_soc_frac: float
    longest_h: float


@dataclass(frozen=True)
class AgeingLaw:
    """How cells age: by a published cell's law or, without one, by a rule of temperature.

    Parameters
    ----------
    name, source, provenance : str
        The file's name, and where the numbers come from.
    shape : float
        Power of the share of life used up by which capacity falls.
    cell, doubling : CellLaw, Doubling or None
        Exactly one of them.
    part_charge : PartCharge or None
        None where full charges do not matter.
    """

    name: str
    source: str
    provenance: str
    shape: float
    cell: CellLaw | None = None
    doubling: Doubling | None = None
    part_charge: PartCharge | None = None

    @property
    def range_c(self) -> Two:
        """Between which temperatures the law of time holds. [°C]"""
        rule = self.cell or self.doubling
        assert rule is not None  # read_law asks for one
        return rule.range_c

    def names(self) -> tuple[str, ...]:
        """What a reckoned life may be called: by the sheet or published where a cell is known."""
        return (f"{self.name}_sheet", f"{self.name}_published") if self.cell else (self.name,)


@dataclass(frozen=True)
class RestCurve:
    """Voltage of one cell at rest by state of charge. [V]

    `flat_soc_frac` bounds the states of charge between which it hardly moves; empty: none.
    """

    source: str
    provenance: str
    soc_frac: tuple[float, ...]
    cell_v: tuple[float, ...]
    flat_soc_frac: tuple[float, ...]

    def at(self, soc_frac: float) -> float:
        """Voltage of one cell, straight between the points. [V]"""
        points = zip(self.soc_frac, self.cell_v, strict=True)
        for (low, low_v), (high, high_v) in pairwise(points):
            if soc_frac <= high:
                return low_v + (soc_frac - low) / (high - low) * (high_v - low_v)
        return self.cell_v[-1]

    def is_flat(self, soc_frac: float) -> bool:
        """Whether no voltmeter tells this state of charge."""
        return bool(self.flat_soc_frac) and (
            self.flat_soc_frac[0] <= soc_frac <= self.flat_soc_frac[1]
        )


@dataclass(frozen=True)
class Chemistry:
    """All that depends on what a battery unit is made of.

    Parameters
    ----------
    name : str
        Name in a sketch; its words are `choices.chemistry.<name>` and `choices.chemistry_short.…`.
    place : int
        Order in which screens offer it.
    cell_v : float
        Nominal. [V]
    usual_dod_frac, usual_min_charge_c : float
        What is usual, to set beside the unit's sheet; they decide no size. [°C]
    vented, equalised : bool
        Gives off hydrogen whenever it is charged; is given an equalising charge.
    managed : bool
        Its units carry electronics of their own (BMS): they are woken, addressed and report.
    charge_follows_warmth : bool
        Its charge voltage is usually raised in the cold.
    ageing : AgeingLaw
    worksheet_cold_table : str
        Table of the hand worksheet's multiplier in the cold; empty: by the unit's own curve.
    rest : RestCurve
    cell_most_v : float
        Highest charge voltage of a cell at 25 °C, equalising left out; 0: none named. [V]
    """

    name: str
    place: int
    cell_v: float
    usual_dod_frac: float
    usual_min_charge_c: float
    vented: bool
    equalised: bool
    managed: bool
    charge_follows_warmth: bool
    ageing: AgeingLaw
    worksheet_cold_table: str
    rest: RestCurve
    cell_most_v: float = 0.0

    @property
    def short_key(self) -> str:
        """Key of its short name, for papers and sheets."""
        return f"choices.chemistry_short.{self.name}"


def _raw(path: Path) -> dict[str, Any]:
    values = tomllib.loads(path.read_text(encoding="utf-8"))
    return {key: _frozen(value) for key, value in values.items()}


def _frozen(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _frozen(one) for key, one in value.items()}
    return tuple(value) if isinstance(value, list) else value


def _part(raw: dict[str, Any], name: str, make: Callable[..., T]) -> T | None:
    return make(**raw.pop(name)) if name in raw else None


def read_law(path: Path) -> AgeingLaw:
    """The law written in a file; the file's name is the law's.

    Raises
    ------
    TypeError
        When an entry is missing or not known.
    ValueError
        Unless time is told by one of a cell and a doubling.
    """
    raw = _raw(path)
    cell, doubling = _part(raw, "cell", CellLaw), _part(raw, "doubling", Doubling)
    if (cell is None) == (doubling is None):
        raise ValueError(f"{path.name}: write either [cell] or [doubling].")
    charge = _part(raw, "part_charge", PartCharge)
    return AgeingLaw(name=path.stem, cell=cell, doubling=doubling, part_charge=charge, **raw)


def read_chemistry(path: Path) -> Chemistry:
    """The chemistry written in a file; the file's name is the chemistry's.

    Raises
    ------
    TypeError
        When an entry is missing or not known: nothing is filled in from another chemistry.
    ValueError
        When the curve at rest cannot be read, or the law has neither or both ways to tell time.
    """
    raw = _raw(path)
    raw["ageing"] = read_law(path.parent / "laws" / f"{raw['ageing']}.toml")
    rest = RestCurve(**raw.pop("rest"))
    if len(rest.soc_frac) != len(rest.cell_v) or list(rest.soc_frac) != sorted({*rest.soc_frac}):
        raise ValueError(f"{path.name}: [rest] needs a voltage for each rising state of charge.")
    return Chemistry(name=path.stem, rest=rest, **raw)


def _all() -> dict[str, Chemistry]:
    found = [read_chemistry(path) for path in (data_dir() / "chemistries").glob("*.toml")]
    return {one.name: one for one in sorted(found, key=lambda one: (one.place, one.name))}


# Every file of `data/chemistries`, in the order screens offer them; a sketch accepts these.
CHEMISTRIES: dict[str, Chemistry] = _all()
