"""Parts of a sketch's result that a page may need alone, kept as `cached` keeps them."""

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import cached


def output(sketch: Sketch):
    """Light and module power on the roof planes; needs no appliance."""
    from offgrid_sizing.pv_array import array_output

    sky = cached.weather(sketch)
    return cached.remember(
        "output", cached.output_key(sketch), None, lambda: array_output(sketch, sky)
    )


def loads(sketch: Sketch):
    """The load year alone; needs no module."""
    from offgrid_sizing.loads.profile import load_year

    base, sky = cached.files_of(sketch), cached.weather(sketch)
    return cached.remember(
        "loads", cached.loads_key(sketch), None, lambda: load_year(sketch, sky, base_dir=base)
    )


def appliance_kwh(sketch: Sketch, appliance) -> float:
    """What one appliance would take in the first weather year, were it alone. [kWh]"""
    from offgrid_sizing.loads.appliance_year import energy_of

    sky, key = cached.weather(sketch), cached.loads_key(sketch)
    return cached.remember(
        "appliance_kwh", key, appliance, lambda: energy_of(sketch, sky, appliance)
    )
