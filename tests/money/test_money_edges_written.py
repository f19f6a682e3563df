"""Edges of the life cycle: nothing to compare with, payback at once, boxes worn to the day."""

import numpy as np
import pytest
from test_lifecycle_written import GENERATOR, SYSTEM, YEARLY, home, result

from offgrid_sizing.economics import Instead, YearlyFlows, factors
from offgrid_sizing.economics.costs import (
    boxes_of,
    first_cost,
    generator_life_y,
    ownership_factor,
    replacements_by_year,
    residual_frac,
)

UPV = 2.4868520  # 1/1.1 + 1/1.21 + 1/1.331


def test_with_nothing_to_compare_no_saving_is_claimed():
    """A grid with a bank was not simulated: the system's own figures stand, 335 kg among them."""
    found = result(alternative="grid_with_bank", unserved_per_kwh=0)
    assert (found.alternative, found.savings, found.net_saving) == (None, None, None)
    assert (found.simple_payback_y, found.discounted_payback_y) == (None, None)
    assert found.co2_avoided_kg_per_year is None
    assert found.unlike == ()
    assert found.alternatives == found.compared.offered
    assert found.co2_kg_per_year == pytest.approx(335)
    # less the 30 a year that unserved energy was valued at
    assert found.present == pytest.approx(5458.19 - 30 * UPV, abs=0.01)


def test_what_is_offered_is_kept_beside_what_is_taken():
    found = result()
    assert {one.kind for one in found.alternatives} == {"grid", "generator", "nothing"}
    assert [box.key for box in found.boxes] == [
        "modules", "mounting", "bank", "inverters", "wiring", "generator",
    ]  # fmt: skip
    assert found.first.boxes == found.boxes
    assert found.first.purchase == pytest.approx(3800)
    assert found.first.installation == pytest.approx(760)
    assert found.yearly is YEARLY


def test_every_kind_of_cost_has_its_line_and_no_other():
    names = {
        "purchase", "installation", "replacements", "grid_energy", "grid_fixed", "export_income",
        "fuel", "generator_service", "service", "unserved", "residual",
    }  # fmt: skip
    found = result()
    assert set(found.flows.lines) == set(found.present_by_line) == names
    assert set(found.alternative.flows.lines) == names
    assert sum(found.present_by_line.values()) == pytest.approx(found.present)


# --- factors ------------------------------------------------------------------------------------


def test_energy_of_half_a_kilowatt_hour_still_has_a_price():
    assert factors.levelized_cost(UPV, 0.5, 0.1, 3) == pytest.approx(2, abs=1e-6)


def test_a_payback_at_once_a_payback_of_nothing_and_one_that_fails_by_a_hair():
    assert factors.discounted_payback(0.0, [10, 50]) == 0.0
    assert factors.discounted_payback(0.0, [0, 0]) == 0.0
    # 0.0001 of 100 is missing
    assert factors.discounted_payback(0.0, [-100, 50, 49.9999]) is None
    # 4 × 100,000.1 falls short of 400,000.4 by the last bits only
    assert factors.discounted_payback(0.0, [-400_000.4, *[100_000.1] * 4]) == pytest.approx(4)


def test_the_payback_is_the_first_time_even_where_a_replacement_follows():
    """−100 + 60 + 60 = 20: 40/60 into the second year; the third takes it back."""
    assert factors.discounted_payback(0.0, [-100, 60, 60, -90, 200]) == pytest.approx(1 + 2 / 3)
    # by a tenth: 60 / 1.1 = 54.5455, then 45.4545 of 72.6 / 1.21 = 60
    assert factors.discounted_payback(0.1, [-100, 60, 72.6]) == pytest.approx(1 + 45.454545 / 60)


def test_escalation_is_not_the_rate():
    """1.1/1.05 + its square, and a price that falls: 0.9/1.05 + its square."""
    for escalation, ratio in ((0.1, 1.1 / 1.05), (-0.1, 0.9 / 1.05), (0.0, 1 / 1.05)):
        got = factors.modified_uniform_present_value(0.05, 2, escalation)
        assert got == pytest.approx(ratio + ratio**2)
    assert factors.capital_recovery(0, 4) == 0.25
    assert factors.single_present_value(0.1, np.array([0.0, 1, 2])) == pytest.approx(
        [1, 1 / 1.1, 1 / 1.21]
    )


# --- boxes --------------------------------------------------------------------------------------


def test_a_generator_lasts_its_hours_or_its_years():
    """400 h at 200 h a year: 2 years; at 10 h: the calendar's 15. 10,000 h where none is drawn."""
    assert generator_life_y(home(), 200) == 2
    assert generator_life_y(home(), 10) == 15
    assert generator_life_y(home(), 0) == 15
    assert generator_life_y(home(generator=None), 2000) == 5
    brief = GENERATOR.model_copy(update={"life_h": 5})
    assert generator_life_y(home(generator=brief), 0.5) == 10
    lives = {box.key: box.life_y for box in boxes_of(home(generator=brief), SYSTEM)}
    assert lives["generator"] == 15


