"""What inspectors look for by one wiring code: limits and clauses, read from `inspection.toml`."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from offgrid_sizing.words.cited import all_cited


@dataclass(frozen=True)
class ConductorColours:
    """Colour of each conductor, a key of `palette.CONDUCTORS`, and where that comes from."""

    dc_plus: str
    dc_minus: str
    l1: str
    l2: str
    l3: str
    n: str
    pe: str
    rule: str


@dataclass(frozen=True)
class DcLimit:
    """Highest direct voltage of an array on a dwelling and on any other building. [V]"""

    clauses: tuple[str, ...]
    dwelling_v: float
    other_v: float


@dataclass(frozen=True)
class Asked:
    """A rule that holds where the code has it; `asked` false: the code has none."""

    clauses: tuple[str, ...]
    asked: bool


@dataclass(frozen=True)
class ArcFault:
    """Arc-fault protection of direct-current circuits from a voltage on; `asked` as above. [V]"""

    clauses: tuple[str, ...]
    asked: bool
    from_v: float


@dataclass(frozen=True)
class Surge:
    """Surge protection: least continuous voltage over the array's open-circuit voltage."""

    clauses: tuple[str, ...]
    array_factor: float


@dataclass(frozen=True)
class WorkingSpace:
    """Free depth before live boxes.

    Parameters
    ----------
    clauses : tuple of str
    depths : tuple of (float, float, float, float)
        Up to this voltage to earth [V], the depth where nothing, an earthed surface or live parts
        stand opposite [m]. Empty: the code names none.
    width_m : float
    clear_m : tuple of (float, float, float)
        The smallest space: deep, wide, high; empty: the code names none. [m]
    clear_up_to_v, clear_rule : float, str
        Voltage to earth up to which it holds, and its clause. [V]
    low_v, low_rule : float, str
        Direct voltage up to which a smaller depth may be permitted, and by whom. [V]
    """

    clauses: tuple[str, ...]
    depths: tuple[tuple[float, float, float, float], ...]
    width_m: float
    clear_m: tuple[float, float, float]
    clear_up_to_v: float
    clear_rule: str
    low_v: float
    low_rule: str


@dataclass(frozen=True)
class BankRoom:
    """Energy allowed by place in a dwelling [kWh] and distances [m]; empty: the code names none."""

    clauses: tuple[str, ...]
    energy_kwh: Mapping[str, float]
    apart_m: float


@dataclass(frozen=True)
class Ventilation:
    """Air for a bank that gives off gas: Q = factor · n · I_gas · C / 1000.

    Parameters
    ----------
    clauses : tuple of str
    factor : float
        [m³/Ah]
    opening_cm2_h_per_m3 : float
        Free opening for each m³/h.
    gas_ma_per_ah : mapping of str to float
        By chemistry, while it is charged fast (absorption). [mA/Ah]
    no_gas : tuple of str
        Chemistries that give off none in ordinary use.
    spark_mm : float
        Distance of sparks = spark_mm · cube root of I_gas · cube root of C. [mm]
    """

    clauses: tuple[str, ...]
    factor: float
    opening_cm2_h_per_m3: float
    gas_ma_per_ah: Mapping[str, float]
    no_gas: tuple[str, ...]
    spark_mm: float


@dataclass(frozen=True)
class Bonds:
    """Clauses of the one bond of neutral and earth, of the changeover and of the bank's earth.

    `floating_most_v`: direct voltage up to which a bank may float without monitoring. [V]
    `electrode_most_ohm`: up to it one rod may stand alone, and its clauses; 0: none named. [Ω]
    """

    clauses: tuple[str, ...]
    changeover_clauses: tuple[str, ...]
    bank_clauses: tuple[str, ...]
    bonding_clauses: tuple[str, ...]
    floating_most_v: float
    electrode_clauses: tuple[str, ...]
    electrode_most_ohm: float


@dataclass(frozen=True)
class Clearance:
    """When a fault must be cleared, and by what.

    Parameters
    ----------
    clauses : tuple of str
    times_s : tuple of (float, float, float)
        Up to this line voltage to earth [V], the longest time of final circuits in TN and TT [s];
        empty: the code names no time.
    distribution_s : tuple of (float, float), as one pair
        The same for circuits that feed boards; 0: none named. [s]
    trip_multiple : float
        Current over rating that trips a breaker at once.
    trip_rule : str
        Where that comes from.
    residual_ma : float
        Residual device where the current does not suffice; 0: the code has no such device. [mA]
    touch_v : float
        Voltage allowed on the earth electrode. [V]
    heating_clauses : tuple of str
        On the heating of conductors in a short circuit.
    """

    clauses: tuple[str, ...]
    times_s: tuple[tuple[float, float, float], ...]
    distribution_s: tuple[float, float]
    trip_multiple: float
    trip_rule: str
    residual_ma: float
    touch_v: float
    heating_clauses: tuple[str, ...]

    def final_s(self, line_v: float, *, tt: bool) -> float:
        """Longest time for a final circuit of this voltage; 0: none named. [s]"""
        for most_v, tn_s, tt_s in self.times_s:
            if line_v <= most_v:
                return tt_s if tt else tn_s
        return 0.0


@dataclass(frozen=True)
class InspectionRules:
    """Every rule of the list, by its key; nothing is taken from another code."""

    dc_limit: DcLimit
    rapid_shutdown: Asked
    arc_fault: ArcFault
    ground_fault: Asked
    surge: Surge
    battery_disconnect: Asked
    parallel_conductors: Asked
    working_space: WorkingSpace
    single_voltage: Asked
    bank_room: BankRoom
    ventilation: Ventilation
    dc_drop: Asked
    laying: Asked
    bonds: Bonds
    clearance: Clearance


def _frozen(value: Any) -> Any:
    return tuple(_frozen(one) for one in value) if isinstance(value, list) else value


def read_inspection(folder: Path) -> InspectionRules:
    """The rules written in a code's `inspection.toml`.

    Raises
    ------
    TypeError
        When an entry is missing or not known.
    """
    raw = all_cited(tomllib.loads((folder / "inspection.toml").read_text(encoding="utf-8")))
    parts = {one.name: one.type for one in fields(InspectionRules)}
    unknown = sorted(set(raw) - set(parts))
    if unknown:
        raise TypeError(f"inspection.toml: unknown entries {', '.join(unknown)}")
    made: dict[str, Any] = {}
    for name, values in raw.items():
        kind: Any = parts[name]
        made[name] = kind(**{key: _frozen(value) for key, value in values.items()})
    return InspectionRules(**made)
