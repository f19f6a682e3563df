"""Lines of the household's first page, from a year by months that anybody can check."""

from types import SimpleNamespace

import numpy as np
import pytest

from offgrid_sizing.report.model import Notes, Table
from offgrid_sizing.report.owner import write_owner
from offgrid_sizing.report.sections import owner_first
from offgrid_sizing.report.sections.owner_first import (
    have_section,
    levels,
    short_section,
    usual_section,
)
from offgrid_sizing.sizing.story import Months
from offgrid_sizing.sketch import Appliance, Generator, Grid, Loads, Site, Sketch, TimeWindow
from offgrid_sizing.units import THIN
from offgrid_sizing.words import to_words

# Days of each month × what a day has: of January's 31 days each has 1 kWh of sun, of December's 12
DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
SUN_A_DAY = np.arange(1.0, 13)
LOAD_A_DAY = np.arange(21.0, 33)
NONE = np.zeros(12)


def english(text):
    return to_words(text, "en").replace(THIN, " ")


def some(*months, kwh=3.0):
    """So much in these months, nothing in the others."""
    made = NONE.copy()
    made[list(months)] = kwh
    return made


def appliance(name, **more):
    return Appliance(name=name, running_w=100, **more)


def loads(*more):
    return Loads(appliances=(appliance("Lamp", critical=True), *more))


def home(*more, grid="none", generator=None, dod=0.9, **strategy):
    sketch = Sketch(
        site=Site(latitude_deg=0, longitude_deg=0), loads=loads(*more), grid=Grid(kind=grid),
        generator=generator,
    )  # fmt: skip
    battery = sketch.equipment.battery.model_copy(update={"usable_dod_frac": dod})
    equipment = sketch.equipment.model_copy(update={"battery": battery})
    chosen = sketch.strategy.model_copy(update=strategy)
    return sketch.model_copy(update={"equipment": equipment, "strategy": chosen})


@pytest.fixture
def lived(monkeypatch):
    """What the paper asks of an outcome, by hand; the table holds name, kWh a day."""

    def made(sketch=None, *, rows=(("Lamp", 0.9),), modules=4, units=2, unserved_h=22.0, soc=None,
             dark=(30.0, 20.0), ride_h=None, design=None, **kwh):  # fmt: skip
        table = rows and Table("", (), tuple((one[0], 1, 100.0, one[1], "") for one in rows))
        lowest = np.full(12, 0.5) if soc is None else np.array(soc)
        months = Months(
            {"pv_available": SUN_A_DAY * DAYS, "load": LOAD_A_DAY * DAYS, "unserved": NONE,
             "generator": NONE, "grid_import": NONE} | kwh,
            lowest,
        )  # fmt: skip
        monkeypatch.setattr(owner_first, "days_of", lambda trace: trace)
        monkeypatch.setattr(owner_first, "months_of", lambda days: months)
        monkeypatch.setattr(owner_first, "appliances_table", lambda simulation: table or None)
        monkeypatch.setattr(owner_first, "carried", lambda outcome: "carried")
        return SimpleNamespace(
            sketch=sketch or home(), design=design, year_words="the year",
            system=SimpleNamespace(modules=modules, units=units),
            simulation=SimpleNamespace(
                trace=None, metrics=SimpleNamespace(generator_h=186.0, grid_import_kwh=412.0)
            ),
            reliability=SimpleNamespace(judged=SimpleNamespace(unserved_h=unserved_h)),
            autonomy=SimpleNamespace(dark_median_h=dark[0], dark_1_in_20_h=dark[1]),
            ride_through_h=ride_h,
        )  # fmt: skip

    return made


def usual(outcome):
    (notes,) = usual_section(outcome).blocks
    return [english(one) for one in notes.items]


def starting(lines, words):
    return [one for one in lines if one.startswith(words)]


