"""Whose hour can be chosen: the one rule for "use it at another hour" and "use it at noon"."""

from functools import cache

from offgrid_sizing.loads.catalogue import all_kinds
from offgrid_sizing.sketch import Appliance
from offgrid_sizing.spelling import unaccented
from offgrid_sizing.words import LANGUAGES, text_of

# Work that is done once and can be done at any hour: washing, pumping into a tank, charging,
# milling. Lamps, cookers, screens and tills are wanted when they are wanted, and what heats,
# cools or serves the sick is wanted when it is cold, hot or somebody is ill.
_MOVABLE = frozenset(
    (
        "dishwasher",
        "washing_machine",
        "washing_machine_cold",
        "tumble_dryer",
        "heat_pump_dryer",
        "iron",
        "vacuum_cleaner",
        "bread_maker",
        "water_heater",
        "water_heater_large",
        "well_pump",
        "irrigation_pump",
        "pool_pump",
        "battery_charger",
        "bike_charger",
        "car_charger",
        "grain_mill",
    )
)


def hour_can_be_chosen(appliance: Appliance) -> bool:
    """Whether it makes sense to say: use it at another hour.

    It has hours of its own, no weather decides them, and its kind is one that can wait; without
    a kind of the catalogue its name is asked, in any language. Critical means that it must not
    be missed, not when: a well's pump may fill its tank at noon.
    """
    if appliance.driver != "none" or not (appliance.windows or appliance.hours):
        return False
    if appliance.kind in {row.kind for row in all_kinds()}:
        return appliance.kind in _MOVABLE
    name = " ".join(unaccented(appliance.name).replace("-", " ").split())
    if any(phrase in name for phrase in _phrases("never_moved")):
        return False
    begins = _phrases("moved")
    return any(word.startswith(begins) for word in name.split())


@cache
def _phrases(key: str) -> tuple[str, ...]:
    """Words that a name may hold, of every language."""
    texts = (text_of(f"appliances.{key}", language) for language in LANGUAGES)
    return tuple(unaccented(word) for text in texts for word in text.split(", "))
