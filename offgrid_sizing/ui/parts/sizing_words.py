"""What the size page may claim of the search's answer: the cheapest, the best found, or why not."""

from offgrid_sizing.electrical.fewest import units_for_current
from offgrid_sizing.system import System, drawn_system, same_boxes
from offgrid_sizing.ui import answers, figures, state
from offgrid_sizing.ui.answers import Searched
from offgrid_sizing.ui.parts import weather_years
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits, money, percent


def is_cheapest(result) -> bool:
    """Whether nothing that can be built and meets the target is cheaper: every system was run."""
    return result.met and result.method == "dense scan"


def boxes(system: System) -> dict[str, int]:
    """Counts of a system, for the words that name it."""
    return {"units": system.units, "modules": system.modules, "inverters": system.inverters}


def year_of(searched: Searched) -> str:
    """The judged year; where a reserve of the array is held back, that it is."""
    year = weather_years.judged(searched.sketch, searched.inputs.weather)
    reserve = searched.result.array_reserve
    if reserve == 1:
        return year
    return t_raw("sizing.year_held", year=year, reserve=digits(reserve, state.reader()))


def sentence(searched: Searched) -> str:
    """The answer of the search, or each target that nothing within the limits meets."""
    reader, result, year = state.reader(), searched.result, year_of(searched)
    values = boxes(result.system) | {
        "share": percent(result.judged_unserved_frac, reader),
        "hours": figures.hours(result.judged_unserved_h, reader),
        "cost": money(result.cost_per_year, reader),
        "year": year,
    }
    if not result.met:
        return " ".join([t("sizing.answer_unmet", **values), *_missed(searched, year)])
    if not is_cheapest(result):
        return t("sizing.answer_found", **values)
    drawn = same_boxes(drawn_system(searched.sketch), result.system)
    return t("sizing.answer_drawn" if drawn else "sizing.answer", **values)


def _missed(searched: Searched, year: str) -> list[str]:
    """Each target that is missed, what was asked and what was reached."""
    reader, result, targets = state.reader(), searched.result, searched.sketch.targets
    choices = answers.candidates(searched.sketch)
    needed = units_for_current(searched.sketch, searched.inputs.loads.peak, choices.units_in_series)
    values = {
        "current": {"asked": max(needed), "reached": int(choices.units[-1])},
        "autonomy": {
            "asked": t_raw("common.days", days=digits(targets.days_of_autonomy, reader)),
            "reached": figures.days(24 * result.least.days, reader),
        },
        "unserved": {
            "asked": percent(targets.max_unserved_frac, reader),
            "year": year,
            "reached": percent(result.judged_unserved_frac, reader),
        },
        "hours": {
            "asked": figures.hours(targets.max_loss_of_load_h or 0.0, reader),
            "year": year,
            "reached": figures.hours(result.judged_unserved_h, reader),
        },
        "ride": {
            "asked": figures.hours(targets.ride_through_h, reader),
            "reached": figures.hours(result.ride.reached_h if result.ride else 0.0, reader),
        },
    }
    return [t(f"sizing.missed.{name}", **values[name]) for name in result.missed]
