"""A motor's start held against what bears it, solved by hand; and what may never get worse."""

from dataclasses import replace
from math import inf, nextafter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.demos import demo
from offgrid_sizing.electrical import starts
from offgrid_sizing.electrical.overload import (
    borne_s,
    dip_frac,
    generator_reactance_frac,
    line_ohm,
    overload_spent,
    sag_v,
)
from offgrid_sizing.electrical.start_verdicts import starts_of, verdict_words
from offgrid_sizing.electrical.starts import (
    VERDICTS,
    Company,
    Leads,
    companies,
    judged,
    strain_on_bank,
    strain_on_generator,
    strain_on_grid,
)
from offgrid_sizing.loads.motors import StartEvent
from offgrid_sizing.loads.peaks import peak_of
from offgrid_sizing.sketch import (
    Appliance,
    BadInput,
    Generator,
    Grid,
    InverterCharger,
    Sketch,
    sketch_from_dict,
)
from offgrid_sizing.system import System, drawn_system

LEADS = Leads(unit_ohm=0.004, machine_ohm=0.002)
PUMP = StartEvent("pump", "capacitor_start", 1250.0, 1000.0, 5000.0, 3250.0, 0.6, False)


def home(**parts):
    """One default machine of 5 kVA and two default units, no other source."""
    base = {"site": {"latitude_deg": 10, "longitude_deg": 0}, "drawn": {"units_in_parallel": 2}}
    return Sketch.model_validate(base | parts)


def varied(name, **parts):
    return Sketch.model_validate({**demo(name).model_dump(), **parts})


def system(parallel=2, inverters=1, arrangement="single"):
    return System(
        planes=(), units_in_series=1, units_in_parallel=parallel, inverters=inverters,
        arrangement=arrangement,
    )  # fmt: skip


def company(event=PUMP, beside_va=0.0, beside_w=0.0):
    return Company(event, (1.0,), (beside_va,), beside_w)


# --- overload against time -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ratio", "seconds"), [(1.0, inf), (1.25, 15 / 0.5625), (1.5, 12.0), (2.0, 5.0), (2.01, 0.0)]
)
def test_the_square_law_from_surge_and_its_seconds(ratio, seconds):
    """5 s at twice the rating: (2² − 1) × 5 = 15, so 15 / (k² − 1) seconds at k."""
    assert borne_s(InverterCharger(), ratio) == pytest.approx(seconds, rel=1e-12)


@pytest.mark.parametrize(("ratio", "seconds"), [(1, inf), (1.2, 60), (1.25, 60), (1.3, 5), (2, 5),
                                                (2.1, 0)])  # fmt: skip
def test_points_of_a_sheet_hold_up_to_their_load(ratio, seconds):
    assert borne_s(InverterCharger(overload_curve=((2, 5), (1.25, 60))), ratio) == seconds


def test_a_machine_without_surge_bears_its_rating_only():
    machine = InverterCharger(surge_va=5000)
    assert (borne_s(machine, 1.0), borne_s(machine, 1.001)) == (inf, 0.0)


def test_overload_adds_up_over_time():
    """6 s at 1.5 spend 6/12, 2.5 s at 2 spend 2.5/5: together all of it."""
    assert overload_spent(InverterCharger(), [(1.5, 6.0), (2.0, 2.5)]) == pytest.approx(1.0)
    assert overload_spent(InverterCharger(), [(0.9, 1e6)]) == 0.0
    assert overload_spent(InverterCharger(), [(2.5, 0.01)]) == inf


@pytest.mark.parametrize(
    ("curve", "words"),
    [
        ([[1.0, 60]], "above 1"),
        ([[1.5, 0]], "above 0"),
        ([[1.25, 5], [2, 60]], "must not be withstood for longer"),
        ([[2, 5], [2, 4]], "appears once"),
    ],
)
def test_a_curve_that_cannot_be_is_refused(curve, words):
    raw = demo("farmhouse").model_dump()
    raw["equipment"]["inverter"]["overload_curve"] = curve
    with pytest.raises(BadInput, match=words):
        sketch_from_dict(raw)


# --- the bank --------------------------------------------------------------------------------


def test_sag_of_a_bank_by_hand():
    """40 V × (50 − 40) V / 0.1 Ω = 4,000 W; no more than 50² / (4 × 0.1) = 6,250 W are there."""
    assert sag_v(50.0, 0.1, 4000.0) == pytest.approx(40.0, rel=1e-12)
    assert sag_v(50.0, 0.1, 6250.0) == pytest.approx(25.0, rel=1e-9)
    assert sag_v(50.0, 0.1, 6250.1) is None


