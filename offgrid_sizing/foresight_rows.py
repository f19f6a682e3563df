"""Variables and rows of the perfect-foresight program: the physics of a year as inequalities.

What is relaxed and why the bound stays a bound is said in `foresight`, which asks the question
and reads the answer; this module only writes the year down.
"""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.dispatch import Params
from offgrid_sizing.linear import Flow, LinearProgram


@dataclass(frozen=True)
class Ends:
    """What the bound may use and must leave, so that every compared strategy could have done it.

    Parameters
    ----------
    start_wh, end_wh : float
        Stored energy at the year's begin, and at least at its end. [Wh]
    unserved_wh, standby_missed_wh : float
        Load, and standby of the electronics, that may go unserved in all. [Wh]
    """

    start_wh: float
    end_wh: float
    unserved_wh: float
    standby_missed_wh: float


def dc_input(params: Params, ac):
    """DC input of the inverter for an AC output up to its rating, as the step has it. [W]"""
    rated = params.values["rated_w"]
    x, y = zip((0.0, 0.0), *params.values["curve"], strict=True)
    return rated * np.interp(np.asarray(ac) / rated, x, y)


def envelope(params: Params, most: np.ndarray) -> tuple[list[np.ndarray], list[np.ndarray]]:
    """Lower convex envelope of the inverter's DC input, for outputs from 0 to `most`.

    Parameters
    ----------
    most : float64 array, shape (n,)
        Largest AC output each step can ask for. [W]

    Returns
    -------
    widths, slopes : lists of float64 arrays, shape (n,)
        Straight pieces: AC width of each [W], and DC input per AC output on it.

    Notes
    -----
    Wrapped step by step: from where the envelope stands, on to the corner below `most`, or to
    `most` itself, that is reached with the least slope. An output that is either nothing or
    everything asked for is therefore exact.
    """
    rated = params.values["rated_w"]
    most = np.minimum(most, rated)
    x = np.array([*(np.minimum(ac * rated, most) for ac, _ in params.values["curve"]), most])
    y = dc_input(params, x)
    at_x, at_y = np.zeros_like(most), np.zeros_like(most)
    slope = np.full(len(most), params.values["curve"][0][1] / params.values["curve"][0][0])
    widths: list[np.ndarray] = []
    slopes: list[np.ndarray] = []
    every = np.arange(len(most))
    while not widths or (at_x < most).any():
        ahead = x > at_x + 1e-9
        rise = np.where(ahead, (y - at_y) / np.where(ahead, x - at_x, 1.0), np.inf)
        best = np.argmin(rise, axis=0)
        moves = ahead[best, every]
        slope = np.where(moves, rise[best, every], slope)
        to_x = np.where(moves, x[best, every], most)
        widths.append(to_x - at_x)
        slopes.append(slope)
        at_y = np.where(moves, y[best, every], at_y)
        at_x = to_x
    return widths, slopes


@dataclass(frozen=True)
class _BankFlows:
    """What stands in the bank and flows in and out of it, as variables of the program."""

    stored: Flow
    from_array: Flow
    from_charger: Flow
    given: Flow


