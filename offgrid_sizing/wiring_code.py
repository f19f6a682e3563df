"""A wiring code as one object: tables, factors, names and clauses, read from its data folder."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

from offgrid_sizing.code_inspection import ConductorColours, InspectionRules, read_inspection
from offgrid_sizing.paths import data_dir
from offgrid_sizing.rule_tables import RuleTable, read_table, rule_table
from offgrid_sizing.words import Said, said
from offgrid_sizing.words.cited import all_cited

# What codes name differently; each set of terms stands below `code_words` in the catalogues.
CODE_TERMS = (
    "board", "board_short", "boards", "protective", "protective_title", "protectives",
    "protectives_title", "protective_colour", "array_cable", "pe", "earth", "earth_label",
    "earthing", "earthing_title", "earthed", "earthed_title", "earth_terminal",
    "earth_terminal_title", "electrode", "electrode_title", "isolator", "an_isolator", "isolators",
    "isolator_short", "switch", "switch_short", "residual_protection", "residual_protection_title",
    "final_circuits", "final_circuits_title",
    "fault", "a_fault", "fault_title", "faults_title",
)  # fmt: skip


@dataclass(frozen=True)
class Ampacity:
    """Which table and columns rate a way of laying; None means whatever is asked.

    `columns` are tried in turn until one holds a value; {method}, {loaded}, {column_c} are filled.
    """

    methods: tuple[str, ...]
    table: str
    columns: tuple[str, ...]
    conductor_c: int | None = None
    loaded: int | None = None


@dataclass(frozen=True)
class Ambient:
    """Tables that correct for air and ground, and the column of each conductor temperature."""

    air_table: str
    ground_table: str
    step_column: str
    columns: Mapping[str, str]


@dataclass(frozen=True)
class Grouping:
    """Table for circuits laid together; `counts` names what it counts, `end` where it ends."""

    table: str
    counts: Literal["circuits", "conductors"]
    most_column: str
    end: str


@dataclass(frozen=True)
class Resistance:
    """Table of conductor resistance: unit, columns, coefficient [1/K] and its base [°C]."""

    table: str
    unit: Literal["ohm_per_km", "ohm_per_kft"]
    flexible: str
    fixed: str
    per_k: float
    base_c: float


@dataclass(frozen=True)
class Earth:
    """Protective conductor: the rule's name, its table, and the smallest section. [mm²]"""

    rule: str
    table: str
    floor_mm2: float
    floor_rule: str


@dataclass(frozen=True)
class Protective:
    """Protective conductor of each run: the rule's name, its table, the smallest section. [mm²]

    `enlarged_rule` names the clause that lets it grow with a line conductor laid larger than its
    current asks for; empty where the code has none.
    """

    rule: str
    table: str
    enlarged_rule: str
    floor_mm2: float
    floor_rule: str


@dataclass(frozen=True)
class SourceDevice:
    """A generator's conductors and device, over its rated current, and the clauses.

    Parameters
    ----------
    conductor_factor : float
        Least capacity of its conductors.
    device_most_factor : float
        Largest device that still protects it.
    device_rule : str
    """

    conductor_factor: float
    device_most_factor: float
    device_rule: str


@dataclass(frozen=True)
class Strings:
    """What a string of modules is held against.

    Parameters
    ----------
    bright_sky_factor, bright_sky_rule : float, str
        On the short-circuit current, for a sun above 1,000 W/m², and its clause.
    cold_table, cold_rule : str
        Table of the open-circuit voltage in the cold, to set beside the module's own coefficient,
        and its clause; empty where the code has none.
    """

    bright_sky_factor: float
    bright_sky_rule: str
    cold_table: str
    cold_rule: str


@dataclass(frozen=True)
class SwitchMark:
    """What stands on the plate of a switch that breaks load.

    Parameters
    ----------
    kind : {"category", "listing"}
        Utilisation category, or the standard it is listed to.
    mark : str
    rule : str
        Where that comes from.
    """

    kind: Literal["category", "listing"]
    mark: str
    rule: str


@dataclass(frozen=True)
class Switches:
    """The mark of each kind of switch: at the array, at the bank, of the grid, between sources."""

    array_isolator: SwitchMark
    bank_switch: SwitchMark
    grid_switch: SwitchMark
    changeover: SwitchMark


@dataclass(frozen=True)
class Limits:
    """Clauses behind what no box, line or neutral may be asked to bear.

    Parameters
    ----------
    named_device : str
        A device above the one that a maker or supplier names.
    module_fuse : str
        A string's fuse above what the module allows.
    lasting_current, voltage : str
        What a box carries for long, and the voltage at its terminals.
    line_load : str
        More load on a line than its machines give.
    neutral : str
        A neutral's worst case.
    breaking : str
        A device that breaks less than the fault current where it stands.
    export : str
        More current fed back than the connection carries.
    """

    named_device: str
    module_fuse: str
    lasting_current: str
    voltage: str
    line_load: str
    neutral: str
    breaking: str
    export: str


@dataclass(frozen=True)
class PracticeRule:
    """A habit this code answers: a check of `electrical.practice_checks`, and its clause."""

    check: str
    cited: str


