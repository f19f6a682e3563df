"""Bank wear: hand-derived cases and what must always hold."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing import ageing
from offgrid_sizing.sketch import (
    BatteryUnit,
    Equipment,
    Prices,
    Site,
    Sketch,
    SketchError,
    sketch_from_dict,
)

UNIT = BatteryUnit()
PLAIN = BatteryUnit(chemistry="sodium_ion")  # the state of charge plays no part


def sketch_with(**prices) -> Sketch:
    return Sketch(
        site=Site(latitude_deg=10, longitude_deg=20),
        equipment=Equipment(battery=PLAIN),
        prices=Prices(**prices),
    )


def daily(depth: float, days: int = 365) -> np.ndarray:
    """Full at six in the morning, `depth` lower twelve hours later."""
    return np.tile(np.r_[np.linspace(1, 1 - depth, 13), np.linspace(1 - depth, 1, 12)[1:]], days)


def test_one_cycle_a_day_wears_by_the_curve():
    got = ageing.bank_ageing(sketch_with(), daily(0.8), 1.0, 25.0)
    # 365 cycles at 80 %, of which the unit bears 3,000 (half a cycle less at the two ends)
    assert got.cycle_wear == pytest.approx(365 / 3000, rel=0.01)
    assert got.calendar_wear == pytest.approx(1 / 15)
    assert got.life_y == pytest.approx(1 / (365 / 3000 + 1 / 15), rel=0.01)
    assert got.cycles[7] == pytest.approx(365, rel=0.01)
    assert got.equivalent_full_cycles == pytest.approx(0.8 * 365, rel=0.01)


def test_a_bank_that_never_moves_wears_by_the_calendar():
    got = ageing.bank_ageing(sketch_with(), np.ones(8760), 1.0, 25.0)
    assert got.cycle_wear == 0
    assert got.life_y == pytest.approx(15)
    assert got.replacement_years == pytest.approx((15,))


def test_ten_kelvin_doubles_calendar_wear_and_cold_is_credited_by_half_at_most():
    at = [ageing.calendar_wear(PLAIN, t) * PLAIN.calendar_life_y for t in (35, 25, 15, -20)]
    assert at == pytest.approx([2, 1, 0.5, 0.5])
    mixed = ageing.calendar_wear(PLAIN, np.array([35.0, 25.0]))
    assert mixed * PLAIN.calendar_life_y == pytest.approx(1.5)


def test_beyond_the_curve():
    shallow, deep = ageing.cycles_to_end(UNIT, [0.25, 1.0])
    assert shallow == pytest.approx(12_000)  # 0.5 × 6,000 = 0.25 × 12,000
    assert deep < 3000 * 0.8  # the last slope is steeper than constant energy
    one_point = BatteryUnit(cycle_life=((0.8, 2000),))
    assert ageing.cycles_to_end(one_point, [0.4, 0.8, 1.0]) == pytest.approx([4000, 2000, 1600])


def test_health_falls_to_the_end_of_life_and_starts_anew():
    health = ageing.health_by_year(10, 0.8, 20)
    assert health[[0, 5, 10, 15]] == pytest.approx([1.0, 0.9, 1.0, 0.9])
    assert health.min() == pytest.approx(0.82)


def test_two_years_count_as_one_on_average():
    one = ageing.bank_ageing(sketch_with(), daily(0.6), 1.0, 25.0)
    two = ageing.bank_ageing(sketch_with(), np.stack([daily(0.6)] * 2), 1.0, 25.0)
    assert two.wear == pytest.approx(one.wear, rel=0.01)


def test_quarter_hours_count_as_hours():
    hours = daily(0.6)
    quarters = np.interp(np.arange(0, len(hours) - 0.75, 0.25), np.arange(len(hours)), hours)
    coarse = ageing.bank_ageing(sketch_with(), hours, 1.0, 25.0)
    fine = ageing.bank_ageing(sketch_with(), quarters, 0.25, 25.0)
    assert fine.cycle_wear == pytest.approx(coarse.cycle_wear, rel=0.01)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.05, 0.95), st.floats(0.01, 0.9))
def test_deeper_cycles_wear_more(depth, part):
    shallow, deep = ageing.cycles_to_end(UNIT, [depth * part, depth])
    assert shallow >= deep
    # and energy over life never falls when cycles get shallower
    assert shallow * depth * part >= deep * depth * (1 - 1e-9)


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("calendar_life_y", 0, "calendar_life_y must be greater than or equal to 0.5 (got 0)."),
        ("cycle_life", [[0.8, 0]], "cycles must be at least 1"),
        ("cycle_life", [[0, 2000]], "depth of discharge must be above 0"),
        ("cycle_life", [[0.8, 2000], [0.8, 2500]], "one number of cycles for each depth"),
    ],
)
def test_a_life_of_nothing_is_refused_in_one_sentence(field, value, says):
    raw = {"site": {"latitude_deg": 1, "longitude_deg": 2}}
    raw["equipment"] = {"battery": {field: value}}
    with pytest.raises(SketchError) as refused:
        sketch_from_dict(raw)
    assert len(refused.value.sentences) == 1
    assert says in refused.value.sentences[0]


def test_a_senseless_cycle_life_sheet_does_not_ask_for_endless_replacements():
    sketch = sketch_with()
    unit = sketch.equipment.battery.model_copy(update={"cycle_life": ((1e-300, 1.0),)})
    equipment = sketch.equipment.model_copy(update={"battery": unit})
    soc = np.tile([0.9, 0.1], 4380)
    worn = ageing.bank_ageing(sketch.model_copy(update={"equipment": equipment}), soc, 1.0, 25.0)
    assert worn.life_y == 1 / 365
    assert len(worn.replacement_years) <= 365 * sketch.prices.horizon_y


@pytest.mark.parametrize(
    "sheet",
    [
        ((0.5, 1e308), (0.8, 1e308)),
        ((0.5, 1e308), (0.8, 1.0)),
        ((1e-300, 1e308), (1e-299, 1.0)),
    ],
)
def test_numbers_beyond_all_sense_on_a_cycle_life_sheet_stay_finite_and_silent(sheet):
    unit = BatteryUnit(cycle_life=sheet)
    depth = [1e-9, 0.3, 0.6, 1.0]
    cycles = ageing.cycles_to_end(unit, depth)
    assert np.isfinite(cycles).all()
    assert (cycles > 0).all()
    assert np.isfinite(ageing.cycle_wear(unit, depth, np.full(4, 365.0)))