def test_the_months_with_most_and_least_sun(lived):
    (line,) = starting(usual(lived()), "Most sun")
    assert line == (
        "Most sun: December, when the array can give 12 kWh a day and the home uses 32. Least: "
        "January, 1 kWh a day, and the home uses 21."
    )
    assert starting(usual(lived(modules=0)), "Most sun") == []


@pytest.mark.parametrize(
    ("soc", "told"),
    [
        # 13.6 % in two months, 13.9 in a third; 14.2 is another per cent
        ([0.136, 0.139] + [0.5] * 8 + [0.142, 0.136], "13.6 %, in Jan, Feb, Dec."),
        # half a per cent above is another one, a hair less is not
        ([0.25, 0.255] + [0.5] * 10, "25 %, in Jan."),
        ([0.25, 0.2549] + [0.5] * 10, "25 %, in Jan, Feb."),
        ([0.25, 0.2546] + [0.5] * 10, "25 %, in Jan, Feb."),
        ([0.25, 0.2551] + [0.5] * 10, "25 %, in Jan."),
        ([0.2] * 12, "20 %, in every month."),
        # eight are named; of nine the other three are
        ([0.2] * 8 + [0.5] * 4, "20 %, in Jan, Feb, Mar, Apr, May, Jun, Jul, Aug."),
        ([0.2] * 9 + [0.5] * 3, "20 %, in every month except Oct, Nov, Dec."),
    ],
)
def test_the_lowest_state_of_charge_and_its_months(soc, told, lived):
    (line,) = starting(usual(lived(soc=soc)), "Lowest")
    assert line == f"Lowest state of charge in the year: {told}"


def test_without_a_bank_no_state_of_charge(lived):
    assert starting(usual(lived(units=0)), "Lowest") == []


@pytest.mark.parametrize(
    ("hours", "unserved", "told"),
    [
        (22.0, some(0, 10), "Some load is unserved in Jan, Nov: 22 h in the year."),
        (0.5, some(0), "Some load is unserved in Jan: 0.5 h in the year."),
        (22.0, NONE, "In the year no load is unserved."),
        (22.0, some(0, kwh=1e-6), "In the year no load is unserved."),  # rounding
        (0.0, some(0), "In the year no load is unserved."),
    ],
)
def test_the_months_in_which_load_is_unserved(hours, unserved, told, lived):
    lines = usual(lived(unserved_h=hours, unserved=unserved))
    assert [one for one in lines if "unserved" in one] == [told]


@pytest.mark.parametrize(
    ("generator", "ran", "told"),
    [
        (None, some(3), []),
        (Generator(), some(3), ["The generator runs 186 h in the year, in Apr."]),
        (Generator(), some(3, kwh=1e-6), [
            "In the year the generator is not needed; a test run (page 2) keeps it ready."]),
    ],
)  # fmt: skip
def test_the_months_in_which_a_generator_runs(generator, ran, told, lived):
    lines = usual(lived(home(generator=generator), generator=ran))
    assert [one for one in lines if "generator" in one] == told


@pytest.mark.parametrize(
    ("grid", "bought", "told"),
    [
        ("none", some(3), []),
        ("failing", some(3, 4), ["The grid supplies 412 kWh in the year, in Apr, May."]),
        ("failing", some(3, kwh=1e-6), []),
        ("steady", NONE, []),
    ],
)
def test_the_months_in_which_the_grid_helps(grid, bought, told, lived):
    lines = usual(lived(home(grid=grid), grid_import=bought))
    assert starting(lines, "The grid") == told


NOON = {"windows": (TimeWindow(from_h=8, to_h=18),), "run_time_h": 1.0}
WASHING = appliance("Washing machine", **NOON)
PUMP = appliance("Well pump", deferrable=True, **NOON)
FOUR = (("Oven", 2.0), ("Lamp", 0.9), ("Radio", 0.3), ("Clock", 0.1))


