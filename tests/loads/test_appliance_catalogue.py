"""The catalogue is whole, sourced and searchable."""

import hashlib
import re

import pytest

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.loads.catalogue import (
    all_kinds,
    appliance_from,
    categories,
    kind_named,
)
from offgrid_sizing.paths import data_dir
from offgrid_sizing.sketch import BadInput


def test_every_row_makes_an_appliance_and_names_its_source():
    kinds = all_kinds()
    assert len(kinds) >= 60
    assert len({kind.kind for kind in kinds}) == len(kinds)
    assert len({kind.name for kind in kinds}) == len(kinds)
    for kind in kinds:
        appliance = appliance_from(kind.kind)
        assert appliance.running_w == kind.running_w > 0
        assert kind.basis in ("read", "memory", "practice")
        if kind.basis == "practice":
            assert "common practice, no source" in kind.source
        elif kind.basis == "memory":
            assert "from memory" in kind.source
        else:
            assert re.search(r"US DOE|FSEC|handbook", kind.source)


def test_no_digit_of_the_table_has_slipped():
    """Checksum over the numbers; change it together with the table and say why in the commit."""
    numbers = [
        (k.kind, k.running_w, k.power_factor, k.duty_frac, k.starting_multiple, k.standby_w)
        for k in all_kinds()
    ]
    digest = hashlib.sha256(repr(numbers).encode()).hexdigest()[:16]
    assert (len(numbers), digest) == (123, "d9129a5f077ed6c0")


def test_household_and_small_business_are_both_there():
    assert {"Kitchen", "Lighting", "Water", "Comfort", "Shop", "Clinic"} <= set(categories())
    assert {kind.category for kind in all_kinds()} == set(categories())


def test_an_unknown_kind_names_the_nearest():
    with pytest.raises(BadInput, match="Did you mean 'kettle'"):
        kind_named("ketle")


def test_changes_win_over_the_catalogue():
    lamp = appliance_from("led_lamp", count=4, running_w=12, hours=(0.5,) * 24)
    assert (lamp.count, lamp.running_w, lamp.windows, lamp.run_time_h) == (4, 12, (), None)


def test_the_table_is_plain_text_with_one_header():
    text = (data_dir() / "appliances.csv").read_text(encoding="utf-8")
    assert text.startswith("kind,name,category,running_w")
    assert "\r" not in text


@pytest.mark.parametrize("name", DEMOS)
def test_the_demos_name_rows_of_the_catalogue(name):
    for appliance in demo(name).loads.appliances:
        kind_named(appliance.kind)
