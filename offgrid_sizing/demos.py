"""The demo sketches: an invented scenario, complete enough to compute at once."""

from functools import cache

from offgrid_sizing.paths import data_dir
from offgrid_sizing.sketch import BadInput, Sketch, read_sketch

DEMOS = ("farmhouse", "town_house", "shop")


@cache
def demo(name: str = "farmhouse") -> Sketch:
    """One demo sketch by name.

    Raises
    ------
    BadInput
        When there is no demo of that name.
    """
    if name not in DEMOS:
        raise BadInput(f"there is no demo named '{name}': choose one of {', '.join(DEMOS)}.")
    return read_sketch(data_dir() / "demos" / f"{name}.json")
