"""How the system shall behave, what it must reach, and how conductors are judged.

Defaults are common practice, no source.
"""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from offgrid_sizing.priority import PRIORITIES
from offgrid_sizing.sketch.base import Frac, NotNegative, Part, Positive, TimeWindow
from offgrid_sizing.wiring_code import WIRING_CODES
from offgrid_sizing.words import sentence


class Strategy(Part):
    """Charge priority and its numbers; every number is the user's to move.

    Empty numbers take the kind's own default, which `priority` states.
    """

    kind: Literal[tuple(PRIORITIES)] = "pv_first"  # type: ignore[valid-type] # the registry
    hold_soc_frac: Frac | None = Field(
        None,
        description="outage reserve: while the grid is up the bank is not discharged below this",
    )
    resume_soc_frac: Frac | None = Field(
        None, description="after reaching the outage reserve, discharge again only above this"
    )
    grid_charge_target_frac: Frac | None = Field(
        None, description="the grid charges the bank up to this"
    )
    grid_charge_hours: Annotated[tuple[TimeWindow, ...], Field(max_length=12)] | None = Field(
        None, description="hours in which the grid may charge; empty list: any hour"
    )
    recharge_soc_frac: Frac | None = Field(
        None,
        description="recharge from grid when low: below this at once, at any hour; 0 turns it off",
    )
    peak_price_per_kwh: float | None = Field(
        None,
        ge=0,
        description="peak-price hours: at or above this price the bank may be discharged to the "
        "outage reserve",
    )
    grid_share_frac: Frac | None = Field(
        None,
        description="share of the load the grid takes before the array: 0 array first, "
        "1 grid first",
    )
    shed_soc_frac: Frac | None = Field(
        None,
        description="off the grid, loads that are not critical stop drawing on the bank below this",
    )
    bank_helps_below_hold: bool = Field(
        True,
        description="where the grid's limit would leave load unserved the bank helps below the "
        "outage reserve, down to its floor",
    )

    @model_validator(mode="after")
    def _resume_above_hold(self):
        hold, resume = self.hold_soc_frac, self.resume_soc_frac
        if hold is not None and resume is not None and resume < hold:
            raise ValueError(sentence("refused.reason.resume_below_hold", resume=resume, hold=hold))
        return self


class Targets(Part):
    """What the system must reach."""

    days_of_autonomy: NotNegative = Field(
        2, le=60, description="days without sun, for the worksheet and the measured autonomy"
    )
    max_unserved_frac: Frac = Field(0.01, description="share of the load's energy, in the year")
    max_loss_of_load_h: float | None = Field(
        None, ge=0, le=8784, description="unserved hours a year; empty: not asked"
    )
    bad_year_frac: Frac = Field(0.1, description="the 1-in-10 bad year is 0.1")
    judge: Literal["median", "bad_year"] = Field(
        "median", description="which year must meet the unserved share"
    )
    ride_through_h: NotNegative = Field(0, le=1000, description="grid outage to ride through")
    load_class: Literal["non_critical", "critical"] = "non_critical"
    design_margin_frac: float = Field(0.15, ge=0, le=2, description="worksheet margin on the bank")
    max_units: int = Field(40, ge=1, le=400, description="largest bank searched, in parallel")
    max_modules: int = Field(120, ge=1, le=5000, description="largest array searched")
    step_h: Literal[0.25, 0.5, 1.0] = Field(  # type: ignore[valid-type] # pydantic takes numbers
        1.0, description="time step of the balance"
    )


class Run(Part):
    """One conductor run: its length and what is laid where."""

    length_m: Positive = Field(le=5000, description="one way")
    method: Literal["free_air", "B1", "B2", "C", "D1", "E"] = "C"
    loaded_together: int = Field(1, ge=1, le=60, description="circuits bunched together")
    max_drop_frac: float = Field(0.03, gt=0, le=0.5)
    size: str | None = Field(
        None, max_length=16, description="your own size, e.g. '2 AWG', '35 mm2' or '2 x 70 mm2'"
    )


class Wiring(Part):
    """Conductors and protection: the rule book and each run."""

    rule_book: Literal[tuple(WIRING_CODES)] = "iec60364"  # type: ignore[valid-type] # the registry
    ambient_c: float = Field(30, ge=-40, le=80, description="air round the conductors")
    roof_ambient_c: float = Field(60, ge=-40, le=90, description="air round array cables")
    insulation_c: Literal[70, 75, 90] = Field(90, description="conductor insulation")
    terminal_c: Literal[60, 75, 90] = Field(75, description="lowest terminal temperature rating")
    terminals_free_air: bool = Field(
        False, description="equipment is marked for free-air ratings at their terminals (NFPA 70)"
    )
    string: Run = Run(length_m=15, method="free_air")
    array_feeder: Run = Run(length_m=10)
    unit_lead: Run = Run(length_m=1.0, method="free_air", max_drop_frac=0.01)
    bank_to_inverter: Run = Run(length_m=1.5, method="free_air", max_drop_frac=0.01)
    grid_in: Run = Run(length_m=10)
    generator_in: Run = Run(length_m=10)
    ac_in: Run = Run(length_m=10)
    ac_out: Run = Run(length_m=10)
    earth: Run = Run(length_m=15)
    busbar_length_m: Positive = Field(0.6, le=50)
    bank_feed: Literal["end", "diagonal", "centre"] = Field(
        "diagonal", description="where the bank's busbars are tapped"
    )
    prospective_ac_fault_a: NotNegative = Field(
        6000, description="at the AC input, from the supplier"
    )
