"""Which of a logger's array readings are not the sun's, and the record without them."""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from offgrid_sizing.followup import readings
from offgrid_sizing.followup.logger import Logger
from offgrid_sizing.words import sentence

FULL = 0.97  # state of charge from which the loads decide what the array gives; own choice
KINDS = ("leaping", "stuck", "cut_off", "snowed_in")


@dataclass(frozen=True, eq=False)
class Marks:
    """Readings of the array by what is wrong with them; bool arrays of shape (n,).

    Parameters
    ----------
    leaping : array
        No sun gives this; left out of every sum.
    stuck : array
        The logger repeated itself; left out of every sum.
    cut_off : array
        At a level the record does not pass.
    snowed_in : array
        Lit, but snow lay on the modules.
    """

    leaping: np.ndarray
    stuck: np.ndarray
    cut_off: np.ndarray
    snowed_in: np.ndarray


def _held_still(logger: Logger) -> np.ndarray:
    """Where a full bank leaves the array no more than the loads ask for."""
    values = logger.values
    still = np.zeros(len(logger.time), bool)
    with np.errstate(invalid="ignore"):
        if "soc" in values:
            still |= values["soc"] >= FULL
        if "load" in values:
            still |= np.abs(values["pv"] - values["load"]) <= 0.02 * np.abs(values["load"])
    return still


def marks_of(logger: Logger) -> Marks | None:
    """The marks of a record; None where no array was logged."""
    if "pv" not in logger.values:
        return None
    step_h, time, held = logger.step_h, logger.time, _held_still(logger)
    power = logger.values["pv"].astype(float)
    leaping = readings.leaping(power, step_h, held)
    power = np.where(leaping, np.nan, power)
    stuck = readings.stuck(power, step_h, held)
    power = np.where(stuck, np.nan, power)
    cut = readings.cut_off(power, time, step_h)
    return Marks(leaping, stuck, cut, _snow(logger, np.where(held, np.nan, power)))


def _snow(logger: Logger, power: np.ndarray) -> np.ndarray:
    """Needs light and a temperature; the air's where both are logged."""
    values = logger.values
    cold = values.get("air", values.get("cell"))
    if "poa" not in values or cold is None:
        return np.zeros(power.size, bool)
    return readings.snowed_in(power, values["poa"], cold, logger.time, logger.step_h)


def without_false(logger: Logger, marks: Marks | None) -> Logger:
    """The record with its leaping and stuck array readings taken out, which a note says."""
    if marks is None or not (marks.leaping | marks.stuck).any():
        return logger
    wrong = marks.leaping | marks.stuck
    power = np.where(wrong, np.nan, logger.values["pv"])
    note = sentence(
        "logger.read.left_out",
        count=int(wrong.sum()),
        leaping=int(marks.leaping.sum()),
        stuck=int(marks.stuck.sum()),
    )
    return replace(logger, values={**logger.values, "pv": power}, notes=(*logger.notes, note))


def hours_by_day(logger: Logger, marks: Marks | None) -> pd.DataFrame:
    """Hours of each kind on each day, columns `pv_<kind>_h`. [h]"""
    day = logger.time.floor("D")
    if marks is None:
        return pd.DataFrame(index=pd.DatetimeIndex(day.unique()))
    hours = {f"pv_{kind}_h": getattr(marks, kind) * logger.step_h for kind in KINDS}
    return pd.DataFrame(hours, index=day).groupby(level=0).sum()
