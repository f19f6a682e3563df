"""Insulation tests: at which voltage, and the least resistance, by the voltage of the circuit."""

from collections.abc import Iterable
from dataclasses import dataclass

from offgrid_sizing.electrical.cautions import EXTRA_LOW_UP_TO_V
from offgrid_sizing.rule_tables import RuleTable, rule_table
from offgrid_sizing.sketch import BadInput, Module
from offgrid_sizing.words import sentence

ARRAY_FACTOR = 1.25  # IEC 62446-1: open circuit at standard test conditions × 1.25 (from memory)


@dataclass(frozen=True)
class InsulationTest:
    """One insulation test.

    Parameters
    ----------
    circuit_v : float
        Voltage the band was chosen by. [V]
    test_v : float
        Direct test voltage. [V]
    least_mohm : float
        [MΩ]
    source : str
        Standard of the band.
    """

    circuit_v: float
    test_v: float
    least_mohm: float
    source: str


@dataclass(frozen=True)
class InsulationTests:
    """Every insulation test of a system.

    Parameters
    ----------
    array : tuple of InsulationTest
        One for each plane with modules.
    ac : InsulationTest
    bank : InsulationTest or None
        As an ordinary circuit; None without a unit.
    bank_parted : InsulationTest or None
        As extra-low voltage that the machine parts from the mains; None where it cannot be.
    """

    array: tuple[InsulationTest, ...]
    ac: InsulationTest
    bank: InsulationTest | None
    bank_parted: InsulationTest | None


def insulation_tests(
    module: Module, in_series: Iterable[int], ac_v: float, bank_v: float | None
) -> InsulationTests:
    """The tests of array, alternating-current side and bank.

    Parameters
    ----------
    module : Module
    in_series : iterable of int
        Modules in series on each plane.
    ac_v, bank_v : float, float or None
        Highest voltage of each side. [V]

    Raises
    ------
    BadInput
        Where a voltage is beyond the tables.
    """
    parted_v = bank_v if bank_v is not None and bank_v <= EXTRA_LOW_UP_TO_V else None
    return InsulationTests(
        array=tuple(array_insulation(module, count) for count in in_series),
        ac=circuit_insulation(ac_v, separated=False),
        bank=None if bank_v is None else circuit_insulation(bank_v, separated=False),
        bank_parted=None if parted_v is None else circuit_insulation(parted_v, separated=True),
    )


def array_insulation(module: Module, in_series: int) -> InsulationTest:
    """The test of a string's cables and modules against earth.

    Parameters
    ----------
    module : Module
    in_series : int

    References
    ----------
    IEC 62446-1: bands by 1.25 × open-circuit voltage at standard test conditions (from memory).

    >>> [round(array_insulation(Module(voc_v=49.5), n).test_v) for n in (1, 2, 9)]
    [250, 500, 1000]
    """
    table = rule_table("iec62446_1_insulation")
    return _band(table, ARRAY_FACTOR * module.voc_v * in_series, range(len(table.rows)))


def circuit_insulation(nominal_v: float, *, separated: bool) -> InsulationTest:
    """The test of an alternating-current circuit or of a bank's cables against earth. [V]

    Parameters
    ----------
    nominal_v : float
    separated : bool
        Whether a safety transformer parts it from the mains (SELV, PELV); not known: no.

    References
    ----------
    IEC 60364-6, Table 6A (from memory).

    >>> [round(circuit_insulation(v, separated=s).test_v) for v, s in ((51, 1), (51, 0), (560, 0))]
    [250, 500, 1000]
    """
    table = rule_table("iec60364_6_table_6a")
    kinds = enumerate(table.texts("separated"))
    return _band(table, nominal_v, [place for place, kind in kinds if separated or kind == "no"])


def _band(table: RuleTable, volts: float, places: Iterable[int]) -> InsulationTest:
    """The first row, of those that may hold, that reaches up to the voltage."""
    up_to_v, test_v, least = (table.numbers(c) for c in ("up_to_v", "test_v", "least_mohm"))
    for place in places:
        if volts <= up_to_v[place]:
            return InsulationTest(volts, test_v[place], least[place], table.source)
    raise BadInput(sentence("device.no_insulation_test", source=table.source, volts=volts))
