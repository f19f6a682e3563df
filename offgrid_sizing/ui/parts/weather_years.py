"""What weather years are called: each by its name, and which of many a figure is of."""

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.ui.words import t_raw
from offgrid_sizing.weather.series import Weather


def name_of(year_name: str) -> str:
    """A weather year's name in this language: "synthetic 3", "typical" or a calendar year."""
    word, _, number = year_name.partition(" ")
    if word in ("synthetic", "typical"):
        return t_raw(f"year.name_{word}", number=number)
    return here(year_name)


def kind_of(sketch: Sketch, weather: Weather) -> str:
    """Which year the sketch is judged by: "median" or "bad" of several; "typical" or "one" alone.

    As `sizing.judge.year_words` says it: a weather year that stands alone is neither.
    """
    if weather.years == 1:
        return "typical" if weather.year_names[0] == "typical" else "one"
    return "median" if sketch.targets.judge == "median" else "bad"


def judged(sketch: Sketch, weather: Weather) -> str:
    """The year the sketch is judged by, in words: "this typical year", "the median year"."""
    kind = kind_of(sketch, weather)
    return bad(sketch.targets.bad_year_frac) if kind == "bad" else t_raw(f"year.which.{kind}")


def bad(bad_year_frac: float) -> str:
    """How bad the bad year is: "the 1-in-10 bad year"."""
    if bad_year_frac <= 0:
        return t_raw("year.which.worst")
    return t_raw("year.which.bad", one_in=f"{1 / bad_year_frac:.3g}")


def judged_named(run) -> str:
    """The judged year with its name: "the median year (made-up year 15)", "this typical year"."""
    weather = run.inputs.weather
    which = judged(run.sketch, weather)
    if weather.year_names[run.year] == "typical":
        return which
    return t_raw("year.which.named", which=which, name=name_of(weather.year_names[run.year]))


def named(run, *, is_judged: bool) -> str:
    """A simulated year: the judged one by its place among all, any other by its name alone."""
    if is_judged:
        return judged_named(run)
    return name_of(run.inputs.weather.year_names[run.year])


def of_number(run, year: int) -> str:
    """Another year of the same weather by its name alone; "this typical year" where it is one."""
    weather = run.inputs.weather
    return judged_named(run) if weather.years == 1 else name_of(weather.year_names[year])
