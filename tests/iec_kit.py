"""A home under IEC 60364 at 230 V and 50 Hz, for what is written of that code and those mains."""

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import Sketch

MAINS = {"name": "Generic 5 kW 48 V inverter-charger", "output_v": 230.0, "frequency_hz": 50}
ON_L2 = ("Chest freezer", "Washing machine", "Television", "Laptops", "Egg incubator")


def iec_home() -> Sketch:
    """The farmhouse and its weather as they would be wired where the mains are 230 V.

    Its appliances are put on two lines, unevenly: what one line does not have, and what two lines
    do not balance, is told of it.
    """
    raw = demo("farmhouse").model_dump()
    raw["equipment"]["inverter"] |= MAINS
    raw["wiring"]["rule_book"] = "iec60364"
    raw["prices"]["currency"] = "EUR"
    for appliance in raw["loads"]["appliances"]:
        appliance["leg"] = "L2" if appliance["name"] in ON_L2 else "L1"
    return Sketch.model_validate(raw)


def home_named(name: str) -> Sketch:
    """A demo by its name, or `iec_home`."""
    return iec_home() if name == "iec_home" else demo(name)
