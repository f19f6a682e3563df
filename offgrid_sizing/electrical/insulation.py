"""Insulation tests: at which voltage, and the least resistance, by the voltage of the circuit."""

from dataclasses import dataclass

from offgrid_sizing.rule_tables import rule_table
from offgrid_sizing.sketch import BadInput, Module

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
    return _band(table.name, ARRAY_FACTOR * module.voc_v * in_series, {})


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
    return _band("iec60364_6_table_6a", nominal_v, {"separated": "yes" if separated else "no"})


def _band(name: str, volts: float, where: dict[str, str]) -> InsulationTest:
    table = rule_table(name)
    columns = [table.numbers(column) for column in ("up_to_v", "test_v", "least_mohm")]
    keep = [
        all(table.texts(column)[place] == want for column, want in where.items())
        for place in range(len(table.rows))
    ]
    for place, (up_to_v, test_v, least) in enumerate(zip(*columns, strict=True)):
        if keep[place] and volts <= up_to_v:
            return InsulationTest(volts, test_v, least, table.source)
    raise BadInput(
        f"{table.source} names no insulation test for {volts:.0f} V: ask a specialist, or use "
        "shorter strings or another bank voltage."
    )
