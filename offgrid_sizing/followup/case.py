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
    """One likely cause, in no language yet.

    Parameters
    ----------
    code : str
        `followup.found.<code>` names it, `followup.found_text.<code>` says what it rests on and
        what to look at.
    sure : {"high", "medium", "low"}
    facts : tuple of (str, value)
        What those words hold: shares 0 to 1, hours, W, kWh, counts, days as ISO text.
    """

    code: str
    sure: str
    facts: tuple[tuple[str, float | int | str], ...] = ()

    @property
    def told(self) -> dict[str, float | int | str]:
        """The facts by name."""
        return dict(self.facts)


def cause(code: str, sure: str, /, **facts: float | int | str) -> Cause:
    """A cause with its facts by name."""
    return Cause(code, sure, tuple(facts.items()))


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
