"""The answer in one sentence: how many, how long, how often dark."""

from offgrid_sizing.boundary_words import boundary_sentence
from offgrid_sizing.simulation import Simulation
from offgrid_sizing.sizing.autonomy import Autonomy
from offgrid_sizing.sizing.judge import bad_year_words, one_year_words
from offgrid_sizing.sizing.reliability import OneYear, Reliability
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System, array_peak_w, bank_nominal_wh
from offgrid_sizing.units import digits, energy, percent, power
from offgrid_sizing.words import Figure, Said, capital, said, sentence, together


def counts_words(sketch: Sketch, system: System) -> str:
    """What the system is made of, in words."""
    key = "counts" if system.units else "counts_no_bank"
    return sentence(
        f"paper.{key}",
        units=system.units,
        bank=Figure(energy, bank_nominal_wh(sketch, system)),
        modules=system.modules,
        array=Figure(power, array_peak_w(sketch, system)),
        inverters=system.inverters,
    )


def answer_sentence(
    sketch: Sketch, simulation: Simulation, autonomy: Autonomy, reliability: Reliability
) -> str:
    """How many, how long, how often dark: the customer's question in one sentence.

    Where appliances stand on the grid alone, a second one says whom it is for.
    """
    counts = counts_words(sketch, simulation.system)
    dark_h = autonomy.dark_median_h
    key = "answer_more" if dark_h >= autonomy.enough_h else "answer"
    if 0 < dark_h / 24 < 2:
        key += "_hours"
    answer = sentence(
        f"paper.{key}",
        counts=capital(counts),
        days=Figure(digits, dark_h / 24),
        hours=Figure(digits, dark_h),
        unserved=_unserved_words(simulation, reliability),
    )
    boundary = boundary_sentence(sketch, simulation.inputs.loads)
    return answer if boundary is None else together(answer, boundary)


def _unserved_words(simulation: Simulation, years: Reliability) -> Said:
    """What goes unserved in the median and the bad year, or in the only one there is."""
    if years.bad is None:
        only = one_year_words(simulation.inputs.weather)
        return said("paper.unserved_one", year=only, **_unserved(years.judged))
    key = "unserved_bad" if years.bad_year_frac > 0 else "unserved_worst"
    return said(
        f"paper.{key}",
        bad=bad_year_words(years.bad_year_frac),
        bad_hours=Figure(digits, years.bad.unserved_h),
        bad_share=Figure(percent, years.bad.unserved_frac),
        **_unserved(years.median),
    )


def _unserved(year: OneYear) -> dict[str, Figure]:
    return {
        "hours": Figure(digits, year.unserved_h),
        "share": Figure(percent, year.unserved_frac),
    }
