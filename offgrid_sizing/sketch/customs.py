"""What is usual in a country and decides what can be bought: where a new sketch begins there.

Only what differs from a sketch's own defaults (230 V, 50 Hz, IEC 60364) and is alike in a whole
country stands here; everything is the user's to change.
"""

from offgrid_sizing.sketch.model import Sketch

# Two lines of 120 V at 60 Hz, 240 V between them, under NFPA 70: common practice, no source.
_SPLIT_120_V = frozenset({"United States", "Puerto Rico", "U.S. Virgin Islands", "Guam"})


def as_usual_there(sketch: Sketch) -> Sketch:
    """The sketch with the mains, rule book and currency usual in its country; elsewhere as it is.

    Machines give 120 V each, so that two of them make the two lines of a home.
    """
    if sketch.site.country not in _SPLIT_120_V:
        return sketch
    machine = sketch.equipment.inverter
    inverter = machine.model_copy(
        update={"name": f"{machine.name}, 120 V"[:80], "output_v": 120.0, "frequency_hz": 60}
    )
    changes = {
        "equipment": sketch.equipment.model_copy(update={"inverter": inverter}),
        "drawn": sketch.drawn.model_copy(update={"inverters": 2, "arrangement": "split_phase"}),
        "wiring": sketch.wiring.model_copy(update={"rule_book": "nfpa70"}),
        "prices": sketch.prices.model_copy(update={"currency": "USD"}),
    }
    return Sketch(**(dict(sketch) | changes))
