"""Names as people write them lead to one kind of the catalogue, or to none."""

import pytest

from offgrid_sizing.loads import kind_names
from offgrid_sizing.loads.catalogue import all_kinds
from offgrid_sizing.loads.kind_names import kind_called
from offgrid_sizing.words import LANGUAGES, catalogue, text_of


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("fridge", "refrigerator"), ("Kitchen fridge", "refrigerator"), ("Nevera", "refrigerator"),
        ("Refrigerator with freezer", "fridge_freezer"), ("Freezer", "chest_freezer"),
        ("Well pump", "well_pump"), ("SUBMERSIBLE PUMP 1.1 kW", "well_pump"),
        ("Bomba sumergible", "well_pump"), ("Air conditioner", "split_air_conditioner"),
        ("Aire acondicionado", "split_air_conditioner"), ("Fans", "ceiling_fan"),
        ("Ventilador de techo", "ceiling_fan"), ("LED lights x6", "led_lamp"), 
        ("TV", "television"), ("Televisión", "television"), ("deep-well pump", "well_pump"),
        ("Lavadora", "washing_machine"),
    ],
)  # fmt: skip
def test_common_names_find_their_kind(name, kind):
    assert kind_called(name) == kind


@pytest.mark.parametrize("name", ["Pump", "Bomba", "Gadget", "", "123", "television and fridge"])
def test_a_name_that_says_no_one_kind_finds_none(name):
    assert kind_called(name) is None


def test_every_kind_is_found_by_its_own_name_in_every_language():
    for kind in all_kinds():
        for language in LANGUAGES:
            assert kind_called(text_of(f"appliances.kind.{kind.kind}", language)) == kind.kind


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_name_people_use_leads_to_its_kind_alone(language):
    kinds = {one.kind for one in all_kinds()}
    for key, names in catalogue(language).items():
        if key.startswith("appliances.called."):
            kind = key.rpartition(".")[2]
            assert kind in kinds
            for name in names.split(";"):
                assert kind_names._names()[kind_names._plain(name)] == kind, name