def year_program(params: Params, col, ends: Ends) -> tuple[LinearProgram, dict[str, Flow]]:
    """The program of one design and one year, without prices.

    Parameters
    ----------
    col : callable
        From a name of `dispatch.SERIES` to its values, shape (n,).

    Returns
    -------
    program, flows
        The flows prices may be put on, by name.
    """
    v = params.values
    pv = np.minimum(col("pv") * v["scale"], v["clip_w"]) * v["ctrl"]
    up, down = col("grid_up") > 0, col("grid_up") <= 0
    may_run = down & (col("gen_allowed") > 0) & (v.get("gen_w", 0.0) > 0)
    n, h, full = len(pv), v["h"], v["full"]
    lp = LinearProgram(n)
    everywhere, ac_side = np.ones(n, dtype=bool), up | may_run
    charge, discharge = v["charge_w"] * col("charge_ok"), v["discharge_w"] * col("discharge_ok")
    bank = full > 0

    stored = lp.add(everywhere, full * col("floor").min() if bank else 0.0, full)
    pv_bank = lp.add((pv > 0) & bank, 0.0, np.minimum(charge, v["pv_charge_w"]))
    pv_used = lp.add(pv > 0, 0.0, pv)
    given = lp.add(everywhere & bank, 0.0, discharge)
    most = col("load") + col("defer_w") + np.where(up, v["export_w"], 0.0)
    widths, slopes = envelope(params, most)
    inverted = [lp.add(width > 0, 0.0, width) for width in widths]
    standby_dc = lp.add(ac_side, 0.0, v["standby_w"])
    waiting = col("may_wh")[-1] > 0
    asked = lp.add(everywhere & waiting, 0.0, col("defer_w"))
    unserved = lp.add(everywhere, 0.0, col("load") + col("defer_w"))
    missed = lp.add(everywhere, 0.0, v["standby_w"])
    grid = lp.add(up, 0.0, v["import_w"])
    generator = lp.add(may_run, 0.0, v.get("gen_w", 0.0))
    charger = lp.add(ac_side & bank, 0.0, v["charger_w"] / v["charger"])
    exported = lp.add(up & (v["export_w"] > 0), 0.0, v["export_w"])

    # Array power splits between bank and bus.
    lp.at_most(pv, [(pv_bank, 1.0), (pv_used, 1.0)], pv > 0)
    # Bus: array and bank carry the inverter and what standby they serve; where there is no AC
    # source they serve all of it.
    here = np.where(ac_side, 0.0, v["standby_w"])
    terms = [(part, slope) for part, slope in zip(inverted, slopes, strict=True)]
    lp.at_most(
        -here,
        [
            *terms,
            (standby_dc, 1.0),
            (pv_used, -1.0),
            (given, -1.0),
            (missed, np.where(ac_side, 0.0, -1.0)),
        ],
        everywhere,
    )
    # AC side: load, waiting load, charger, export and the rest of the standby.
    there = np.where(ac_side, v["standby_w"], 0.0)
    lp.at_most(
        -col("load") - there,
        [
            *((part, -1.0) for part in inverted),
            (grid, -1.0),
            (generator, -1.0),
            (unserved, -1.0),
            (asked, 1.0),
            (charger, 1.0),
            (exported, 1.0),
            (standby_dc, -1.0),
            (missed, np.where(ac_side, -1.0, 0.0)),
        ],
        everywhere,
    )
    # Only what leaves the inverter can be exported.
    lp.at_most(0.0, [(exported, 1.0), *((part, -1.0) for part in inverted)], exported.mask)
    if bank:
        _bank_rows(lp, v, col, ends, _BankFlows(stored, pv_bank, charger, given), charge)
    if waiting:
        lp.between(col("must_wh"), col("may_wh"), asked, h)
    lp.budget(unserved, h, ends.unserved_wh)
    lp.budget(missed, h, ends.standby_missed_wh)
    flows = {
        "stored": stored,
        "grid": grid,
        "generator": generator,
        "exported": exported,
        "unserved": unserved,
    }
    return lp, flows


def _bank_rows(lp: LinearProgram, v, col, ends: Ends, bank: _BankFlows, charge) -> None:
    """What the bank holds: the last step's energy, less leakage, plus charge, less discharge."""
    h, full = v["h"], v["full"]
    keep = 1 - v.get("leak", 0.0)
    pv_bank, charger = bank.from_array, bank.from_charger
    lp.chain(
        bank.stored,
        keep,
        (1 - keep) * full * col("floor"),
        [
            (pv_bank, v["ce"] * h),
            (charger, v["charger"] * v["ce"] * h),
            (bank.given, -h / v["de"]),
        ],
        first=ends.start_wh,
        last=ends.end_wh,
    )
    both = pv_bank.mask & charger.mask
    lp.at_most(charge, [(pv_bank, 1.0), (charger, v["charger"])], both)
    lp.at_most(charge, [(charger, v["charger"])], charger.mask & ~both)