@pytest.mark.parametrize(
    ("more", "rows", "told"),
    [
        ((WASHING,), FOUR, ["Use around midday, one after the other: Washing machine."]),
        ((PUMP,), FOUR, [
            "These wait for surplus sun in the calculation, so let them: Well pump."]),
        ((PUMP, WASHING), FOUR, [
            "These wait for surplus sun in the calculation, so let them: Well pump.",
            "Use around midday, one after the other: Washing machine."]),
        ((), FOUR, ["Nothing listed can wait for midday. What uses most, best used while the sun "
                    "shines: Oven, Lamp, Radio."]),
        ((), (), []),  # a meter stands for all
    ],
)  # fmt: skip
def test_what_is_best_used_at_midday(more, rows, told, lived):
    lines = usual(lived(home(*more), rows=rows))
    words = ("Use around", "These wait", "Nothing listed")
    assert [one for one in lines if one.startswith(words)] == told


def test_what_there_is_names_motors_of_the_wiring_where_there_is_one(lived):
    (notes,) = have_section(lived()).blocks
    assert notes.items == ("carried",)
    row = SimpleNamespace(event=SimpleNamespace(name="Pump"), verdict="trips")
    design = SimpleNamespace(starts=SimpleNamespace(rows=(row,)))
    (notes,) = have_section(lived(design=design)).blocks
    assert notes.items[0] == "carried"
    assert "Pump" in notes.items[1]
    assert len(notes.items) == 2


# --- when there is little sun -------------------------------------------------------------------


def found(sketch):
    outcome = SimpleNamespace(sketch=sketch)
    return [(round(level, 9), key) for level, key, _ in levels(outcome)]


def said(sketch):
    return [one.origin.key for _, _, one in levels(SimpleNamespace(sketch=sketch))]


FLOOR, RADIO = (0.1, "floor"), appliance("Radio")
LOUD = Generator(start_soc_frac=0.3, stop_soc_frac=0.7, quiet_hours=())
QUIET = Generator(
    start_soc_frac=0.3, stop_soc_frac=0.7, quiet_hours=(TimeWindow(from_h=22, to_h=6),)
)
LATE = Generator(start_soc_frac=0.1, stop_soc_frac=0.7, quiet_hours=())


@pytest.mark.parametrize(
    ("sketch", "wanted"),
    [
        (home(), [FLOOR]),
        # what is kept for outages: with a grid, and above the floor
        (home(grid="failing", hold_soc_frac=0.4), [(0.4, "reserve"), FLOOR]),
        (home(grid="steady", hold_soc_frac=0.4), [(0.4, "reserve"), FLOOR]),
        (home(hold_soc_frac=0.4), [FLOOR]),
        (home(grid="failing", hold_soc_frac=0.5, dod=0.5), [(0.5, "floor")]),
        (home(grid="failing", hold_soc_frac=0.5, dod=0.4), [(0.6, "floor")]),
        # what is shed: appliances that are not critical, off the grid, above the floor
        (home(RADIO, shed_soc_frac=0.25), [(0.25, "shed"), FLOOR]),
        (home(RADIO, shed_soc_frac=0.5, dod=0.5), [(0.5, "floor")]),
        (home(RADIO, shed_soc_frac=0.5, dod=0.4), [(0.6, "floor")]),
        (home(shed_soc_frac=0.25), [FLOOR]),
        (home(RADIO, grid="failing", hold_soc_frac=0.0, shed_soc_frac=0.25),
         [(0.25, "shed"), FLOOR]),
        (home(RADIO, grid="failing", hold_soc_frac=0.4, shed_soc_frac=0.25),
         [(0.4, "reserve"), (0.25, "shed"), FLOOR]),
        (home(RADIO, grid="steady", hold_soc_frac=0.0, shed_soc_frac=0.25), [FLOOR]),
        (home(RADIO, generator=LOUD, shed_soc_frac=0.25), [(0.3, "generator"), FLOOR]),
        (home(RADIO, generator=QUIET, shed_soc_frac=0.25),
         [(0.3, "generator"), (0.25, "shed"), FLOOR]),
        (home(generator=LATE, dod=0.8), [(0.2, "floor"), (0.2, "generator_late")]),
        (home(generator=LATE.model_copy(update={"start_soc_frac": 0.5}), dod=0.5),
         [(0.5, "floor"), (0.5, "generator_late")]),
    ],
)  # fmt: skip
def test_levels_from_high_to_low(sketch, wanted):
    assert found(sketch) == wanted


