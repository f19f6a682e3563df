"""What the home uses: appliances and their hours, who is at home, and a meter's file."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from offgrid_sizing.sketch.base import (
    ALL_MONTHS,
    WEEK,
    Frac,
    Month,
    Name,
    NotNegative,
    Part,
    Positive,
    TimeWindow,
    TwelveNotNegative,
)
from offgrid_sizing.words import sentence

# Outdoor air at which weather-driven use begins, and at which it runs all of its hours; common
# practice, no source. [°C]
DRIVER_POINTS_C = {"cooling": (20.0, 35.0), "heating": (16.0, -5.0)}

Motor = Literal[
    "auto",
    "none",
    "single_phase",
    "capacitor_start",
    "three_phase",
    "universal",
    "compressor",
    "inverter_driven",
]
Board = Literal["protected", "unprotected"]
HourWeights = Annotated[tuple[Frac, ...], Field(min_length=24, max_length=24)]


class Appliance(Part):
    """One kind of appliance: what it draws and when it is on.

    `hours` holds the share of each clock hour it is on; `windows` with `run_time_h` is the other
    way to say it: on for that many hours a day, spread over those windows. With neither it is
    always on. Mean power while on is `running_w × duty_frac`.
    """

    name: Name
    kind: str | None = Field(None, max_length=80, description="row of the appliance catalogue")
    count: int = Field(1, ge=0, le=10_000)
    running_w: NotNegative = Field(le=1_000_000, description="power while it draws")
    power_factor: float = Field(1.0, ge=0.1, le=1)
    duty_frac: Frac = Field(1.0, description="share of time it draws while on (thermostat)")
    starting_multiple: float = Field(1.0, ge=1, le=12, description="starting VA / running VA")
    motor: Motor = Field("auto", description="what starts in it; auto: by its catalogue row")
    start_s: float | None = Field(
        None, gt=0, le=60, description="how long a start takes; empty: usual for its motor"
    )
    soft_starter: bool = Field(False, description="limits the start to 2 × running")
    standby_w: NotNegative = Field(0, le=10_000, description="drawn whenever it is not on")
    hours: HourWeights | None = Field(None, description="share of each hour it is on, 0 to 1")
    windows: Annotated[tuple[TimeWindow, ...], Field(max_length=24)] = ()
    run_time_h: float | None = Field(None, ge=0, le=24, description="hours a day, in the windows")
    days: Annotated[tuple[bool, ...], Field(min_length=7, max_length=7)] = Field(
        WEEK, description="Monday to Sunday"
    )
    months: Annotated[tuple[Month, ...], Field(max_length=12)] = ALL_MONTHS
    driver: Literal["none", "cooling", "heating", "refrigeration", "irrigation"] = Field(
        "none", description="what the weather does to its daily use"
    )
    driver_from_c: float | None = Field(
        None, ge=-40, le=60, description="outdoor air at which cooling or heating use begins"
    )
    driver_full_c: float | None = Field(
        None, ge=-60, le=70, description="outdoor air at which it runs all of its hours"
    )
    leg: Literal["L1", "L2", "L3", "L1-L2", "auto"] = Field(
        "auto", description="which line it sits on; L1-L2: across both legs"
    )
    board: Board = Field(
        "protected",
        description="what feeds it: the protected board behind the inverter-chargers, or the grid "
        "alone",
    )
    critical: bool = Field(False, description="must stay on; shed last")
    priority: int = Field(5, ge=1, le=9, description="1 is shed last, 9 first")
    deferrable: bool = Field(False, description="may wait, within its windows, for surplus sun")

    @model_validator(mode="after")
    def _one_way_to_say_when(self):
        if self.hours is not None and self.windows:
            raise ValueError(sentence("refused.reason.two_ways"))
        if self.run_time_h is not None and self.hours is not None:
            raise ValueError(sentence("refused.reason.run_time"))
        return self

    @property
    def driver_points_c(self) -> tuple[float, float]:
        """Outdoor air at which cooling or heating use begins and is full. [°C]"""
        begins, full = DRIVER_POINTS_C[self.driver]
        return (
            begins if self.driver_from_c is None else self.driver_from_c,
            full if self.driver_full_c is None else self.driver_full_c,
        )

    @model_validator(mode="after")
    def _driver_points_in_order(self):
        if self.driver not in DRIVER_POINTS_C:
            return self
        begins, full = self.driver_points_c
        if (full <= begins) if self.driver == "cooling" else (full >= begins):
            raise ValueError(
                sentence(f"refused.reason.{self.driver}_order", begins=begins, full=full)
            )
        return self


class AwayPeriod(Part):
    """Days of the year nobody is there; wraps over New Year."""

    from_month: Month
    from_day: int = Field(ge=1, le=31)
    to_month: Month
    to_day: int = Field(ge=1, le=31)


class Occupancy(Part):
    """When people are there. While away only what is always on or marked critical runs."""

    present_days: Annotated[tuple[bool, ...], Field(min_length=7, max_length=7)] = Field(
        WEEK, description="Monday to Sunday; a weekend cabin has only Saturday and Sunday"
    )
    present_months: Annotated[tuple[Month, ...], Field(max_length=12)] = ALL_MONTHS
    away: Annotated[tuple[AwayPeriod, ...], Field(max_length=20)] = ()


class Variability(Part):
    """Seeded day-to-day and hour-to-hour spread that keeps the year's energy."""

    day_sd_frac: Frac = Field(0, description="standard deviation of the daily sum / its mean")
    hour_sd_frac: Frac = Field(0, description="the same from hour to hour")
    seed: int = Field(1, ge=0, le=2**31 - 1)


