"""The answer in one sentence: how many, how long, how often dark."""

from offgrid_sizing.simulation import Simulation
from offgrid_sizing.sizing.autonomy import Autonomy
from offgrid_sizing.sizing.judge import bad_year_words, one_year_words
from offgrid_sizing.sizing.reliability import OneYear, Reliability
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System, array_peak_w, bank_nominal_wh
from offgrid_sizing.units import counted, digits, energy, percent, power


def counts_words(sketch: Sketch, system: System) -> str:
    """What the system is made of, in words."""
    bank = (
        f"a bank of {counted(system.units, 'unit')} ({energy(bank_nominal_wh(sketch, system))})"
        if system.units
        else "no bank"
    )
    modules = f"{counted(system.modules, 'module')} ({power(array_peak_w(sketch, system))})"
    return f"{bank}, {modules} and {counted(system.inverters, 'inverter-charger')}"


def answer_sentence(
    sketch: Sketch, simulation: Simulation, autonomy: Autonomy, reliability: Reliability
) -> str:
    """How many, how long, how often dark: the customer's question in one sentence."""
    counts = counts_words(sketch, simulation.system)
    dark = autonomy.dark_median_h / 24
    more = " or more" if autonomy.dark_median_h >= autonomy.enough_h else ""
    hours = f" ({digits(autonomy.dark_median_h)} h)" if 0 < dark < 2 else ""
    return (
        f"{counts[0].upper()}{counts[1:]}: carries the home {digits(dark)}{more} days{hours} "
        f"without sun (days of autonomy, median); {_unserved_words(simulation, reliability)}."
    )


def _unserved_words(simulation: Simulation, years: Reliability) -> str:
    """What goes unserved in the median and the bad year, or in the only one there is."""
    if years.bad is None:
        only = one_year_words(simulation.inputs.weather)
        return f"{_hours_words(years.judged)} in {only} ({_share_words(years.judged)})"
    bad = bad_year_words(years.bad_year_frac)
    article = "the" if bad.startswith("worst") else "a"
    return (
        f"{_hours_words(years.median)} in the median year ({_share_words(years.median)}), "
        f"{digits(years.bad.unserved_h)} h in {article} {bad} ({percent(years.bad.unserved_frac)})"
    )


def _hours_words(year: OneYear) -> str:
    return f"{digits(year.unserved_h)} h unserved"


def _share_words(year: OneYear) -> str:
    return f"{percent(year.unserved_frac)} of its energy"
