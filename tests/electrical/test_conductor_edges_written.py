"""Runs in company in free air, sizes named for a field, and what one size less would bear."""

import pytest
from test_conductor_written import NEED, need

from offgrid_sizing.electrical.conductors import size_run
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
