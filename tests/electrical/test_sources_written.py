"""Every source of current with its numbers worked by hand from made-up runs."""

from types import SimpleNamespace

import pytest

from offgrid_sizing.electrical.source_device import Feed, device_within_a, feeds
from offgrid_sizing.electrical.sources import grouped, sources_of
from offgrid_sizing.electrical.strings import InputPlan
from offgrid_sizing.sketch import (
    Appliance,
    BatteryUnit,
    Equipment,
    Generator,
    Grid,
    InverterCharger,
    Loads,
    Module,
    Site,
    Sketch,
    Wiring,
)
from offgrid_sizing.system import System

MODULE = Module(voc_v=50, vmp_v=40, isc_a=8, imp_a=7.5, power_w=300, max_fuse_a=15)
KEYS = ("grid_in", "generator_in", "ac_out", "string", "unit_lead")


def home(grid=None, generator=None, book="iec60364", **inverter):
    return Sketch(
        site=Site(latitude_deg=0, longitude_deg=0), grid=grid or Grid(kind="none"),
        generator=generator, wiring=Wiring(rule_book=book),
        equipment=Equipment(
            module=MODULE, battery=BatteryUnit(max_discharge_a=100, peak_discharge_a=150),
            inverter=InverterCharger(**inverter),
        ),
    )  # fmt: skip


def system(inverters=1, arrangement="single"):
    return System(planes=(), units_in_series=1, units_in_parallel=2, inverters=inverters,
                  arrangement=arrangement)  # fmt: skip


def run(key, device="a device"):
    need = SimpleNamespace(key=key, no_device=f"none for {key}")
    return need, SimpleNamespace(device=device, judged=SimpleNamespace(usable_a=KEYS.index(key)))


def bank(parallel=2, series=1):
    return SimpleNamespace(
        nominal_v=51.2 * series, in_parallel=parallel, in_series=series,
        fault=SimpleNamespace(unit_a=2800.0),
    )  # fmt: skip


def found(sketch, wired=None, plans=(), own=None, device="a device"):
    runs = [run(key, device) for key in KEYS]
    return sources_of(sketch, wired or system(), plans, runs, own)


def test_a_line_passes_what_its_fewest_machines_pass():
    """Three machines of 40 A on two lines: one line has one of them only."""
    (feed,) = feeds(home(Grid(kind="steady"), transfer_max_a=40), system(3, "split_phase"))
    assert (feed.lines, feed.passes_a) == (2, 40)
    (feed,) = feeds(home(Grid(kind="steady"), transfer_max_a=40), system(4, "split_phase"))
    assert feed.passes_a == 80


def test_the_grid_by_its_connection():
    """9,200 W at 230 V: 40 A; 3.5 kA are what the supplier says."""
    grid = Grid(kind="steady", import_limit_w=9200, prospective_short_circuit_ka=3.5)
    one = found(home(grid))[0]
    assert (one.kind, one.rated_w, one.rated_a, one.largest_a) == ("grid", 9200, 40, 40)
    assert (one.short_circuit_a, one.isolated, one.limit_known) == (3500, False, True)
    assert (one.run, one.usable_a, one.device, one.no_device) == ("grid_in", 0, "a device", "")
    assert one.notes == ()
    silent = found(home(Grid(kind="steady", import_limit_w=9200)))[0]
    assert (silent.short_circuit_a, silent.limit_known, len(silent.notes)) == (None, False, 1)


def test_a_generator_with_its_start():
    """6,900 W at 230 V: 30 A, 1.5 times as much for a start."""
    generator = Generator(rated_w=6900, start_multiple=1.5, short_circuit_a=180, breaker_a=32)
    one = found(home(generator=generator))[0]
    assert (one.kind, one.rated_w, one.run, one.usable_a) == (
        "generator", 6900, "generator_in", 1,
    )  # fmt: skip
    assert (one.rated_a, one.largest_a) == (pytest.approx(30), pytest.approx(45))
    assert (one.short_circuit_a, one.isolated) == (180, None)
    three = found(home(generator=generator), system(3, "three_phase"))[0]
    assert (three.rated_a, three.largest_a) == (pytest.approx(10), pytest.approx(15))


def test_a_device_below_the_source_is_noted():
    """A breaker of 25 A in front of 30 A of a generator: 25 A are what may be drawn."""
    generator = Generator(rated_w=6900, short_circuit_a=180, breaker_a=25)
    one = found(home(generator=generator))[0]
    assert len(one.notes) == 1
    assert dict(one.notes[0].values)["lasting_a"] == 25.0
    (feed,) = feeds(home(generator=generator), system())
    assert (feed.device_a, feed.lasting_a, feed.drawn_a) == (25, 25, 25)