def test_a_start_on_the_bank_by_hand():
    """19 % charged: 16 × 3.245 = 51.92 V; (0.02 + 0.004) / 2 + 0.002 = 0.014 Ω;
    3,250 W / 0.92 = 3,532.609 W: V² − 51.92 V + 49.456522 = 0, V = 50.94930, I = 69.3357 A.
    """
    found = strain_on_bank(home(), system(), LEADS, company())
    assert found.bank_v == pytest.approx(50.94930, abs=2e-5)
    assert found.bank_a == pytest.approx(69.3357, abs=2e-3)
    assert (found.load_frac, found.spent_frac, found.limit, found.start_s) == (1.0, 0.0, "", 0.6)


def test_company_counts_on_the_line_and_in_the_bank():
    """7,500 VA of 5,000 for 0.6 s spend 0.6 / 12; afterwards 3,750 VA run."""
    found = strain_on_bank(home(), system(), LEADS, company(beside_va=2500, beside_w=2000))
    assert found.spent_frac == pytest.approx(0.05, rel=1e-9)
    assert found.load_frac == pytest.approx(1.5)
    half = strain_on_bank(home(), system(), LEADS, company(beside_va=2500, beside_w=2000), 0.5)
    assert half.load_frac == pytest.approx(1.25)
    assert half.bank_a == pytest.approx(
        strain_on_bank(home(), system(), LEADS, company(beside_w=1000)).bank_a, rel=1e-12
    )


@pytest.mark.parametrize(
    ("event", "beside", "parallel", "limit"),
    [
        (replace(PUMP, start_va=10_000), 0.0, 2, ""),
        (replace(PUMP, start_va=10_000, start_s=5.0), 0.0, 2, "overload"),
        (replace(PUMP, start_va=10_001), 0.0, 2, "overload"),
        (replace(PUMP, start_va=6000), 3751.0, 2, "rating"),
        (replace(PUMP, start_w=7000), 0.0, 1, "current"),
        (replace(PUMP, start_w=16_000), 0.0, 1, "sag"),
        (replace(PUMP, start_w=90_000), 0.0, 1, "sag"),
    ],
)
def test_what_decides(event, beside, parallel, limit):
    found = strain_on_bank(home(), system(parallel), LEADS, company(event, beside))
    assert found.limit == limit


def test_a_long_start_has_the_lasting_current_only():
    """5,000 W / 0.92 at some 50.5 V: 108 A, which one unit gives for 10 s (150 A), not on (100)."""
    event = replace(PUMP, start_w=5000.0, start_s=10.0)
    assert strain_on_bank(home(), system(1), LEADS, company(event)).limit == ""
    longer = replace(event, start_s=10.1)
    assert strain_on_bank(home(), system(1), LEADS, company(longer)).limit == "current"


# --- generator and grid ----------------------------------------------------------------------


def test_dip_behind_an_impedance():
    assert dip_frac(0.25, 1.0) == pytest.approx(0.2)
    assert generator_reactance_frac(1.5) == pytest.approx(0.3 / 1.05)
    assert dip_frac(generator_reactance_frac(1.5), 1.5) == pytest.approx(0.3)


def test_a_start_on_a_generator_by_hand():
    """5 kW set, 1.5 times: 7,500 VA. The pump's 5,000 VA dip 0.2857 / 1.2857 = 22.2 %, and take
    0.6 / 0.7778² = 0.992 s."""
    sketch = home(generator=Generator(rated_w=5000))
    found = strain_on_generator(sketch, company(beside_va=2500))
    assert (found.limit, found.load_frac) == ("", 1.5)
    assert found.dip_frac == pytest.approx(2 / 9, rel=1e-9)
    assert found.start_s == pytest.approx(0.6 * 81 / 49, rel=1e-9)
    assert strain_on_generator(sketch, company(beside_va=2501)).limit == "generator"
    running = company(replace(PUMP, start_va=1300), beside_va=3751)
    assert strain_on_generator(sketch, running).limit == "rating"


def test_a_start_on_a_weak_grid_by_hand():
    """1 Ω at 230 V: 5,000 VA are 21.74 A and 21.74 V, 0.0945 of the voltage; dip 0.0864."""
    sketch = home(grid=Grid(kind="steady", line_ohm=1.0))
    found = strain_on_grid(sketch, system(), company())
    share = 5000 / 230**2
    assert found.dip_frac == pytest.approx(share / (1 + share), rel=1e-12)
    assert (found.limit, found.load_frac) == ("", 0.5)
    weak = home(grid=Grid(kind="steady", line_ohm=0.3 / 0.7 / share * 1.0001))
    assert strain_on_grid(weak, system(), company()).limit == "dip"
    near = home(grid=Grid(kind="steady", line_ohm=0.3 / 0.7 / share * 0.9999))
    assert strain_on_grid(near, system(), company()).limit == ""


