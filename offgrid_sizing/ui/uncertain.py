"""The drawn system in many futures, kept as other slow results are."""

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import answers, cached
from offgrid_sizing.ui.cached import Found


def futures(sketch: Sketch) -> Found:
    """The drawn system in many futures (`sizing.futures.Futures`), in the background."""
    found = answers.outcome(sketch)
    if not found.fresh or found.value is None:
        return Found(cached.last("futures"), False, found.running)
    key = answers.named_alike(sketch).model_copy(update={"unknowns": sketch.unknowns})
    return cached.run_long("futures", key, lambda _told: found.value.futures)
