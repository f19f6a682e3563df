"""A motor's start as an event, in written numbers."""

from dataclasses import astuple

import pytest

from offgrid_sizing.loads.catalogue import all_kinds
from offgrid_sizing.loads.motors import (
    MOTOR_KINDS,
    MOTOR_OF_KIND,
    SOFT_START_MULTIPLE,
    SOFT_START_S,
    motor_of,
    start_event,
    start_multiple,
)
from offgrid_sizing.sketch import Appliance, Loads, Site, Sketch


def machine(**parts):
    return Appliance(**({"name": "pump", "running_w": 800, "power_factor": 0.8} | parts))


def event(scale=1.0, growth=0.0, **parts):
    one = machine(**parts)
    loads = Loads(appliances=(one,), scale=scale, growth_frac=growth)
    return start_event(Sketch(site=Site(latitude_deg=45, longitude_deg=15), loads=loads), one)


def test_every_appliance_of_the_catalogue_that_starts_has_its_motor():
    starting = {row.kind for row in all_kinds() if row.starting_multiple > 1}
    assert starting == set(MOTOR_OF_KIND)
    assert set(MOTOR_OF_KIND.values()) <= set(MOTOR_KINDS)


def test_a_kind_is_usual_within_its_bounds():
    for kind in MOTOR_KINDS.values():
        assert 1 <= kind.low <= kind.multiple <= kind.high


@pytest.mark.parametrize(
    ("parts", "motor"),
    [
        ({}, "none"),
        ({"starting_multiple": 2.4}, "none"),
        ({"starting_multiple": 2.5}, "capacitor_start"),
        ({"kind": "refrigerator"}, "compressor"),
        ({"kind": "refrigerator", "motor": "inverter_driven"}, "inverter_driven"),
        ({"kind": "own", "starting_multiple": 4}, "capacitor_start"),
    ],
)
def test_what_starts(parts, motor):
    assert motor_of(machine(**parts)) == motor


def test_a_named_motor_whose_multiple_is_left_open_starts_as_usual():
    assert start_multiple(machine(motor="three_phase")) == 7.0
    assert start_multiple(machine(motor="three_phase", starting_multiple=5)) == 5.0
    assert start_multiple(machine(motor="none")) == 1.0
    assert start_multiple(machine(kind="refrigerator")) == 1.0  # as in older sketches


def test_one_unit_in_numbers():
    """800 W / 0.8 = 1,000 VA; × 4 = 4,000 VA at a power factor of 0.65 = 2,600 W for 0.6 s."""
    assert astuple(event(starting_multiple=4, count=3)) == (
        "pump", "capacitor_start", 1000.0, 800.0, 4000.0, 2600.0, 0.6, False,
    )  # fmt: skip


def test_scale_and_growth_count():
    assert event(starting_multiple=4, scale=2.0, growth=0.5).start_va == 12_000


def test_a_soft_starter_takes_longer():
    soft = event(starting_multiple=4, soft_starter=True)
    assert (soft.start_va, soft.start_s, soft.unusual) == (2000.0, 3.0, False)


def test_an_own_duration_comes_first():
    assert event(starting_multiple=4, start_s=1.5).start_s == 1.5
    assert event(starting_multiple=4, start_s=1.5, soft_starter=True).start_s == 1.5


def test_a_low_multiple_is_marked():
    assert event(kind="refrigerator", starting_multiple=2.9).unusual
    assert not event(kind="refrigerator", starting_multiple=3).unusual


def test_what_draws_no_more_does_not_start():
    assert event() is None
    assert event(running_w=0, starting_multiple=3) is None


def test_what_is_usual_for_each_kind_of_motor():
    """Multiple, its bounds, starting power factor, seconds; see the module for the sources."""
    usual = {name: astuple(kind) for name, kind in MOTOR_KINDS.items()}
    assert usual == {
        "none": (1.0, 1.0, 2.5, 0.95, 0.1),
        "single_phase": (3.0, 2.0, 6.0, 0.7, 1.0),
        "capacitor_start": (4.0, 3.0, 6.0, 0.65, 0.6),
        "three_phase": (7.0, 5.0, 8.0, 0.5, 0.8),
        "universal": (2.5, 2.0, 4.0, 0.9, 0.4),
        "compressor": (4.0, 3.0, 7.0, 0.65, 0.5),
        "inverter_driven": (1.2, 1.0, 2.0, 0.95, 3.0),
    }
    assert (SOFT_START_MULTIPLE, SOFT_START_S) == (2.0, 3.0)
