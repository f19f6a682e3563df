"""Where a year is worst, and what ran out there.

The search's worst week may begin at any step, since it is a sum to judge by; the hardest week is
the same question for a picture, in whole days. What ran out is words by the first shortage of a
week, and by most of the missing energy of a longer stretch.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from offgrid_sizing.dispatch import Trace
from offgrid_sizing.metrics import dark_steps
from offgrid_sizing.words import sentence
from offgrid_sizing.year_days import by_day, fullest_week

WEEK_H = 7 * 24
NEAR = 1e-6


@dataclass(frozen=True)
class Worst:
    """Seven days with the most unserved energy, or the lowest bank where nothing is unserved.

    Parameters
    ----------
    year, draw : int
        Weather year and draw of cuts it was found in.
    first_step, steps : int
        The week, as steps of the year.
    unserved_kwh, load_kwh, pv_kwh, grid_up_h : float
        Totals of the week.
    usual_pv_kwh : float
        Array energy of the year's mean week.
    lowest_soc_frac : float
    ran_out : str
        "nothing"; "power": inverter, generator or current limits while the bank held energy;
        "cold": the bank held energy it was too cold or too hot to give; "grid": the bank emptied
        in a cut; "sun": the bank emptied because the array gave less than was drawn.
    sentence : str
    """

    year: int
    draw: int
    first_step: int
    steps: int
    unserved_kwh: float
    load_kwh: float
    pv_kwh: float
    usual_pv_kwh: float
    grid_up_h: float
    lowest_soc_frac: float
    ran_out: str
    sentence: str


def worst_stretch(trace: Trace, year: int = 0, draw: int = 0) -> Worst:
    """Find the worst week of a traced year and say why it was."""
    h = trace.step_h
    steps = min(round(WEEK_H / h), len(trace["load_w"]))
    first = _worst_week(trace, steps)
    week = slice(first, first + steps)
    kwh = {
        name: float(trace[f"{name}_w"][week].sum() * h / 1000)
        for name in ("unserved", "load", "pv_available")
    }
    usual = float(trace["pv_available_w"].mean() * steps * h / 1000)
    up_h = float(trace["grid_up"][week].sum() * h)
    lowest = float(trace["soc_frac"][week].min())
    ran_out = ran_out_first(trace, week)
    words = sentence(
        f"search.worst.{ran_out}",
        unserved=kwh["unserved"],
        sun=kwh["pv_available"],
        usual=usual,
        load=kwh["load"],
        lowest=100 * lowest,
        down=steps * h - up_h,
    )
    return Worst(
        year=year,
        draw=draw,
        first_step=first,
        steps=steps,
        unserved_kwh=kwh["unserved"],
        load_kwh=kwh["load"],
        pv_kwh=kwh["pv_available"],
        usual_pv_kwh=usual,
        grid_up_h=up_h,
        lowest_soc_frac=lowest,
        ran_out=ran_out,
        sentence=words,
    )


def _worst_week(trace: Trace, steps: int) -> int:
    unserved = trace["unserved_w"]
    if unserved.sum() > NEAR:
        total = np.concatenate([[0.0], np.cumsum(unserved)])
        return int(np.argmax(total[steps:] - total[:-steps]))
    lowest = int(np.argmin(trace["soc_frac"]))
    return int(np.clip(lowest - steps // 2, 0, len(unserved) - steps))


def hardest_week(trace: Trace) -> int:
    """First step of the seven whole days with the most unserved energy, else the emptiest bank."""
    if trace["unserved_w"].sum() > NEAR * max(trace["load_w"].sum(), 1):
        daily = by_day(trace["unserved_w"], trace.step_h).sum(axis=1)
    else:
        daily = -by_day(trace["soc_frac"], trace.step_h).min(axis=1)
        daily = np.exp(8 * daily)  # one very low day counts more than seven middling ones
    return fullest_week(daily) * round(24 / trace.step_h)


def telling_week(traces: Sequence[Trace]) -> int:
    """First step of the seven whole days that tell strategies on one system apart.

    Those with most unserved energy under all of them, else with most hours without grid.
    """
    first = traces[0]
    short = [np.where(dark_steps(t["load_w"], t["unserved_w"]), t["unserved_w"], 0) for t in traces]
    unserved = np.sum(short, axis=0)
    telling = unserved if unserved.max() > 0 else 1 - first["grid_up"]
    daily = by_day(telling, first.step_h).sum(axis=1)
    return fullest_week(daily) * round(24 / first.step_h)


def ran_out_first(trace: Trace, week: slice) -> str:
    """What ran out at the first shortage of a week, in the words of `Worst.ran_out`."""
    dark = np.flatnonzero(dark_steps(trace["load_w"][week], trace["unserved_w"][week]))
    if not len(dark):
        return "nothing"
    soc, given = trace["soc_frac"][week], trace["bank_to_load_w"][week]
    at = dark[0]
    before = soc[at - 1] if at > 0 else soc[at]
    emptied = min(soc[at], before) <= trace["soc_frac"].min() + 0.02
    if not emptied:
        return "power" if given[at] > NEAR else "cold"
    ever_up = trace["grid_up"].max() > 0
    return "grid" if ever_up and trace["grid_up"][week][at] < 0.5 else "sun"


def ran_out_mostly(trace: Trace, steps: np.ndarray) -> str:
    """What most of the missing energy of some steps lacked: "nothing", "power", "grid" or "sun"."""
    flows = {name: values[steps] for name, values in trace.columns.items()}
    dark = dark_steps(flows["load_w"], flows["unserved_w"])
    if not dark.any():
        return "nothing"
    missing = flows["unserved_w"][dark]
    above_floor = flows["soc_frac"][dark] > trace["soc_frac"].min() + 0.05
    if missing[above_floor].sum() > 0.5 * missing.sum():
        return "power"
    ever_up = trace["grid_up"].max() > 0
    down = flows["grid_up"][dark] < 0.5
    return "grid" if ever_up and missing[down].sum() > 0.5 * missing.sum() else "sun"
