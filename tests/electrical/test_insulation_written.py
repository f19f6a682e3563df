"""Bands of the insulation tests, worked by hand."""

import pytest

from offgrid_sizing.electrical.insulation import (
    array_insulation,
    circuit_insulation,
    insulation_tests,
)
from offgrid_sizing.sketch import BadInput, Module

MODULE = Module(voc_v=49.5)


@pytest.mark.parametrize(
    ("modules", "circuit_v", "test_v", "least_mohm"),
    [
        (1, 61.875, 250, 0.5),  # 49.5 × 1.25
        (2, 123.75, 500, 1.0),  # above 120 V, though 99 V open circuit
        (8, 495.0, 500, 1.0),
        (9, 556.875, 1000, 1.0),  # above 500 V, though 445.5 V open circuit
        (16, 990.0, 1000, 1.0),
        (17, 1051.875, 1500, 1.0),
    ],
)
def test_the_array_by_open_circuit_times_a_quarter_more(modules, circuit_v, test_v, least_mohm):
    # IEC 62446-1, bands by 1.25 × Voc(STC), from memory
    test = array_insulation(MODULE, modules)
    assert test.circuit_v == pytest.approx(circuit_v)
    assert (test.test_v, test.least_mohm, test.source) == (test_v, least_mohm, "IEC 62446-1")


@pytest.mark.parametrize(
    ("voc_v", "modules", "test_v"),
    [(48.0, 2, 250), (48.005, 2, 500), (40.0, 10, 500), (40.001, 10, 1000)],
)
def test_a_band_ends_where_the_table_says(voc_v, modules, test_v):
    # 96 × 1.25 = 120 and 400 × 1.25 = 500
    module = MODULE.model_copy(update={"voc_v": voc_v})
    assert array_insulation(module, modules).test_v == test_v


@pytest.mark.parametrize(
    ("volts", "separated", "test_v", "least_mohm"),
    [
        (56, True, 250, 0.5),
        (56, False, 500, 1.0),
        (121, True, 500, 1.0),  # beyond SELV and PELV no separation helps
        (448, False, 500, 1.0),
        (500, False, 500, 1.0),
        (560, False, 1000, 1.0),
    ],
)
def test_other_circuits_by_nominal_voltage(volts, separated, test_v, least_mohm):
    # IEC 60364-6, Table 6A, from memory
    test = circuit_insulation(volts, separated=separated)
    assert (test.test_v, test.least_mohm) == (test_v, least_mohm)


def test_beyond_the_table_is_refused_in_a_sentence():
    with pytest.raises(BadInput, match="states no insulation test for 3094 V"):
        array_insulation(MODULE, 50)


@pytest.mark.parametrize(
    ("bank_v", "bank", "parted"),
    [
        # a bank up to 120 V may be parted from the mains: the gentler band is told beside
        (56.0, (56.0, 500, 1.0), (56.0, 250, 0.5)),
        (120.0, (120.0, 500, 1.0), (120.0, 250, 0.5)),
        (120.5, (120.5, 500, 1.0), None),
        (448.0, (448.0, 500, 1.0), None),
        (None, None, None),
    ],
)
def test_every_test_of_a_system(bank_v, bank, parted):
    """Strings of 2 and 8 modules: 49.5 V × 1.25 × 2 and × 8. The side of 120 V alternating is not
    parted from the mains, whatever its voltage: 500 V."""

    def told(test):
        return test and (test.circuit_v, test.test_v, test.least_mohm)

    tests = insulation_tests(MODULE, (2, 8), 120.0, bank_v)
    assert [told(one) for one in tests.array] == [(123.75, 500, 1.0), (495.0, 500, 1.0)]
    assert told(tests.ac) == (120.0, 500, 1.0)
    assert (told(tests.bank), told(tests.bank_parted)) == (bank, parted)