def test_the_reference_line():
    assert line_ohm(None, 230.0) == pytest.approx(0.4717, abs=1e-4)
    assert line_ohm(None, 115.0) == pytest.approx(0.4717 / 4, abs=1e-4)
    assert line_ohm(0.0, 230.0) == 0.0


def test_a_bank_may_sag_to_its_lowest_voltage_and_no_further(monkeypatch):
    volts = strain_on_bank(home(), system(), LEADS, company()).bank_v
    for lowest_v, limit in ((volts, ""), (nextafter(volts, inf), "sag")):
        monkeypatch.setattr(starts, "lowest_bank_v", lambda *_, lowest_v=lowest_v: lowest_v)
        assert strain_on_bank(home(), system(), LEADS, company()).limit == limit


# --- what runs beside it ---------------------------------------------------------------------


def at_night(*others):
    """A pump of 800 W at 0.8, from 0 to 6 h, and others."""
    pump = Appliance(
        name="pump", running_w=800, power_factor=0.8, starting_multiple=5,
        windows=[{"from_h": 0, "to_h": 6}],
    )  # fmt: skip
    return home(loads={"appliances": [pump, *others]})


def test_only_what_may_run_at_the_same_time_is_beside_it():
    """By day 4,000 W, by night 500 W: the pump of 1,000 VA starts beside the 500 only."""
    by_day = Appliance(name="cooker", running_w=4000, windows=[{"from_h": 12, "to_h": 14}])
    by_night = Appliance(name="lamps", running_w=500, windows=[{"from_h": 0, "to_h": 6}])
    (one,) = companies(at_night(by_day, by_night), "single")
    assert one.event.running_va == pytest.approx(1000)
    assert one.beside_va == (pytest.approx(500),)
    assert one.beside_w == pytest.approx(500)


def test_a_motor_by_itself_has_nothing_beside_it():
    (one,) = companies(at_night(), "single")
    assert one.beside_va == (pytest.approx(0, abs=1e-9),)
    assert one.beside_w == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("motor", "arrangement", "share"),
    [
        ("three_phase", "three_phase", [1 / 3, 1 / 3, 1 / 3]),
        ("capacitor_start", "three_phase", [0, 0, 1]),
        ("three_phase", "split_phase", [0, 1]),
        ("three_phase", "single", [1]),
    ],
)
def test_lines_a_start_takes(motor, arrangement, share):
    """A three-phase motor a third on each of three lines, any other on the one it sits on."""
    one = Appliance(name="motor", running_w=900, starting_multiple=5, motor=motor)
    (found,) = companies(home(loads={"appliances": [one]}), arrangement)
    assert sorted(found.share) == pytest.approx(share)


# --- verdicts --------------------------------------------------------------------------------


def test_all_that_may_run_has_room_beside_a_motor_that_starts():
    found = judged(home(), system(), LEADS, company(beside_va=2500, beside_w=2000))
    assert [(one.verdict, one.room_va) for one in found.sources] == [("starts", 2500)]


def kitchen(**parts):
    """A pump of 1,000 VA running beside a cooker of 4,000."""
    pump = Appliance(name="pump", running_w=800, power_factor=0.8, starting_multiple=7, **parts)
    return home(loads={"appliances": [pump, Appliance(name="cooker", running_w=4000)]})


def test_the_worst_start_is_that_of_the_peak():
    for name in ("farmhouse", "shop"):
        sketch = demo(name)
        peak = peak_of(sketch)
        worst = max(
            (sum(one.beside_va) + one.event.start_va, one.event.name)
            for one in companies(sketch, drawn_system(sketch).arrangement)
        )
        assert worst == (pytest.approx(peak.starting_va), peak.starts)


def test_only_with_nothing_else_on():
    """7,000 + 4,000 VA are 2.2 ratings; alone 1.4. Room: 10,000 − 7,000 = 3,000 VA."""
    found = starts_of(kitchen(), system(4), LEADS)
    (row,) = found.rows
    assert (row.verdict, row.worst.beside.limit) == ("alone", "overload")
    assert row.worst.room_va == pytest.approx(3000, abs=1)
    assert row.remedies == ((
            "a soft starter or a variable-speed drive"
), "2 inverter-chargers, or larger ones of "
                            "the same total")  # fmt: skip
    assert found.sentence == "Starts only with nothing else on: pump."
    assert found.advice == (verdict_words(row),)
    assert "only with nothing else on, or with up to 3000 VA running with it" in found.advice[0]


