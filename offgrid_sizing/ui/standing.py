"""How the present system stands in six numbers: two from many years, four at once."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.sketch import BadInput, Prices, Sketch, Wiring
from offgrid_sizing.system import array_peak_w, bank_nominal_wh, drawn_system
from offgrid_sizing.ui import cached, results

_NAME = "standing"


@dataclass(frozen=True)
class AtOnce:
    """What is known without running a year. `daily_kwh` is None while the load is unknown."""

    daily_kwh: float | None
    array_w: float
    bank_wh: float
    inverters: int


@dataclass(frozen=True)
class Years:
    """What many years tell; `fault` says why they tell nothing.

    `dark_h`: hours a full bank carries the home without sun, median of all beginnings.
    `bad_unserved_h`: hours unserved in the bad year; `bad_year_frac` says how bad.
    """

    dark_h: float | None = None
    bad_unserved_h: float | None = None
    bad_unserved_frac: float | None = None
    median_unserved_frac: float | None = None
    bad_year_frac: float = 0.1
    fault: str = ""

    def judged_frac(self, sketch: Sketch) -> float | None:
        """The unserved share that the target is judged by."""
        return (
            self.median_unserved_frac
            if sketch.targets.judge == "median"
            else self.bad_unserved_frac
        )


def at_once(sketch: Sketch) -> AtOnce:
    """The four quick numbers."""
    system = drawn_system(sketch)
    daily = None
    if sketch.loads.appliances or sketch.loads.metered:
        try:
            daily = results.loads(sketch).daily_kwh
        except BadInput:  # the page that holds the faulty field says it; here it is a dash
            daily = None
    return AtOnce(
        daily, array_peak_w(sketch, system), bank_nominal_wh(sketch, system), system.inverters
    )


def key_of(sketch: Sketch) -> Sketch:
    """What the numbers of many years depend on."""
    return sketch.model_copy(
        update={
            "title": "key", "notes": "", "invented": False, "prices": Prices(), "wiring": Wiring(),
        }
    )  # fmt: skip


def years(sketch: Sketch) -> cached.Found:
    """The two slow numbers, computed beside the page."""
    try:
        inputs = cached.inputs(sketch)
    except BadInput as fault:
        return cached.Found(Years(fault=fault.sentences[0]), True)
    return cached.quietly(
        _NAME, key_of(sketch), lambda progress: _measured(sketch, inputs, progress)
    )


def years_before(sketch: Sketch) -> Years | None:
    """The same for an earlier sketch, when they were finished then."""
    return cached.finished(_NAME, key_of(sketch))


def _measured(sketch: Sketch, inputs, progress) -> Years:
    from offgrid_sizing.sizing.autonomy import dark_hours
    from offgrid_sizing.sizing.reliability import reliability_of

    def should_stop() -> bool:
        progress(0.5)
        return False

    try:
        system = drawn_system(sketch)
        dark_h = dark_hours(sketch, system, inputs)
        reliability = reliability_of(sketch, system, inputs, should_stop=should_stop)
    except BadInput as fault:
        return Years(fault=fault.sentences[0])
    return Years(
        dark_h=float(np.median(dark_h)),
        bad_unserved_h=reliability.bad_unserved_h,
        bad_unserved_frac=reliability.bad_unserved_frac,
        median_unserved_frac=reliability.median_unserved_frac,
        bad_year_frac=reliability.bad_year_frac,
    )


def watch(sketch: Sketch, found: cached.Found) -> None:
    """Let the page be drawn again when the years have been run; called once a page."""
    cached.watch(_NAME, key_of(sketch), wanted=not found.fresh)