def test_inverters_are_numbered_and_each_has_its_surge():
    """5,000 VA at 230 V: 21.74 A; 10,000 VA for seconds: 43.48 A."""
    sketch = home(rated_w=4500, rated_va=5000, surge_va=10_000)
    both = found(sketch, system(2, "parallel"))
    assert [one.kind for one in both] == ["inverter", "inverter"]
    assert [dict(one.name.values)["number"] for one in both] == [1, 2]
    for one in both:
        assert one.rated_w == 4500
        assert (one.rated_a, one.largest_a) == (
            pytest.approx(21.7391, abs=1e-4), pytest.approx(43.4783, abs=1e-4),
        )  # fmt: skip
        assert (one.short_circuit_a, one.isolated, one.run, one.usable_a) == (
            None, None, "ac_out", 2,
        )  # fmt: skip
    assert [(one.kind, count) for one, count in grouped(both)] == [("inverter", 2)]


def test_an_array_by_each_input_of_each_plane():
    """3 strings of 6 on one input, 2 inputs of one string of 8: 1.25 × 8 A a string."""
    plans = (InputPlan("south", 6, 3, 1, 3), InputPlan("west", 8, 2, 2, 1))
    arrays = [one for one in found(home(), plans=plans) if one.kind == "array"]
    assert [one.rated_w for one in arrays] == [5400, 2400, 2400]
    assert [one.rated_a for one in arrays] == [22.5, 7.5, 7.5]
    assert [one.largest_a for one in arrays] == [30, 10, 10]
    assert [one.short_circuit_a for one in arrays] == [30, 10, 10]
    assert [tuple(dict(one.name.values).values()) for one in arrays] == [
        ("south", 1), ("west", 1), ("west", 2),
    ]  # fmt: skip
    assert all((one.run, one.usable_a, len(one.notes)) == ("string", 3, 1) for one in arrays)
    assert [count for _, count in grouped(arrays)] == [1, 2]
    bare = [one for one in found(home(), plans=plans, device=None) if one.kind == "array"]
    assert all((one.no_device, one.notes) == ("none for string", ()) for one in bare)


def test_units_of_a_bank():
    """100 A at 51.2 V; 150 A for seconds; 2,800 A into a short circuit."""
    units = [one for one in found(home(), own=bank()) if one.kind == "unit"]
    assert [dict(one.name.values)["number"] for one in units] == [1, 2]
    assert {(one.rated_w, one.rated_a, one.largest_a) for one in units} == {(5120, 100, 150)}
    assert {(one.short_circuit_a, one.isolated, one.notes) for one in units} == {(2800, False, ())}
    assert {(one.run, one.usable_a) for one in units} == {("unit_lead", 4)}
    (alone,) = (one for one in found(home(), own=bank(1, 2)) if one.kind == "unit")
    assert (alone.isolated, alone.rated_w, len(alone.notes)) == (None, 10_240, 1)
    assert dict(alone.notes[0].values)["count"] == 2


def test_the_order_of_all_sources():
    grid = Grid(kind="steady", import_limit_w=9200)
    plans = (InputPlan("south", 6, 1, 1, 1),)
    every = found(home(grid, Generator(rated_w=5000)), plans=plans, own=bank(1))
    assert [one.kind for one in every] == ["grid", "generator", "inverter", "array", "unit"]


# --- the device in front of a source ------------------------------------------------------------


@pytest.mark.parametrize(
    ("wanted_a", "most_a", "device_a"),
    [
        (21.7, 27.2, 25), (25, 25, 25), (25.001, 40, 32), (16, 16 - 1e-12, 16), (5, 5.9, None),
        (33, 39, 32), (6, 6, 6), (1, 100, 6), (40, 1000, 40), (41, 1000, 40),
    ],
)  # fmt: skip
def test_the_smallest_device_that_carries_it_within_a_limit(wanted_a, most_a, device_a):
    assert device_within_a((6, 10, 16, 25, 32, 40), wanted_a, most_a) == device_a


@pytest.mark.parametrize(
    ("rated_a", "bears_a", "passes_a", "lasting_a", "drawn_a"),
    [(30, 25, 50, 25, 25), (30, 32, 50, 30, 30), (30, 32, 20, 30, 20)],
)
def test_what_may_be_drawn_for_long(rated_a, bears_a, passes_a, lasting_a, drawn_a):
    feed = Feed("grid", 1.0, 1, rated_a, passes_a, 32, bears_a, 0.0, None, "rule")
    assert (feed.lasting_a, feed.drawn_a) == (lasting_a, drawn_a)


