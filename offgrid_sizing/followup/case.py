"""One likely cause of a difference, and the record it is looked for in."""

from dataclasses import dataclass

import pandas as pd

from offgrid_sizing.followup.logger import Logger
from offgrid_sizing.followup.marks import Marks
from offgrid_sizing.simulation import Simulation

LOW, HIGH = 0.92, 1.08  # measured over expected that is worth a word; our own choice
SURE = ("high", "medium", "low")


@dataclass(frozen=True)
class Cause:
    """One likely cause.

    Parameters
    ----------
    name : str
    sure : {"high", "medium", "low"}
    evidence : str
        The numbers it rests on.
    look : str
        What to check.
    code : str
        Under which the screen has its own words; empty where it shows the three texts.
    facts : tuple of (str, value)
        The numbers of those words: shares 0 to 1, hours, W, counts, days as ISO text.
    """

    name: str
    sure: str
    evidence: str
    look: str
    code: str = ""
    facts: tuple[tuple[str, float | int | str], ...] = ()


@dataclass(frozen=True, eq=False)
class Case:
    """One comparison, as the search for causes sees it.

    Parameters
    ----------
    logger : Logger
        The record, cleaned.
    judged : DataFrame
        One row for each day that counts, measured beside expected. [kWh, h]
    expected : DataFrame
        The sketch's year step by step. [W]
    simulation : Simulation
    corrected : bool
        Whether the expectation follows the light that was logged.
    marks : Marks or None
        Array readings that are not the sun's; None where no array was logged.
    """

    logger: Logger
    judged: pd.DataFrame
    expected: pd.DataFrame
    simulation: Simulation
    corrected: bool
    marks: Marks | None = None

    def ratio(self, name: str) -> float | None:
        """Measured over expected energy, None where either is missing."""
        if f"{name}_kwh" not in self.judged:
            return None
        promised = float(self.judged[f"{name}_expected_kwh"].sum())
        return float(self.judged[f"{name}_kwh"].sum()) / promised if promised > 0 else None
