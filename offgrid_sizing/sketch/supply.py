"""What else can feed the home: a grid with its cuts and tariff, a generator.

Defaults are common practice, no source; prices are invented placeholders; the generator's fuel
line is that of Skarstein and Uhlen 1989 (from memory).
"""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from offgrid_sizing.sketch.base import Frac, NotNegative, Part, Positive, TimeWindow, WeekWindow
from offgrid_sizing.words import sentence


class TariffBand(WeekWindow):
    """Hours with their own price; where bands overlap the later one in the list holds."""

    price_per_kwh: float = Field(ge=0, le=1_000_000)


class Tariff(Part):
    """Price of grid energy by hour, day and season."""

    price_per_kwh: NotNegative = Field(0.25, le=1_000_000, description="outside all bands")
    bands: Annotated[tuple[TariffBand, ...], Field(max_length=40)] = ()
    fixed_per_month: NotNegative = Field(0, le=1_000_000_000)
    export_price_per_kwh: NotNegative = Field(0, le=1_000_000)


class Grid(Part):
    """The grid: none, steady, cut by a weekly timetable, failing at random, or both."""

    kind: Literal["none", "steady", "scheduled", "failing", "scheduled_and_failing"] = "none"
    import_limit_w: Positive = Field(10_000, le=10_000_000)
    line_ohm: float | None = Field(
        None, ge=0, le=20, description="impedance of the line up to the home; empty: reference"
    )
    prospective_short_circuit_ka: float | None = Field(
        None, gt=0, le=200, description="at the connection, from the supplier; empty: not known"
    )
    breaker_a: float | None = Field(
        None, gt=0, le=10_000, description="device at the connection; empty: not known"
    )
    cuts: Annotated[tuple[WeekWindow, ...], Field(max_length=100)] = Field(
        (), description="planned outages of a week"
    )
    mean_time_between_cuts_h: float = Field(100, ge=0.1, le=100_000)
    mean_cut_length_h: float = Field(3, ge=0.01, le=2000)
    seed: int = Field(1, ge=0, le=2**31 - 1)
    export_allowed: bool = False
    export_limit_w: NotNegative = Field(5000, le=10_000_000)
    tariff: Tariff = Tariff()

    @model_validator(mode="after")
    def _timetable_is_there(self):
        if self.kind in ("scheduled", "scheduled_and_failing") and not self.cuts:
            raise ValueError(sentence("refused.reason.no_cuts"))
        return self


class Generator(Part):
    """A generator that starts on the bank's state of charge.

    Fuel a running hour: `per energy × output + idle × rating`, in litres, with both in kW.
    """

    rated_w: Positive = Field(5000, le=10_000_000)
    min_load_frac: Frac = Field(0.3, description="never run below")
    start_multiple: Positive = Field(
        1.5, le=10, description="largest VA while a motor starts, for each W of rating"
    )
    breaker_a: float | None = Field(
        None, gt=0, le=10_000, description="largest device its maker names; empty: not known"
    )
    short_circuit_a: float | None = Field(
        None, gt=0, le=200_000, description="what it gives into a short circuit; empty: not known"
    )
    fuel_per_energy_l_per_kwh: NotNegative = Field(0.246, le=5)
    fuel_idle_l_per_h_kw: NotNegative = Field(0.08415, le=5)
    fuel_price_per_l: NotNegative = Field(1.6, le=1_000_000)
    start_soc_frac: Frac = Field(0.25, description="starts when the bank falls to this")
    stop_soc_frac: Frac = Field(0.8, description="stops when the bank has risen to this")
    quiet_hours: Annotated[tuple[TimeWindow, ...], Field(max_length=12)] = ()
    service_interval_h: float = Field(250, ge=1, le=1_000_000)
    service_cost: NotNegative = Field(60, le=1_000_000_000)
    life_h: float = Field(10_000, ge=1, le=1_000_000)

    @model_validator(mode="after")
    def _stops_above_start(self):
        stop, start = self.stop_soc_frac, self.start_soc_frac
        if stop <= start:
            raise ValueError(sentence("refused.reason.stop_below_start", stop=stop, start=start))
        return self