@pytest.mark.parametrize(
    ("book", "arrangement", "machines", "numbers"),
    [
        # 9,200 W: 40 A on one line, 20 A on two, 13.33 A on three; the input passes 50 A each
        ("iec60364", "single", 1, (1, 40, 50, 40, 40)),
        ("iec60364", "parallel", 2, (1, 40, 100, 40, 40)),
        ("iec60364", "split_phase", 2, (2, 20, 50, 20, 20)),
        ("iec60364", "three_phase", 6, (3, 40 / 3, 100, 16, 16)),
        # NFPA 70: 1.25 × 40 A need 50 A, which bear 40 A for long
        ("nfpa70", "single", 1, (1, 40, 50, 50, 40)),
        ("nfpa70", "three_phase", 3, (3, 40 / 3, 50, 20, 16)),
    ],
)
def test_the_grids_feed_by_line(book, arrangement, machines, numbers):
    sketch = home(Grid(kind="steady", import_limit_w=9200), book=book, transfer_max_a=50)
    (feed,) = feeds(sketch, system(machines, arrangement))
    lines, rated_a, passes_a, device_a, bears_a = numbers
    assert (feed.source, feed.source_w, feed.lines) == ("grid", 9200, lines)
    assert (feed.rated_a, feed.passes_a) == (pytest.approx(rated_a), passes_a)
    assert (feed.device_a, feed.device_bears_a) == (device_a, pytest.approx(bears_a))
    assert feed.least_conductor_a == pytest.approx(rated_a)
    assert feed.faults == ()
    assert feeds(home(), system()) == ()


def test_another_book_than_the_sketchs_rates_the_device():
    """40 A: 40 A by IEC 60364, 1.25 × 40 = 50 A by NFPA 70, whatever the sketch names."""
    sketch = home(Grid(kind="steady", import_limit_w=9200), transfer_max_a=50)
    assert [feeds(sketch, system(), book)[0].device_a for book in (None, "nfpa70")] == [40, 50]
    other = home(Grid(kind="steady", import_limit_w=9200), book="nfpa70", transfer_max_a=50)
    assert [feeds(other, system(), book)[0].device_a for book in (None, "iec60364")] == [50, 40]


def test_the_fullest_line_of_the_unprotected_supply_stands_beside_the_machines():
    """460 W on L1 and 230 W on L2, at 230 V 2 A and 1 A; the machines pass 20 A a line. The grid
    gives 50 A a line: 22 A are drawn, 25 A are the next device. Of 21 A 21 are drawn, of 20 A 20;
    where the machines pass 50 A, all of the 40 A that the grid gives."""
    loads = Loads(
        appliances=(
            Appliance(name="Lamp", running_w=100),
            Appliance(name="Heater", running_w=460, board="unprotected", leg="L1"),
            Appliance(name="Fan", running_w=230, board="unprotected", leg="L2"),
        )
    )

    def fed(limit_w, passes_a=20):
        bare = home(Grid(kind="steady", import_limit_w=limit_w), transfer_max_a=passes_a)
        drawn = bare.drawn.model_copy(update={"inverters": 2, "arrangement": "split_phase"})
        sketch = bare.model_copy(update={"loads": loads, "drawn": drawn})
        (feed,) = feeds(sketch, system(2, "split_phase"))
        assert (feed.beside_a, feed.passes_a) == (pytest.approx(2), passes_a)
        return feed.drawn_a, feed.device_a, feed.least_conductor_a

    assert fed(23_000) == pytest.approx((22, 25, 22))
    assert fed(9660) == pytest.approx((21, 25, 21))
    assert fed(9200) == pytest.approx((20, 20, 20))
    assert fed(18_400, 50) == pytest.approx((40, 40, 40))


def test_a_makers_device_at_the_limit_of_a_generator_and_one_above():
    """5,865 W at 230 V are 25.5 A: 1.25 × 25.5 = 31.875 A may stand before it, so the maker's own
    31.875 A do, where the standard has 25 A below and 32 A above. 700 W are 3.04 A: 3.8 A may; the
    smallest standard device is 6 A, and 5 A that are named protect it no better."""
    (at,) = feeds(home(generator=Generator(rated_w=5865, breaker_a=31.875)), system())
    assert (at.device_a, at.faults) == (31.875, ())
    (above,) = feeds(home(generator=Generator(rated_w=700, breaker_a=5)), system())
    assert (above.device_a, len(above.faults)) == (6, 1)
    assert dict(above.faults[0].origin.values)["least_a"] == 6
