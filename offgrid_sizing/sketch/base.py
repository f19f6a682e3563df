"""What every part of a sketch shares: frozen, strict, finite."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, StringConstraints


class Part(BaseModel):
    """A frozen piece of a sketch: unknown fields, NaN and infinity are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


Frac = Annotated[float, Field(ge=0, le=1)]
Positive = Annotated[float, Field(gt=0)]
NotNegative = Annotated[float, Field(ge=0)]
Hour = Annotated[float, Field(ge=0, le=24)]
Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=120)]
Note = Annotated[str, StringConstraints(max_length=4000)]
Month = Annotated[int, Field(ge=1, le=12)]
TwelveNotNegative = Annotated[tuple[NotNegative, ...], Field(min_length=12, max_length=12)]
TwelveFrac = Annotated[tuple[Frac, ...], Field(min_length=12, max_length=12)]

WEEK = (True,) * 7
ALL_MONTHS = tuple(range(1, 13))


class TimeWindow(Part):
    """Hours of the day from `from_h` to `to_h`; wraps past midnight when `to_h` <= `from_h`."""

    from_h: Hour = Field(description="start, hour of the day")
    to_h: Hour = Field(description="end, hour of the day; 22 to 6 runs over midnight")


class WeekWindow(TimeWindow):
    """A time window on chosen weekdays and months."""

    days: Annotated[tuple[bool, ...], Field(min_length=7, max_length=7)] = Field(
        WEEK, description="Monday to Sunday"
    )
    months: Annotated[tuple[Month, ...], Field(min_length=1, max_length=12)] = Field(
        ALL_MONTHS, description="months of the year, 1 to 12"
    )
