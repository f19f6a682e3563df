"""Site page: three pictures of a place's weather, each with its answer."""

from datetime import date, timedelta

import numpy as np
import pandas as pd

from offgrid_sizing.ui import charts, state, theme
from offgrid_sizing.ui.charts import climate as pictures
from offgrid_sizing.ui.charts.marks import chart_t, month_names
from offgrid_sizing.units import digits, quantity, unit_of
from offgrid_sizing.weather import picture
from offgrid_sizing.weather.series import Weather


def months(weather: Weather) -> None:
    """Daily light by month, with the spread between the years."""
    light, reader = picture.monthly_light(weather), state.reader()
    darkest = int(light.mean.argmin())
    key = "months_answer" if weather.years > 1 else "months_answer_one"
    answer = chart_t(
        f"site.weather.{key}",
        month=month_names()[darkest],
        light=digits(float(light.mean[darkest]), reader, 2),
        years=weather.years,
    )
    figure = pictures.monthly_light(
        light.mean, light.low, light.high, answer=answer, dark=theme.is_dark()
    )
    table = pd.DataFrame(
        {
            "month": range(1, 13),
            "mean_kwh_per_m2_day": light.mean,
            "low": light.low,
            "high": light.high,
        }
    )
    charts.show(figure, "site_months", answer, data=table)


def days(weather: Weather) -> None:
    """Each day's light in one year, over the band of all years."""
    day, spread = picture.daily_light(weather)
    first = date(2025, 1, 1)  # any common year: the axis shows days and months only
    dates = [first + timedelta(days=number) for number in range(365)]
    darkest = int(day.argmin())
    answer = chart_t(
        "site.weather.days_answer",
        light=digits(float(day[darkest]), state.reader(), 2),
        day=dates[darkest].day,
        month=month_names()[dates[darkest].month - 1],
    )
    low, high = (None, None) if spread is None else (spread.low, spread.high)
    figure = pictures.year_of_days(day, low, high, dates, answer=answer, dark=theme.is_dark())
    table = pd.DataFrame({"day": range(1, 366), "kwh_per_m2": day})
    charts.show(figure, "site_days", answer, data=table)


def warmth(weather: Weather) -> None:
    """Air temperature by month and the cold limit."""
    air, reader = picture.monthly_air(weather), state.reader()
    unit = unit_of("temp_c", reader)
    answer = chart_t(
        "site.weather.warmth_answer",
        low=quantity(weather.record_low_c, "low_c", reader),
        mean=quantity(float(air.mean.mean()), "mean_c", reader),
    )
    mean, low, high = (np.asarray(unit.shown(part)) for part in (air.mean, air.low, air.high))
    figure = pictures.warmth(
        mean,
        low,
        high,
        limit=unit.shown(weather.record_low_c),
        unit=unit.label,
        answer=answer,
        dark=theme.is_dark(),
    )
    table = pd.DataFrame(
        {
            "month": range(1, 13),
            "mean_c": air.mean,
            "daily_low_c": air.low,
            "daily_high_c": air.high,
        }
    )
    charts.show(figure, "site_warmth", answer, data=table)