def test_trips():
    """7,000 VA are 2.8 times a machine of 2,500 VA: it trips at twice."""
    sketch = kitchen()
    small = sketch.equipment.inverter.model_copy(
        update={"rated_va": 2500, "rated_w": 2500, "surge_va": 5000}
    )
    weak = sketch.model_copy(
        update={"equipment": sketch.equipment.model_copy(update={"inverter": small})}
    )
    found = starts_of(weak, system(4), LEADS)
    assert [row.verdict for row in found.rows] == ["trips"]
    assert found.sentence == "Does not start: pump."
    assert (
        "does not start on the bank: the inverter-chargers' overload capability decides"
    ) in found.advice[0]


def test_a_larger_generator_is_named_where_only_it_fails():
    """7,000 + 4,000 VA over 1.5: 7,333 W, in whole 500 W 7,500."""
    sketch = kitchen(soft_starter=False).model_copy(update={"generator": Generator(rated_w=5000)})
    found = starts_of(sketch, system(4, inverters=3, arrangement="parallel"), LEADS)
    (row,) = found.rows
    assert [(one.source, one.verdict) for one in row.sources] == [
        ("bank", "starts"), ("generator", "alone"),
    ]  # fmt: skip
    assert "a generator of 7500 W" in row.remedies


def test_no_source_and_no_motor():
    assert starts_of(kitchen(), system(0), LEADS).sources == ()
    quiet = home(loads={"appliances": [Appliance(name="lamp", running_w=10)]})
    assert starts_of(quiet, system(), LEADS).sentence.startswith("Nothing in this home")
    assert starts_of(home(), system(), LEADS).rows == ()


def test_across_two_lines_each_carries_half():
    sketch = varied(
        "town_house",
        loads={"appliances": [Appliance(name="cooler", running_w=1000, starting_multiple=5,
                                        leg="L1-L2")]},
    )  # fmt: skip
    (one,) = companies(sketch, "split_phase")
    assert one.share == (0.5, 0.5)
    single = varied(
        "town_house",
        loads={"appliances": [Appliance(name="cooler", count=2, running_w=1000,
                                        starting_multiple=5)]},
    )  # fmt: skip
    (one,) = companies(single, "split_phase")
    assert sorted(one.share) == [0.0, 1.0]


@pytest.mark.parametrize("name", ["farmhouse", "town_house", "shop"])
def test_every_motor_of_the_demos_starts(name):
    sketch = demo(name)
    found = starts_of(sketch, drawn_system(sketch), LEADS)
    assert found.rows
    assert {row.verdict for row in found.rows} == {"starts"}


# --- what may never get worse ----------------------------------------------------------------

events = st.builds(
    StartEvent, name=st.just("motor"), motor=st.just("compressor"),
    running_va=st.floats(50, 4000), running_w=st.floats(50, 3000), start_va=st.floats(100, 20_000),
    start_w=st.floats(50, 15_000), start_s=st.floats(0.1, 12), unusual=st.just(False),
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(
    event=events, beside=st.floats(0, 6000), surge=st.floats(5000, 20_000),
    more=st.floats(1, 3), seconds=st.floats(1, 20), longer=st.floats(1, 3),
    parallel=st.integers(1, 4), units=st.integers(0, 4), machines=st.integers(0, 3),
)  # fmt: skip
def test_more_ability_never_turns_a_verdict_worse(
    event, beside, surge, more, seconds, longer, parallel, units, machines
):
    def verdict(surge_va, surge_s, count, inverters):
        machine = InverterCharger(surge_va=surge_va, surge_s=surge_s)
        sketch = home(
            equipment={"inverter": machine}, generator=Generator(rated_w=6000),
            grid=Grid(kind="steady"),
        )  # fmt: skip
        kind = "single" if inverters == 1 else "parallel"
        found = judged(
            sketch, system(count, inverters, kind), LEADS, company(event, beside, 0.8 * beside)
        )
        return {one.source: VERDICTS.index(one.verdict) for one in found.sources}

    before = verdict(surge, seconds, parallel, 1)
    after = verdict(surge * more, seconds * longer, parallel + units, 1 + machines)
    assert all(after[source] <= before[source] for source in before)


@settings(max_examples=60, deadline=None)
@given(event=events, beside=st.floats(0, 6000), less=st.floats(0, 1))
def test_less_beside_it_never_turns_a_verdict_worse(event, beside, less):
    def verdict(part):
        found = judged(home(), system(), LEADS, company(event, part * beside, part * 0.8 * beside))
        return VERDICTS.index(found.verdict)

    assert verdict(less) <= verdict(1.0)