class MeteredLoad(Part):
    """A meter's interval file instead of, or beside, the appliance table."""

    file: str = Field(max_length=1000, description="path of the interval file (CSV or ESPI XML)")
    time_column: str | None = Field(None, max_length=200)
    value_column: str | None = Field(None, max_length=200)
    quantity: Literal[
        "auto",
        "energy_kwh",
        "energy_wh",
        "power_w",
        "power_kw",
        "register_kwh",
        "register_wh",
    ] = Field("auto", description="what the value column holds; auto: guessed and said")
    day_first: bool | None = Field(
        None, description="01/02/2024 is 1 February (true) or 2 January (false); empty: guessed"
    )
    labels: Literal["auto", "begin", "end"] = Field(
        "auto", description="whether a time stamp begins or ends its interval"
    )
    use: Literal["replace", "scale_appliances", "scale_metered"] = Field(
        "replace",
        description="use the meter's year, or the appliances' year scaled to its energy, or its "
        "shape scaled to the appliances' energy",
    )
    peak_va: float | None = Field(
        None, gt=0, description="peak running VA, when no appliances say it"
    )


class Loads(Part):
    """The whole household's demand."""

    appliances: Annotated[tuple[Appliance, ...], Field(max_length=500)] = ()
    occupancy: Occupancy = Occupancy()
    variability: Variability = Variability()
    metered: MeteredLoad | None = None
    bill_mean_month_kwh: float | None = Field(
        None,
        gt=0,
        le=1_000_000,
        description="energy of a mean month on the bill; the appliances give its shape and peak",
    )
    bill_each_month_kwh: TwelveNotNegative | None = Field(
        None, description="energy on the bill of each month, January to December"
    )
    scale: Positive = Field(1.0, le=100, description="multiplies every load")
    growth_frac: float = Field(0, ge=0, le=5, description="planned growth added to every load")
    room_temperature_c: float = Field(
        22, ge=-10, le=45, description="kitchen air, for the refrigerator"
    )

    @model_validator(mode="after")
    def _one_source_of_energy(self):
        each = self.bill_each_month_kwh
        if each is not None and self.bill_mean_month_kwh is not None:
            raise ValueError(sentence("refused.reason.two_bills"))
        if self.has_bill and self.metered is not None:
            raise ValueError(sentence("refused.reason.bill_and_meter"))
        if each is not None and (sum(each) <= 0 or max(each) > 1_000_000):
            raise ValueError(sentence("refused.reason.bill_months"))
        return self

    @property
    def has_bill(self) -> bool:
        """Whether a bill says the energy."""
        return self.bill_mean_month_kwh is not None or self.bill_each_month_kwh is not None

    @property
    def in_use(self) -> tuple[Appliance, ...]:
        """Appliances the home has at least one of; the others are only kept in the table."""
        return tuple(one for one in self.appliances if one.count > 0)

    def standing_on(self, board: Board) -> tuple[Appliance, ...]:
        """Appliances in use that stand on one of the two boards."""
        return tuple(one for one in self.in_use if one.board == board)

    @property
    def protected(self) -> tuple[Appliance, ...]:
        """Appliances in use behind the inverter-chargers, which the bank carries in a cut."""
        return self.standing_on("protected")

    @property
    def unprotected(self) -> tuple[Appliance, ...]:
        """Appliances in use on the grid's own board, dark whenever the grid is down."""
        return self.standing_on("unprotected")
