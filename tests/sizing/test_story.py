"""What a year tells: sums agree with totals, flows close, the right days decide."""

from dataclasses import replace

import numpy as np
import pytest

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.simulation import inputs_of, simulate
from offgrid_sizing.sizing.story import (
    Days,
    bridge,
    days_of,
    deciding_stretch,
    energy_links,
    hardest_day,
    hours_by_month,
    months_of,
    with_more_units,
)


@pytest.fixture(scope="module")
def runs():
    """One simulated year of each demo."""
    return {name: simulate(demo(name), inputs=inputs_of(demo(name), years=1)) for name in DEMOS}


@pytest.mark.parametrize("name", DEMOS)
def test_days_add_up_to_the_year(runs, name):
    run = runs[name]
    found = days_of(run.trace)
    assert found.kwh["load"].sum() == pytest.approx(run.metrics.load_kwh)
    assert found.kwh["curtailed"].sum() == pytest.approx(run.metrics.curtailed_kwh)
    assert found.short_h.sum() == pytest.approx(run.metrics.unserved_h)
    assert found.lowest_soc_frac.min() == pytest.approx(run.metrics.lowest_soc_frac)
    assert found.lowest_soc_frac.shape == (365,)


def test_months_of_days_by_hand():
    """Day n of the year uses n kWh; charge rises by a thousandth a day."""
    number = np.arange(1.0, 366.0)
    found = months_of(Days({"load": number}, number / 1000, np.zeros(365)))
    assert found.kwh["load"][:3].tolist() == [496, 1274, 2325]
    assert found.kwh["load"].sum() == 66795
    assert found.lowest_soc_frac[[0, 1, 2, 11]] == pytest.approx([0.001, 0.032, 0.060, 0.335])


@pytest.mark.parametrize("name", DEMOS)
def test_what_goes_in_comes_out_and_losses_are_the_counted_ones(runs, name):
    """The picture's losses are what is left at each thing; the balance counted them one by one."""
    run = runs[name]
    links = energy_links(run.trace)
    lost = sum(link.kwh for link in links if link.end == "losses")
    assert lost == pytest.approx(sum(run.trace.losses_wh.values()) / 1000, rel=1e-6)
    for inner in ("bank", "machine"):
        into = sum(link.kwh for link in links if link.end == inner)
        out = sum(link.kwh for link in links if link.origin == inner)
        assert into == pytest.approx(out, rel=1e-9)
    house = sum(link.kwh for link in links if link.end == "house")
    assert house == pytest.approx(run.metrics.served_kwh)


def test_the_stretch_holds_the_day_with_most_unserved(runs):
    run = runs["farmhouse"]
    found = deciding_stretch(run.trace)
    worst = int(days_of(run.trace).kwh["unserved"].argmax())
    chosen = (found.first_day + np.arange(found.days)) % 365
    assert worst in chosen
    assert found.ran_out == "sun"
    assert len(found.steps) == found.days * 24
    assert found.unserved_kwh > 0


def test_one_unit_fewer_than_the_bridge_does_not_carry(runs):
    run = runs["shop"]
    stretch = deciding_stretch(run.trace)
    found = bridge(run, stretch)
    assert found.more is not None
    for more, carried in ((found.more, True), (found.more - 1, False)):
        again = simulate(run.sketch, with_more_units(run.system, more), inputs=run.inputs)
        unserved = again.trace["unserved_w"][stretch.steps].sum()
        assert (unserved < 1e-3) == carried


def test_nothing_to_bridge_where_nothing_is_missing(runs):
    trace = runs["farmhouse"].trace
    served = replace(
        trace, columns={**trace.columns, "unserved_w": np.zeros_like(trace["unserved_w"])}
    )
    stretch = deciding_stretch(served)
    assert stretch.ran_out == "nothing"
    assert bridge(runs["farmhouse"], stretch).more is None


def test_hours_by_month_by_hand():
    hours = np.ones(8760)
    hours[: 31 * 24] = np.arange(31 * 24)
    found = hours_by_month(hours)
    assert found.shape == (12, 2)
    assert found[0, 0] == pytest.approx((31 * 24 - 1) / 2)  # median of 0..743
    assert found[0, 1] == pytest.approx(0.05 * (31 * 24 - 1))
    assert (found[1:] == 1).all()


def test_the_hardest_day_is_short_or_else_the_emptiest(runs):
    found = days_of(runs["farmhouse"].trace)
    assert found.short_h[hardest_day(found)] > 0
    assert hardest_day(found) == int(found.kwh["unserved"].argmax())
    dust = np.zeros(365)
    dust[100] = 1e-9  # rounding, in a day without a dark hour
    calm = replace(found, kwh=found.kwh | {"unserved": dust}, short_h=np.zeros(365))
    assert hardest_day(calm) == int(found.lowest_soc_frac.argmin()) != 100


def test_a_stretch_is_bridged_under_the_cuts_it_came_from():
    """Another draw of random cuts is another year."""
    base = demo("town_house")
    grid = base.grid.model_copy(update={"kind": "failing", "cuts": ()})
    drawn = base.drawn.model_copy(update={"units_in_parallel": 1})
    sketch = base.model_copy(
        update={"grid": grid, "drawn": drawn, "weather": demo("farmhouse").weather}
    )
    run = simulate(sketch, inputs=inputs_of(sketch), draw=3)
    stretch = deciding_stretch(run.trace)
    found = bridge(run, stretch)
    assert found.more >= 1
    larger = with_more_units(run.system, found.more)
    again = simulate(sketch, larger, inputs=run.inputs, draw=3)
    np.testing.assert_array_equal(found.soc_frac, again.trace["soc_frac"][stretch.steps])
    other = simulate(sketch, larger, inputs=run.inputs, draw=0)
    assert not np.array_equal(found.soc_frac, other.trace["soc_frac"][stretch.steps])
