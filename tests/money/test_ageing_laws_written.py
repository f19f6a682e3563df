"""The laws of ageing in numbers worked by hand, and what must always hold."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing import ageing
from offgrid_sizing import ageing_laws as laws
from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.economics.design_cost import least_wear_per_cycle, longest_bank_life_y
from offgrid_sizing.sketch import BatteryUnit, Equipment, Site, Sketch
from offgrid_sizing.words import catalogue

LFP = BatteryUnit()
PUBLISHED = BatteryUnit(life_from="published")
SEALED = BatteryUnit(chemistry="lead_acid_sealed", calendar_life_y=8)
SODIUM = BatteryUnit(chemistry="sodium_ion")
CELL = CHEMISTRIES["lifepo4"].ageing.cell
LEAD = CHEMISTRIES["lead_acid_sealed"].ageing.part_charge


def aged(unit, soc, temp_c=25.0, step_h=1.0):
    sketch = Sketch(site=Site(latitude_deg=1, longitude_deg=2), equipment=Equipment(battery=unit))
    return ageing.bank_ageing(sketch, soc, step_h, temp_c)


def daily(depth, days=365, top=1.0):
    """Full at six in the morning, `depth` lower twelve hours later."""
    down = np.linspace(top, top - depth, 13)
    return np.tile(np.r_[down, down[::-1][1:-1]], days)


def test_calendar_factors_of_lfp_by_hand():
    # k(SOC) = 2.8575 (SOC − 0.5)³ + 0.60225: 0.679403 at 80 %, 0.959438 full, 0.245063 empty
    at = laws.calendar_factor(LFP, 25.0, np.array([0.8, 1.0, 0.5]))
    assert at == pytest.approx([1.0, 1.994258, 1.0], rel=1e-5)
    # (2 × 17126 / 8.3145) (1/298.15 − 1/308.15) = 4119.55 × 1.088424e−4 = 0.448382
    assert float(laws.calendar_factor(LFP, 35.0, 0.8)) == pytest.approx(1.565776, rel=1e-5)
    assert float(laws.calendar_factor(LFP, 15.0, 0.8)) == pytest.approx(0.619088, rel=1e-5)
    # cold is credited down to one half, an emptier bank than the sheet's not at all
    assert laws.calendar_factor(LFP, [0.0, 25.0], [0.8, 0.0]) == pytest.approx([0.5, 1.0])
    half = BatteryUnit(calendar_soc_frac=0.5)
    assert float(laws.calendar_factor(half, 25.0, 1.0)) == pytest.approx(2.537924, rel=1e-5)


def test_the_published_cells_rates_by_hand():
    assert float(laws.calendar_rate(CELL, 25.0, 0.5)) == pytest.approx(7.570885e-6, rel=1e-6)
    # e^(−2059.78 × (1/313.15 − 1/298.15)) = e^0.330924 = 1.392254
    assert float(laws.calendar_rate(CELL, 40.0, 1.0)) == pytest.approx(1.679206e-5, rel=1e-4)
    assert float(laws.calendar_rate(CELL, -20.0, 0.5)) == laws.calendar_rate(CELL, 0.0, 0.5)
    # (0.0630 × 0.2 + 0.0971) × (4.0253 × 0.2³ + 1.0923) = 0.1097 × 1.1245024
    assert float(laws.cycle_rate(CELL, 0.8, 0.2)) == pytest.approx(0.001233579, rel=1e-6)
    assert float(laws.cycle_rate(CELL, 0.1, 0.0)) == pytest.approx(0.0971 * 0.5891375 / 100)


def test_a_published_bank_at_rest():
    """20 % are gone after (0.2 / 7.570885e−6)² = 6.97857e8 s or 22.129 years, half full."""
    got = aged(PUBLISHED, np.full(8760, 0.5))
    assert got.life_y == pytest.approx(22.129, rel=1e-4)
    assert (got.cycle_wear, got.law) == (0.0, "lfp_published")
    assert aged(PUBLISHED, np.full(8760, 1.0)).life_y == pytest.approx(8.7195, rel=1e-4)


def test_cycles_and_time_of_a_published_bank_add_as_losses():
    """One cycle of 80 % a day at 0.0667 C, half of the time above 60 %: the roots add."""
    soc = daily(0.8)
    got = aged(PUBLISHED, soc)
    by_time = np.mean(laws.calendar_rate(CELL, 25.0, soc) ** 2) * 8760 * 3600 / 0.2**2
    # (0.063 × 0.8 / 12 + 0.0971) × 1.1245024 / 100 = 0.00113911; × √(365 × 0.8) / 0.2 squared
    by_cycles = (0.00113911 * np.sqrt(292) / 0.2) ** 2
    assert got.wear == pytest.approx((np.sqrt(by_time) + np.sqrt(by_cycles)) ** 2, rel=2e-3)
    assert got.cycle_wear / got.calendar_wear == pytest.approx(
        np.sqrt(by_cycles / by_time), rel=2e-3
    )
    assert laws.shares_together(PUBLISHED, 0.04, 0.09) == pytest.approx((0.1, 0.15))
    assert laws.shares_together(LFP, 0.04, 0.09) == (0.04, 0.09)


def test_capacity_falls_by_the_root_in_lfp_and_straight_in_the_others():
    life = aged(PUBLISHED, np.full(8760, 0.5))
    # after 1 and 4 years 4.25 and 8.50 %
    assert 1 - life.health_frac[[1, 4]] == pytest.approx([0.042515, 0.085031], rel=1e-4)
    lead = aged(SEALED, np.ones(8760))
    assert 1 - lead.health_frac[[1, 4]] == pytest.approx([0.025, 0.1])


def test_lead_acid_and_sodium_double_for_each_10_k_and_know_no_charge():
    for unit in (SEALED, SODIUM):
        at = laws.calendar_factor(unit, [45.0, 35.0, 25.0, 15.0, -20.0], 0.3)
        assert at == pytest.approx([4, 2, 1, 0.5, 0.5])
    assert ageing.calendar_wear(SEALED, np.array([35.0, 25.0])) == pytest.approx(1.5 / 8)


def test_hours_since_full_and_the_lowest_since():
    soc = np.array([0.7, 1.0, 0.8, 0.6, 0.9, 0.99, 0.95, 0.5])
    hours, lowest = laws.since_full(LEAD, soc, 0.5)
    assert list(hours) == [1.5, 0, 0.5, 1.0, 1.5, 0, 0.5, 1.0]
    assert list(lowest) == pytest.approx([0.5, 1.0, 0.8, 0.6, 0.6, 0.99, 0.95, 0.5])


def test_want_of_full_charges_by_hand():
    """Full, then 0.1 down each hour for two hours, up at once: √(0.1 / 0.1) = 1.

    1 + ((6.614e−5 + 3.307e−3 × 0.1) × 1 + (6.614e−5 + 3.307e−3 × 0.2) × 2) / 2
    """
    soc = np.tile([1.0, 0.9, 0.8], 100)
    expected = 1 + (0.00039684 + 0.00072754 * 2) / 2
    assert laws.part_charge_factor(LEAD, soc, 1.0) == pytest.approx(expected, rel=1e-6)
    # a quarter of the current doubles what is on top, and so do twice the hours
    slow = np.repeat([1.0, 0.9, 0.8, 1.0], 1)
    assert laws.part_charge_factor(LEAD, slow, 4.0) - 1 == pytest.approx(
        8 * (expected - 1), rel=1e-6
    )
    assert laws.part_charge_factor(LEAD, np.ones(10), 1.0) == 1.0
    # never full: as after 720 h
    never = np.tile([0.6, 0.5], 4380)
    top = 720 * (6.614e-5 + 3.307e-3 * 0.5)
    assert laws.part_charge_factor(LEAD, never, 1.0) == pytest.approx(1 + top, rel=0.03)


def test_want_of_full_charges_wears_lead_acid_cycles_only():
    often, seldom = daily(0.4), daily(0.4, top=0.9)
    lead = aged(SEALED, often), aged(SEALED, seldom)
    # 7,500 cycles; √(0.1 / 0.0333) × mean of j (6.614e−5 + 3.307e−3 j / 30) over 12 hours = 0.0111
    assert lead[0].cycle_wear == pytest.approx(365 / 7500 * 1.0111, rel=2e-3)
    assert lead[1].cycle_wear > 1.5 * lead[0].cycle_wear
    assert lead[1].calendar_wear == lead[0].calendar_wear
    assert aged(LFP, seldom).cycle_wear == pytest.approx(aged(LFP, often).cycle_wear, rel=0.01)
    assert [one.kind for one in lead[1].beyond] == ["seldom_full"]
    assert lead[1].beyond[0].share > 0.9


def test_the_moving_rate():
    # 0.2 down in two hours, 0.3 up in one hour: (2 × 0.01 + 0.09) / 0.5 = 0.22; down 0.1
    assert laws.moving_rate(np.array([0.5, 0.4, 0.3, 0.6]), 1.0) == pytest.approx((0.22, 0.1))
    assert laws.moving_rate(np.array([0.5, 0.4, 0.3, 0.6]), 0.5) == pytest.approx((0.44, 0.2))
    assert laws.moving_rate(np.ones(5), 1.0) == (0.0, 0.0)


def kinds(unit, soc, temp_c):
    return [one.kind for one in aged(unit, soc, temp_c).beyond]


def test_warnings_beyond_the_laws():
    rest = np.full(8760, 0.9)

    def part(level, hours, else_c=25.0):
        temp = np.full(8760, else_c)
        temp[:hours] = level
        return temp

    assert kinds(LFP, rest, part(-0.1, 88)) == ["cold"]
    assert kinds(LFP, rest, part(-0.1, 87)) == []
    assert kinds(LFP, rest, part(0.0, 8760)) == []
    assert kinds(LFP, rest, part(60.0, 100)) == []
    assert kinds(LFP, rest, part(60.1, 100)) == ["hot"]
    assert kinds(SEALED, rest[::-1] + 0.1, part(14.9, 100)) == ["cold"]
    assert kinds(SEALED, rest + 0.1, part(40.1, 100)) == ["hot"]
    moving = daily(0.5)
    assert kinds(PUBLISHED, moving, 19.9) == ["cycled_cold"]
    assert kinds(PUBLISHED, moving, 40.1) == ["cycled_hot"]
    assert kinds(LFP, moving, 19.9) == []
    brisk = np.tile([1.0, 0.4], 300)
    assert "fast" not in kinds(PUBLISHED, brisk, 25.0)
    quarter = aged(PUBLISHED, brisk, step_h=0.25)  # 2.4 a hour
    assert "fast" in [one.kind for one in quarter.beyond]


def test_a_short_life_is_said_under_three_years():
    assert [
        one.kind for one in aged(BatteryUnit(calendar_life_y=2.9), np.full(8760, 0.8)).beyond
    ] == ["short"]
    assert aged(BatteryUnit(calendar_life_y=3.1), np.full(8760, 0.8)).beyond == ()
    short = aged(BatteryUnit(calendar_life_y=2.0), np.full(8760, 0.8)).beyond[0]
    assert (short.share, short.limit) == pytest.approx((2.0, 3.0))
    assert short.words.startswith("The bank lasts only 2 years: below 3 years")


def test_each_warning_is_a_sentence():
    kinds = [key for key in catalogue("en") if key.startswith("ageing.")]
    assert len(kinds) == 7
    for kind in (key.removeprefix("ageing.") for key in kinds):
        words = ageing.Beyond(kind, 0.25, 40.0).words
        assert "{" not in words
        assert words.endswith(".")


def test_a_unit_replaced_at_full_capacity_leaves_a_number():
    # at least one hundredth may be lost: 400 times as fast as a fifth
    got = aged(BatteryUnit(life_from="published", end_of_life_frac=1.0), np.full(8760, 0.5))
    assert got.life_y == pytest.approx(22.129 / 400, rel=1e-3)


def test_only_lfp_can_take_a_published_life():
    lead = BatteryUnit(chemistry="lead_acid_sealed", life_from="published")
    assert aged(lead, np.ones(8760)).law == "lead_acid"
    assert aged(lead, np.ones(8760)).life_y == pytest.approx(15)
    assert aged(SODIUM, np.ones(8760)).law == "other"
    assert aged(LFP, np.ones(8760)).law == "lfp_sheet"


def test_the_searchs_bound_of_a_published_bank():
    # the gentlest depth: 0.0971 × (1.0923 − 4.0253 × 0.6³) = 0.0971 × 0.2228352 per cent
    rate = 0.0971 * 0.2228352 / 100
    assert least_wear_per_cycle(PUBLISHED) == pytest.approx((rate / 0.2) ** 2, rel=1e-4)
    life = longest_bank_life_y(PUBLISHED, 0.0, 5.0, 0.05)
    assert float(life) == pytest.approx(20)


SOC = st.integers(0, 2**32 - 1)


def wandering(seed, swing=0.1):
    rng = np.random.default_rng(seed)
    return np.clip(1 - np.abs(np.cumsum(rng.normal(0, swing, 2000)) % 1.8 - 0.9), 0.1, 1.0)


@settings(max_examples=60, deadline=None)
@given(SOC, st.sampled_from([LFP, PUBLISHED, SEALED, SODIUM]), st.floats(-30, 70), st.floats(0, 20))
def test_wear_is_never_negative_and_warmth_never_spares(seed, unit, temp_c, warmer):
    soc = wandering(seed)
    cold, warm = aged(unit, soc, temp_c), aged(unit, soc, temp_c + warmer)
    assert cold.cycle_wear >= 0
    assert cold.calendar_wear > 0
    assert warm.wear >= cold.wear * (1 - 1e-12)
    assert warm.calendar_wear >= ageing.least_calendar_wear(unit, temp_c) * (1 - 1e-12)
    assert (np.diff(cold.health_frac)[: int(cold.life_y)] < 0).all()
    assert cold.health_frac.min() >= unit.end_of_life_frac - 1e-9


@settings(max_examples=40, deadline=None)
@given(SOC, st.floats(0, 0.5))
def test_a_fuller_lfp_bank_never_lasts_longer(seed, lower):
    soc = wandering(seed)
    for unit in (LFP, PUBLISHED):
        assert aged(unit, np.maximum(soc - lower, 0)[:1]).life_y >= aged(unit, soc[:1]).life_y
        least = ageing.least_calendar_wear(unit, 20.0)
        assert ageing.calendar_wear(unit, 20.0, np.maximum(soc, 0.1)) >= least


@settings(max_examples=40, deadline=None)
@given(SOC, st.sampled_from([PUBLISHED, SEALED]))
def test_no_bank_outlasts_the_searchs_bound(seed, unit):
    soc = np.resize(wandering(seed), 8760)
    fallen = -np.minimum(np.diff(np.concatenate([soc[-1:], soc])), 0).sum()
    out = fallen * 5.0 * unit.discharge_efficiency_frac
    bound = longest_bank_life_y(unit, out, 5.0, ageing.least_calendar_wear(unit, 20.0))
    assert aged(unit, soc, 20.0).life_y <= bound
