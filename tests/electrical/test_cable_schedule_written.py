"""Cables of three homes, counted by hand."""

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.electrical.cable_schedule import cable_schedule
from offgrid_sizing.outcome import drawn_outcome


def of(name: str):
    outcome = drawn_outcome(demo(name))
    return outcome.sketch, outcome.design


@pytest.fixture(scope="module")
def town_house():
    return of("town_house")


@pytest.fixture(scope="module")
def shop():
    return of("shop")


def rows(home) -> dict:
    return {one.key: one for one in cable_schedule(*home)}


def test_every_run_is_there_with_its_protective_conductor(town_house):
    _, design = town_house
    keys = [run.need.key for run in design.runs]
    wanted = [name for key in keys for name in (key, f"{key}:pe")]
    assert [one.key for one in cable_schedule(*town_house)] == [*wanted, "earth"]


@pytest.mark.parametrize(
    ("key", "begins", "ends"),
    [
        ("string", "-G1", "-Q1"),
        ("array_feeder", "-Q1", "-T1.1"),
        ("unit_lead", "-G2.1…3", "-X1"),
        ("bank_to_inverter", "-X1", "-T1.1…2"),
        ("grid_in", "supplier's point", "-F5"),
        ("ac_in_common", "-F5", "-X2"),
        ("ac_in", "-X2", "-T1.1…2"),
        ("ac_out", "-T1.1…2", "-X3"),
        ("ac_out_common", "-X3", "the home's panelboard"),
        ("earth", "-X4", "-X5"),
    ],
)
def test_from_where_to_where(town_house, key, begins, ends):
    found = rows(town_house)[key]
    assert (str(found.begins), str(found.ends)) == (begins, ends)


def test_a_generator_begins_its_own_run(shop):
    found = rows(shop)["generator_in"]
    assert str(found.begins) == shop[1].designations.label("generator")


def test_what_to_buy_by_hand(town_house):
    """One string of 15 m, two conductors, a tenth more: 33 m; its protective conductor 16.5 m.

    Two leads of 1.5 m to the inverter-chargers, two conductors each: 6.6 m, so 7.
    """
    found = rows(town_house)
    assert (found["string"].total_m, found["string:pe"].total_m) == (33, 17)
    assert (found["bank_to_inverter"].total_m, found["bank_to_inverter:pe"].total_m) == (7, 4)
    assert (found["grid_in"].conductors, found["grid_in"].total_m) == (3, 33)
    assert found["ac_in"].total_m == 44
    assert found["earth"].total_m == 17


def test_what_stands_in_a_run(town_house):
    found = rows(town_house)
    assert found["bank_to_inverter"].devices == "-F3.1…2, -Q2.1…2"
    assert found["array_feeder"].devices == "-Q1, -F1"
    assert found["string:pe"].devices == ""


def test_colours_are_those_of_the_code(town_house, shop):
    american, other = rows(town_house), rows(shop)
    assert str(american["string"].colours) == "+ red, − black"
    assert str(american["grid_in"].colours) == "L1 black, L2 red, N white"
    assert str(american["ac_in"].colours) == "that of its line (L1 black, L2 red), N white"
    assert str(american["earth"].colours) == "green"
    assert str(other["ac_out"].colours) == "L1 brown, N blue"
    assert str(other["string:pe"].colours) == "green-and-yellow"


@pytest.mark.parametrize("name", ["farmhouse", "town_house", "shop"])
def test_every_mark_is_one_of_the_designations(name):
    sketch, design = of(name)
    known = {one.label for one in design.designations}
    for one in cable_schedule(sketch, design):
        assert one.mark.removesuffix(":PE") in known
        for mark in one.devices.split(", ") if one.devices else ():
            assert mark in known
