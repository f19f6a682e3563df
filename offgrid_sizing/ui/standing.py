"""How the present system stands in six numbers: four at once, two from the outcome."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from offgrid_sizing.sketch import BadInput, Prices, Sketch, Wiring
from offgrid_sizing.system import array_peak_w, bank_days, bank_nominal_wh, drawn_system
from offgrid_sizing.ui import answers, cached, results
from offgrid_sizing.ui.parts import weather_years
from offgrid_sizing.weather.bands import reserve_for

if TYPE_CHECKING:
    from offgrid_sizing.outcome import Outcome
    from offgrid_sizing.weather.series import Weather


@dataclass(frozen=True)
class AtOnce:
    """What is known without running a year.

    `daily_kwh` is None while the load is unknown; `judged_by` says of which year what goes
    unserved is told ("typical", "one", "median", "bad"), and is empty while there is no weather.
    """

    daily_kwh: float | None
    array_w: float
    bank_wh: float
    inverters: int
    judged_by: str


@dataclass(frozen=True, eq=False)
class Years:
    """What the weather years tell, read from the outcome; `fault` says why they tell nothing."""

    outcome: Outcome | None = None
    fault: str = ""

    @property
    def dark_h(self) -> float | None:
        """Hours a full bank carries the home without sun, median of all beginnings."""
        return None if self.outcome is None else self.outcome.autonomy.dark_median_h

    @property
    def unserved_h(self) -> float | None:
        """Hours unserved in the judged year."""
        return None if self.outcome is None else self.outcome.reliability.judged.unserved_h


def at_once(sketch: Sketch) -> AtOnce:
    """The four quick numbers."""
    system = drawn_system(sketch)
    return AtOnce(
        _daily_kwh(sketch),
        array_peak_w(sketch, system),
        bank_nominal_wh(sketch, system),
        system.inverters,
        _judged_by(sketch),
    )


def _daily_kwh(sketch: Sketch) -> float | None:
    if not sketch.loads.appliances and not sketch.loads.metered:
        return None
    try:
        return results.loads(sketch).daily_kwh
    except BadInput:  # the page that holds the faulty field says it; here it is a dash
        return None


def reserve(sketch: Sketch, weather: Weather) -> float:
    """The array reserve that this weather offers a bank as large as the drawn one."""
    days = bank_days(sketch, drawn_system(sketch), _daily_kwh(sketch))
    return reserve_for(weather.array_reserves, days)


def _judged_by(sketch: Sketch) -> str:
    try:
        return weather_years.kind_of(sketch, cached.weather(sketch))
    except BadInput:
        return ""


def years(sketch: Sketch) -> cached.Found:
    """The two slow numbers, computed beside the page.

    Prices and wiring move neither: after such an edit the outcome before says them still.
    """
    try:
        found = answers.outcome_beside(sketch)
    except BadInput as fault:
        return cached.Found(Years(fault=fault.sentences[0]), True)
    outcome = found.value
    value = None if outcome is None else Years(outcome)
    said_still = outcome is not None and _key(outcome.sketch) == _key(sketch)
    return cached.Found(value, found.fresh or said_still, found.running)


def years_before(sketch: Sketch) -> Years | None:
    """The same for an earlier sketch, when they were finished then."""
    outcome = answers.outcome_ready(sketch)
    return None if outcome is None else Years(outcome)


def _key(sketch: Sketch) -> Sketch:
    """What the two slow numbers depend on."""
    return answers.named_alike(sketch).model_copy(update={"prices": Prices(), "wiring": Wiring()})


def watch(sketch: Sketch, found: cached.Found) -> None:
    """Let the page be drawn again when the outcome is there; called once a page."""
    cached.watch(answers.OUTCOME, answers.named_alike(sketch), wanted=found.running)
