"""Whole households are believable and can be edited."""

import pytest

from offgrid_sizing.loads.catalogue import kind_named
from offgrid_sizing.loads.presets import preset, preset_named, presets, with_preset
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.sketch import BadInput, sketch_from_json, sketch_to_json


def test_the_six_households_are_there():
    assert [one.name for one in presets()] == [
        "cabin", "small_home", "family_home", "farm", "shop", "clinic",
    ]  # fmt: skip
    for one in presets():
        assert one.basis.startswith("invented household")
        assert one.appliances == preset(one.name)
        for appliance in one.appliances:
            kind_named(appliance.kind)


@pytest.mark.parametrize(
    ("name", "low_kwh", "high_kwh", "low_kva", "high_kva"),
    [
        ("cabin", 0.3, 1.5, 0.5, 1.5),
        ("small_home", 2, 5, 2, 4),
        ("family_home", 8, 14, 6, 11),
        ("farm", 15, 35, 8, 14),
        ("shop", 10, 25, 3, 6),
        ("clinic", 10, 25, 4, 8),
    ],
)
def test_energy_and_peak_are_in_a_believable_band(
    weather, make_sketch, name, low_kwh, high_kwh, low_kva, high_kva
):
    """Bands: common practice, no source."""
    year = load_year(with_preset(make_sketch(), name), weather)
    assert low_kwh < year.daily_kwh < high_kwh
    assert low_kva < year.peak.running_va / 1000 < high_kva
    assert year.peak.starting_va > year.peak.running_va


def test_a_cabin_is_empty_on_tuesdays(weather, make_sketch):
    year = load_year(with_preset(make_sketch(), "cabin"), weather)
    daily = year.load_w[0].reshape(365, 24).sum(axis=1)
    tuesday, saturday = daily[6], daily[3]
    assert tuesday < 0.7 * saturday


def test_a_preset_survives_the_sketch_file(make_sketch):
    sketch = with_preset(make_sketch(), "family_home")
    assert sketch_from_json(sketch_to_json(sketch)) == sketch


def test_an_unknown_household_is_refused():
    with pytest.raises(BadInput, match="one of cabin, small_home"):
        preset_named("castle")
