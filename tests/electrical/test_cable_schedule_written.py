"""Cables and conductor ends of three homes, counted by hand."""

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.electrical.cable_schedule import cable_schedule
from offgrid_sizing.electrical.terminations import ends_of
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


def ends(home) -> dict:
    _, design = home
    return {
        (one.kind, one.size): one for one in ends_of(design.runs, design.earth, design.designations)
    }


def test_ends_by_hand(town_house):
    """Split phase: one string, two machines, a busbar for three units, a grid of three wires.

    10 AWG: string 4 ends, 2 of them connectors; its protective 2, the feeder's 4 + 2, the grid's
    protective 2: 12 ferrules. 1 AWG: three leads of two conductors, 12. 6 AWG: protective of three
    leads 6 and of two leads 4, grid 6, earth 2: 18. 2/0 AWG: two leads of two conductors, 8.
    4 AWG: two inputs and two outputs of two conductors, 16, both common runs of three, 12: 28.
    8 AWG: protective of those, 4 + 4 + 2 + 2: 12.
    """
    found = {key: one.count for key, one in ends(town_house).items()}
    assert found == {
        ("connector", "10 AWG"): 2,
        ("ferrule", "10 AWG"): 12,
        ("lug", "1 AWG"): 12,
        ("lug", "6 AWG"): 18,
        ("lug", "2/0 AWG"): 8,
        ("lug", "4 AWG"): 28,
        ("ferrule", "8 AWG"): 12,
    }


def test_all_ends_of_the_schedule_are_fitted(shop, town_house):
    for home in (shop, town_house):
        fitted = sum(one.count for one in ends(home).values())
        assert fitted == sum(one.ends_count for one in cable_schedule(*home))


def test_the_bill_holds_the_same_ends(town_house):
    bill = {
        (one.item.origin.key.rpartition(".")[2], one.designation): one.quantity
        for one in town_house[1].bill_of_materials
        if getattr(getattr(one.item, "origin", None), "key", "").startswith("bill.item.")
    }
    for one in ends(town_house).values():
        assert bill[one.kind, one.at] == one.count


@pytest.mark.parametrize("name", ["farmhouse", "town_house", "shop"])
def test_every_mark_is_one_of_the_designations(name):
    sketch, design = of(name)
    known = {one.label for one in design.designations}
    for one in cable_schedule(sketch, design):
        assert one.mark.removesuffix(":PE") in known
        for mark in one.devices.split(", ") if one.devices else ():
            assert mark in known
