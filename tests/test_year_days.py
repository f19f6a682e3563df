"""The year of 365 days, cut into hours, days, weeks and months."""

import numpy as np

from offgrid_sizing.year_days import (
    DAYS_IN_MONTH,
    MONTH_EDGES,
    MONTH_OF_DAY,
    by_day,
    fullest_week,
    hourly_means,
    monthly_lowest,
    monthly_mean,
    monthly_sum,
)


def test_months_lie_where_they_do():
    assert DAYS_IN_MONTH.sum() == 365
    assert MONTH_EDGES.tolist() == [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365]
    assert [MONTH_OF_DAY[day] for day in (0, 30, 31, 58, 59, 364)] == [0, 0, 1, 1, 2, 11]


def test_months_of_a_rising_year():
    number = np.arange(365.0)
    assert monthly_sum(number)[[0, 1, 11]].tolist() == [465, 1246, 10819]
    assert monthly_mean(number)[[0, 1, 11]].tolist() == [15, 44.5, 349]
    assert monthly_lowest(number[::-1])[[0, 11]].tolist() == [334, 0]
    assert monthly_sum(np.stack([number, -number]))[1, 0] == -465


def test_days_and_hours_of_half_hours():
    values = np.arange(50.0)  # a day and an hour
    assert by_day(values, 0.5).shape == (1, 48)
    assert by_day(values, 0.5)[0, -1] == 47
    assert hourly_means(values, 0.5)[:3].tolist() == [0.5, 2.5, 4.5]
    assert hourly_means(by_day(values, 0.5), 0.5).shape == (1, 24)
    assert hourly_means(values, 1.0) is values


def test_the_fullest_week_is_the_earliest_of_equal_ones():
    daily = np.zeros(365)
    daily[[100, 106, 200]] = 1.0, 1.0, 1.9
    assert fullest_week(daily) == 100  # both days of the two, first and last of the week
    daily[200] = 2.1
    assert fullest_week(daily) == 194
    assert fullest_week(np.ones(10)) == 0