def test_each_box_with_its_count_its_price_and_its_life():
    """Two modules, two units, one inverter-charger; a bank whose life is not told lasts 15."""
    sketch = home()
    boxes = boxes_of(sketch, SYSTEM, generator_h=100)
    told = {box.key: (box.count, box.each, box.life_y, box.total) for box in boxes}
    assert told == {
        "modules": (2, 100, 30, 200),
        "mounting": (2, 50, 30, 100),
        "bank": (2, 1000, sketch.equipment.battery.calendar_life_y, 2000),
        "inverters": (1, 500, 2, 500),
        "wiring": (1, 200, 30, 200),
        "generator": (1, 800, 4, 800),
    }
    assert {box.key: box.price_change_frac for box in boxes} == {
        "modules": 0, "mounting": 0, "bank": -0.1, "inverters": 0, "wiring": 0, "generator": 0,
    }  # fmt: skip
    assert all(box.labour for box in boxes)
    worn = {box.key: box.life_y for box in boxes_of(sketch, SYSTEM, bank_life_y=7.5)}
    assert worn["bank"] == 7.5
    first = first_cost(sketch, SYSTEM)
    assert (first.purchase, first.installation, first.total) == pytest.approx((3800, 760, 4560))


def test_wiring_that_outlives_modules_of_a_few_years():
    brief = {box.key: box.life_y for box in boxes_of(home(module_life_y=1), SYSTEM)}
    assert (brief["wiring"], brief["modules"], brief["mounting"]) == (3, 1, 1)


@pytest.mark.parametrize(
    ("life_y", "horizon_y", "years", "left"),
    [
        (8.0, 20, [8, 16], 0.5),  # 24 of 20 years: half of the last is left
        (10.0, 20, [10], 0.0),  # at 20 nothing is bought any more
        (20.0, 20, [], 0.0),
        (25.0, 20, [], 0.2),
        (1.0, 3, [1, 2], 0.0),
        (0.5, 2, [1, 1, 2], 0.0),  # at 0.5 and 1.0 in year 1, at 1.5 in the nearest, 2
        (2.5, 6, [3, 5], 0.6),  # 2.5 rounds up, 5.0 stays; 7.5 − 6 = 1.5 of 2.5
        (2.4, 6, [2, 5], 0.5),
        (19.9, 20, [20], 39.8 / 19.9 - 20 / 19.9),  # bought in the last year, hardly used
        (0.3, 1, [1, 1, 1], 2 / 3),  # year 0 buys nothing anew
    ],
)
def test_when_a_box_is_bought_anew_and_what_is_left(life_y, horizon_y, years, left):
    times = np.bincount(np.array(years, dtype=int), minlength=horizon_y + 1)
    assert replacements_by_year(life_y, horizon_y).tolist() == times.tolist()
    assert float(residual_frac(life_y, horizon_y)) == pytest.approx(left)


def test_a_life_that_ends_just_before_the_horizon_is_not_rounded_away():
    # 20 / 2.0005 lives: 0.9995 of the third is left; within 1e-9 of two lives nothing is
    assert float(residual_frac(20 / 2.0005, 20)) == pytest.approx(0.9995)
    assert float(residual_frac(10 * (1 - 1e-11), 20)) == 0


def test_what_owning_costs_for_every_unit_of_price():
    """A life of 2 in 3 years at a tenth, labour a fifth, the price falling by a tenth a year:
    1.2 + 1.2 × 0.81 / 1.21 − 0.5 × 0.729 / 1.331."""
    got = ownership_factor(np.array([2.0, 3.0]), 3, 0.1, labour_frac=0.2, price_change=-0.1)
    assert got == pytest.approx([1.2 + 1.2 * 0.81 / 1.21 - 0.5 * 0.729 / 1.331, 1.2])
    assert float(ownership_factor(2.0, 3, 0.1)) == pytest.approx(1 + 1 / 1.21 - 0.5 / 1.331)


def test_the_assumptions_hold_their_own_numbers_and_notes():
    said = result(
        as_of="May 2026", co2_source="the grid's operator", discount_rate_frac=0.04,
        energy_escalation_frac=0.02,
    ).assumptions  # fmt: skip
    prices, rising = (dict(one.origin.values) for one in said[:2])
    assert prices == {"as_of": "May 2026", "rate": 4, "years": 3}
    assert rising == {"energy": 2, "bank": -10}
    carbon = dict(said[5].origin.values)
    assert carbon == {"grid": 0.4, "fuel": 2.5, "source": "the grid's operator"}
    untouched = result().assumptions
    assert hasattr(dict(untouched[0].origin.values)["as_of"], "origin")
    assert hasattr(dict(untouched[5].origin.values)["source"], "origin")


def test_who_leaves_how_much_in_the_dark_is_told_in_whole_kilowatt_hours():
    other = Instead("grid", load_kwh=1000, unserved_kwh=30)
    yearly = YearlyFlows(1000, 940, unserved_kwh=60, instead=(other,))
    (said,) = result(yearly, unserved_per_kwh=0, alternative="grid").unlike
    text = str(said)
    assert [text.count(part) for part in ("60 kWh", "000 kWh", "30 kWh")] == [1, 1, 1]
