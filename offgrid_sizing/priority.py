"""A charge priority as one object: its name and the numbers it rules by where a sketch gives none.

A further priority is one more `Priority` in `PRIORITIES`, and its words in
`words/<language>/choices.toml`. Search, comparison, papers and pages go through them all.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Home:
    """What a priority's numbers may rest on.

    Parameters
    ----------
    usable_dod_frac : float
        Depth of discharge allowed.
    one_price : bool
        Grid energy costs the same in every hour.
    mean_price_per_kwh : float
        Of the year's hours.
    hold_soc_frac : float or None
        The sketch's own hold level, where other numbers go by it.
    """

    usable_dod_frac: float
    one_price: bool
    mean_price_per_kwh: float
    hold_soc_frac: float | None

    def level(self, share: float) -> float:
        """State of charge at a share of the usable part of the bank."""
        return 1.0 - self.usable_dod_frac + share * self.usable_dod_frac


@dataclass(frozen=True)
class Defaults:
    """The numbers of a priority; meanings as in `strategy.StrategyNumbers`.

    `grid_charge_hours` holds windows (`sketch.TimeWindow`), none for any hour; None means the
    hours cheaper than the year's mean price.
    """

    grid_share_frac: float
    hold_soc_frac: float
    resume_soc_frac: float
    grid_charge_target_frac: float
    grid_charge_hours: tuple[Any, ...] | None
    recharge_soc_frac: float
    peak_price_per_kwh: float


@dataclass(frozen=True)
class Priority:
    """One charge priority.

    Parameters
    ----------
    name : str
        Name in a sketch. Its words: `choices.kind.<name>` on screen, `choices.priority_clause`
        within a sentence, `choices.priority_text` in full, `choices.priority_paper` on papers and
        `choices.priority_setting` on the commissioning sheet.
    defaults : function of Home
        Its numbers; common practice, no source: where inverter-chargers are usually set.
    """

    name: str
    defaults: Callable[[Home], Defaults]

    def key(self, words: str) -> str:
        """Key of its words of one kind: clause, text, paper or setting."""
        return f"choices.priority_{words}.{self.name}"


def _pv_first(home: Home) -> Defaults:
    return Defaults(
        grid_share_frac=0.0,
        hold_soc_frac=home.level(0.2),
        resume_soc_frac=home.level(0.5),
        grid_charge_target_frac=0.0,
        grid_charge_hours=(),
        recharge_soc_frac=home.level(0.1),
        peak_price_per_kwh=0.0,
    )


def _grid_first(home: Home) -> Defaults:
    return Defaults(
        grid_share_frac=1.0,
        hold_soc_frac=home.level(0.0),
        resume_soc_frac=home.level(0.0),
        grid_charge_target_frac=1.0,
        grid_charge_hours=(),
        recharge_soc_frac=0.0,
        peak_price_per_kwh=0.0,
    )


def _blended(home: Home) -> Defaults:
    hold = home.level(0.5) if home.hold_soc_frac is None else home.hold_soc_frac
    return Defaults(
        grid_share_frac=0.0,
        hold_soc_frac=hold,
        resume_soc_frac=min(hold + 0.05, 1.0),
        grid_charge_target_frac=hold if home.one_price else max(home.level(0.9), hold),
        grid_charge_hours=() if home.one_price else None,
        recharge_soc_frac=home.level(0.1),
        peak_price_per_kwh=home.mean_price_per_kwh,
    )


PV_FIRST = Priority("pv_first", _pv_first)
GRID_FIRST = Priority("grid_first", _grid_first)
BLENDED = Priority("blended", _blended)

# In the order screens and papers offer them; a sketch accepts these.
PRIORITIES: dict[str, Priority] = {one.name: one for one in (PV_FIRST, GRID_FIRST, BLENDED)}