def test_what_is_said_of_each_level():
    assert said(home(RADIO, shed_soc_frac=0.25))[0] == "owner.level.shed"
    both = home(RADIO, generator=QUIET, shed_soc_frac=0.25)
    assert said(both)[:2] == ["owner.level.generator_quiet", "owner.level.shed_generator"]
    assert said(home(generator=LOUD))[0] == "owner.level.generator"
    texts = [english(one) for _, _, one in levels(SimpleNamespace(sketch=both))]
    assert "it stops at 70" in texts[0]
    assert texts[1].endswith("no longer draw on the bank: Radio.")
    late = levels(SimpleNamespace(sketch=home(generator=LATE, dod=0.8)))
    told = english(late[1][2])
    assert "set to start at 10 %" in told
    assert "stops at 70 %" in told


@pytest.mark.parametrize(
    ("dark", "ride_h", "told"),
    [
        # up to two days in hours, then in days; 720 h are as long as anybody looked
        ((30.0, 20.0), None, ("for 30 h (median)", "for at least 20 h")),
        ((719.0, 60.0), None, ("for 30 days (median)", "for at least 2.5 days")),
        ((720.0, 60.0), None, ("for 30 days or more (median)", "for at least 2.5 days")),
        ((30.0, 20.0), 12.0, ("for 30 h (median)", "stays supplied for at least 12 h")),
    ],
)
def test_how_long_the_bank_lasts(dark, ride_h, told, lived):
    section = short_section(lived(dark=dark, ride_h=ride_h))
    text = english(section.sentence)
    for words in told:
        assert words in text
    assert ("outage" in text) == (ride_h is not None)


def test_the_table_of_levels_and_none_without_a_bank(lived):
    sketch = home(grid="failing", hold_soc_frac=0.4)
    table, _ = short_section(lived(sketch)).blocks
    assert [english(row[0]) for row in table.rows] == ["40 %", "10 %"]
    (alone,) = short_section(lived(sketch, units=0)).blocks
    assert english(alone.title) == "Switch off first"


SIX = (("Oven", 2.0), ("Lamp", 0.9), ("Iron", 0.8), ("Radio", 0.3), ("Clock", 0.2), ("Fan", 0.1),
       ("Bell", 0.05), ("Spare", 0.0))  # fmt: skip


def test_the_five_largest_that_are_not_critical_are_switched_off_first(lived):
    sketch = home(appliance("Oven"), appliance("Iron"))
    block = short_section(lived(sketch, rows=SIX)).blocks[-1]
    assert block.rows == (
        ("Oven", 2.0), ("Iron", 0.8), ("Radio", 0.3), ("Clock", 0.2), ("Fan", 0.1),
    )  # fmt: skip
    few = short_section(lived(sketch, rows=(*SIX[:2], SIX[-1]))).blocks[-1]
    assert few.rows == (("Oven", 2.0),)


@pytest.mark.parametrize(
    ("rows", "told"),
    [((("Lamp", 0.9),), "marked as critical"), ((), "measured by a meter")],
)
def test_where_nothing_can_be_named_to_switch_off_that_is_said(rows, told, lived):
    block = short_section(lived(rows=rows)).blocks[-1]
    assert isinstance(block, Notes)
    assert told in english(block.items[0])


def test_the_paper_is_written_where_there_is_no_folder_yet(monkeypatch, tmp_path):
    monkeypatch.setattr("offgrid_sizing.report.owner.owner_pdf", lambda *parts, **named: b"a paper")
    path = tmp_path / "of the" / "house" / "paper.pdf"
    for _ in range(2):  # and where there is one
        assert write_owner("lived", path) == path
    assert path.read_bytes() == b"a paper"