@dataclass(frozen=True)
class WiringCode:
    """All that sizing asks of a wiring code.

    Parameters
    ----------
    name, title, short, beside : str
        Name in a sketch, name with edition, short name, and the code set beside it.
    terms : str
        Which set of `code_words` in the catalogues holds the words this code uses.
    folder : Path
        Where its own tables lie.
    size_table, size_unit : str
        Table whose first column holds the sizes, and the unit they are named in.
    columns_c : tuple of int
        Conductor temperatures its ampacity tables know. [°C]
    continuous_factor : float
        On a current that lasts.
    terminal_rule : str
        Name of a function in `electrical.code_rules`; `earth.rule` names another.
    pv_cable_table, small_conductor_table : str
        Empty where the code has none.
    coordination : bool
        Whether I2 ≤ 1.45 Iz is asked for.
    string_fuse_factor : float
        Smallest string fuse over Isc; 0: none asked.
    string_fuse_most_factor : float
        Largest string fuse over Isc; 0: none asked.
    string_backfeed_factor, string_backfeed_rule : float, str
        On the current other strings feed back, before it is held against the module's rating.
    string_fuse_poles, string_fuse_poles_rule : int, str
        Poles of a string that get a fuse, and why.
    parallel_from_mm2, parallel_from, parallel_rule : float, str, str
        Smallest section laid in parallel, its name, and the clause; no clause: no fault. [mm²]
    device_table, device_rule : str
    bank_current_rule : str
        Why a machine draws most current at the lowest bank voltage.
    rules, rules_array, rules_else : tuple of str
        Clauses of every run, of array runs, and of all others.
    practice : tuple of PracticeRule
        What it says to habits of the trade; empty where it is not asked.
    """

    name: str
    folder: Path
    title: str
    short: str
    beside: str
    terms: str
    size_table: str
    size_unit: Literal["AWG", "mm2"]
    columns_c: tuple[int, ...]
    continuous_factor: float
    terminal_rule: str
    pv_cable_table: str
    coordination: bool
    string_fuse_factor: float
    string_fuse_most_factor: float
    string_backfeed_factor: float
    string_backfeed_rule: str
    string_fuse_poles: int
    string_fuse_poles_rule: str
    parallel_from_mm2: float
    parallel_from: str
    parallel_rule: str
    small_conductor_table: str
    device_table: str
    device_rule: str
    bank_current_rule: str
    rules: tuple[str, ...]
    rules_array: tuple[str, ...]
    rules_else: tuple[str, ...]
    ampacity: tuple[Ampacity, ...]
    ambient: Ambient
    grouping: Grouping
    resistance: Resistance
    earth: Earth
    sources: SourceDevice
    conductor_colours: ConductorColours
    strings: Strings
    limits: Limits
    switches: Switches
    protective: Protective
    practice: tuple[PracticeRule, ...]
    inspection: InspectionRules

    @property
    def words(self) -> dict[str, Said]:
        """What this code calls a board, an earthing conductor, an array cable: for `said`."""
        return words_of(self.terms)

    def table(self, name: str) -> RuleTable:
        """A table by name: the code's own first, else one shipped for all codes."""
        return _table_of(self.folder, name)


@cache
def words_of(terms: str) -> dict[str, Said]:
    """A set of `code_words` as values for `said`; do not change it."""
    return {term: said(f"code_words.{terms}.{term}") for term in CODE_TERMS}


@cache
def _table_of(folder: Path, name: str) -> RuleTable:
    own = folder / f"{name}.csv"
    return read_table(own) if own.is_file() else rule_table(name)


def _tuples(values: dict[str, Any]) -> dict[str, Any]:
    return {key: tuple(v) if isinstance(v, list) else v for key, v in values.items()}


def read_code(folder: Path) -> WiringCode:
    """The code written in a folder's `code.toml`; the folder's name is the code's.

    Raises
    ------
    TypeError
        When an entry is missing or not known: nothing is filled in from another code.
    """
    raw = all_cited(tomllib.loads((folder / "code.toml").read_text(encoding="utf-8")))
    parts: dict[str, Any] = {
        "ampacity": tuple(Ampacity(**_tuples(one)) for one in raw.pop("ampacity")),
        "ambient": Ambient(**raw.pop("ambient")),
        "grouping": Grouping(**raw.pop("grouping")),
        "resistance": Resistance(**raw.pop("resistance")),
        "earth": Earth(**raw.pop("earth")),
        "sources": SourceDevice(**raw.pop("sources")),
        "conductor_colours": ConductorColours(**raw.pop("conductor_colours")),
        "strings": Strings(**raw.pop("strings")),
        "limits": Limits(**raw.pop("limits")),
        "switches": Switches(
            **{key: SwitchMark(**one) for key, one in raw.pop("switches").items()}
        ),
        "protective": Protective(**raw.pop("protective")),
        "practice": tuple(PracticeRule(**one) for one in raw.pop("practice")),
        "inspection": read_inspection(folder),
    }
    return WiringCode(name=folder.name, folder=folder, **_tuples(raw), **parts)


# One line a code, in the order screens offer them.
WIRING_CODES: dict[str, WiringCode] = {
    name: read_code(data_dir() / "rules" / name) for name in ("nfpa70", "iec60364")
}
