"""The demo sketches: an invented scenario, complete enough to compute at once."""

from functools import cache

from offgrid_sizing.paths import data_dir
from offgrid_sizing.sketch import BadInput, Sketch, read_sketch
from offgrid_sizing.words import sentence

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
        raise BadInput(sentence("refused.demo", name=name, known=", ".join(DEMOS)))
    return read_sketch(data_dir() / "demos" / f"{name}.json")
