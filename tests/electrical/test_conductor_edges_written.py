"""Runs in company in free air, sizes named for a field, and what one size less would bear."""

from dataclasses import replace

import pytest
from test_conductor_written import NEED, judged, need

from offgrid_sizing.electrical.conductors import _Case, device_of, size_run
from offgrid_sizing.sketch import BadInput


@pytest.mark.parametrize(
    ("book", "method", "loaded_together", "factor"),
    [
        # NFPA 70, 310.15(C)(1): 4 to 6 conductors 0.8, 7 to 9 0.7
        ("nfpa70", "free_air", 1, 1.0), ("nfpa70", "free_air", 3, 0.8), ("nfpa70", "C", 2, 0.8),
        ("nfpa70", "free_air", 4, 0.7), ("nfpa70", "C", 1, 1.0),
        # IEC 60364-5-52, B.52.17, bunched: 0.8 for two, 0.7 for three, 0.65 for four circuits
        ("iec60364", "free_air", 1, 1.0), ("iec60364", "free_air", 3, 0.7),
        ("iec60364", "C", 2, 0.8), ("iec60364", "free_air", 4, 0.65),
    ],
)  # fmt: skip
def test_company_counts_in_free_air_too(book, method, loaded_together, factor):
    laid = need({"method": method, "loaded_together": loaded_together})
    assert size_run(laid, book).judged.grouping_factor == factor


def test_company_and_heat_multiply():
    """XLPE 25 mm² in method C 138 A; 40 °C 0.91, three circuits 0.7: 87.9 A; 35 mm² 171 A gives
    108.9 A."""
    hot = need({"loaded_together": 3}, ambient_c=40.0, terminal_c=90.0)
    choice = size_run(hot, "iec60364")
    assert choice.label == "35 mm²"
    assert choice.judged.corrected_a == pytest.approx(171 * 0.91 * 0.7)
    thinner = size_run(need({"loaded_together": 3, "size": "25 mm2"}, ambient_c=40.0), "iec60364")
    assert thinner.judged.corrected_a == pytest.approx(138 * 0.91 * 0.7)
    assert thinner.rule_label == "35 mm²"
    assert len(thinner.faults) == 2  # on its way, and behind its device


@pytest.mark.parametrize("size", ["16 mm2", "10 mm2", "6 mm2"])
def test_one_size_two_sizes_and_three_sizes_thinner_break_a_rule(size):
    """25 mm² is the least: at 16 mm² the terminals allow 85 A of 100."""
    assert size_run(NEED, "iec60364").label == "25 mm²"
    choice = size_run(need({"size": size}), "iec60364")
    assert choice.faults
    assert choice.rule_label == "25 mm²"
    assert choice.judged.terminal_a < 100


def test_a_size_that_is_none_names_its_field():
    for size in ("thick", "0 mm2", "2 x"):
        with pytest.raises(BadInput, match=r"wiring\.bank_to_inverter\.size"):
            size_run(need({"size": size}), "iec60364")


def test_the_drop_of_twice_the_way():
    """25 mm² in a cable of fine wires: 0.78 mΩ/m × 1.2751 at 90 °C; there and back, twice 1.5 m."""
    choice = size_run(NEED, "iec60364").judged
    assert choice.drop_v == pytest.approx(0.78e-3 * 1.2751 * 3 * 100, rel=1e-3)
    assert choice.drop_frac == pytest.approx(choice.drop_v / 51.2)
    longer = size_run(need({"length_m": 3.0, "size": "25 mm2"}), "iec60364").judged
    assert longer.drop_v == pytest.approx(2 * choice.drop_v)
    less = size_run(need(drop_current_a=50.0), "iec60364").judged
    assert less.drop_v == pytest.approx(choice.drop_v / 2)


def test_what_the_conductors_must_carry_beyond_the_device_is_no_matter_of_the_device():
    """80 A behind 100 A, conductors for 110 A: 120 A bear all of it; 105 A not the 110."""
    asked = replace(NEED, current_a=80.0, least_conductor_a=110.0, continuous=False)
    device = replace(device_of(asked, "iec60364"), rating_a=100.0)
    case = _Case(asked, "iec60364", device)
    passed = case.passes(judged(corrected_a=120.0, terminal_a=120.0))
    assert all(passed.values())
    short = case.passes(judged(corrected_a=105.0, terminal_a=120.0))
    assert {name for name, met in short.items() if not met} == {"ampacity"}


def test_the_heat_that_is_told_of_and_the_cable_that_bears_it():
    """PVC of 70 °C where it is 72 °C warm; 90 °C is shown."""
    choice = size_run(need(ambient_c=72.0, insulation_c=70.0, terminal_c=90.0), "iec60364")
    said = dict(choice.faults[0].origin.values)
    assert (said["own_c"], said["ambient_c"], said["better_c"]) == (70, 72, 90)
    assert choice.insulation_c == 90
