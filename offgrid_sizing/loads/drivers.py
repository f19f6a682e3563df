"""What the weather does to an appliance's use: one simple, stated rule for each driver.

Every rule returns a factor on the power an appliance draws while it may run:

- cooling: degree-hours. Nothing at `driver_from_c` (20 °C), full use at `driver_full_c` (35 °C),
  linear between.
- heating: the same downwards, from 16 °C to full use at −5 °C.
- refrigeration: the compressor's share of time follows the difference between the room and 5 °C
  inside. `duty_frac` holds for a room of 22 °C. The room is `room_temperature_c`, or the day's
  mean outdoor air where that is warmer.
- irrigation: the day's water follows the day's sun; the stated hours are the season's mean.

References
----------
The degree-hour idea: ASHRAE Handbook, Fundamentals, chapter on energy estimating (from memory).
35 °C outdoors is the moderate-climate rating point of ISO 5151 (from memory). The other end
points are common practice, no source. The refrigerator's rule gives 2.45 between rooms of 16
and 32 °C, the two test rooms of IEC 62552-3 (rooms from memory; the ratio of real appliances is
about 2 to 2.5, common practice, no source). Crop water near-proportional to sunlight: G. F.
Makkink, J. Inst. Water Eng. 11 (1957) 277 (from memory).
"""

import numpy as np

from offgrid_sizing.sketch import Appliance
from offgrid_sizing.weather.series import Weather

INSIDE_C = 5.0
DUTY_ROOM_C = 22.0


def refrigeration_factor(room_c: np.ndarray | float) -> np.ndarray:
    """Compressor share of time in a room, relative to a room of 22 °C."""
    return np.maximum(0.0, (np.asarray(room_c, float) - INSIDE_C) / (DUTY_ROOM_C - INSIDE_C))


def group_of(appliance: Appliance, use: np.ndarray, highest_share: float) -> tuple:
    """What appliances must share for one factor to serve them all."""
    driver = appliance.driver
    if driver in ("cooling", "heating"):
        return (driver, *appliance.driver_points_c)
    if driver == "refrigeration":
        return (driver, 1 / appliance.duty_frac if appliance.duty_frac else np.inf)
    if driver == "irrigation":
        return (driver, 1 / highest_share if highest_share else np.inf, use.tobytes())
    return ("none",)


def factor(group: tuple, weather: Weather, room_c: float) -> np.ndarray | float:
    """Factor on the use of a group of appliances.

    Parameters
    ----------
    group : tuple
        From `group_of`.
    weather : Weather
    room_c : float
        Kitchen air. [°C]

    Returns
    -------
    1.0, or float64 array of shape (years, n)
    """
    years, steps = weather.temp_air.shape
    slots = steps // 365
    if group[0] in ("cooling", "heating"):
        _, none_c, full_c = group
        return np.clip((weather.temp_air - none_c) / (full_c - none_c), 0.0, 1.0)
    if group[0] == "refrigeration":
        outdoor = weather.temp_air.reshape(years, 365, slots).mean(axis=2)
        daily = np.minimum(refrigeration_factor(np.maximum(room_c, outdoor)), group[1])
        return np.repeat(daily, slots, axis=1)
    if group[0] == "irrigation":
        sun = weather.ghi.reshape(years, 365, slots).mean(axis=2)
        used = np.frombuffer(group[2], dtype=bool)
        mean = sun[:, used].mean() if used.any() else 0.0
        daily = np.minimum(sun / mean, group[1]) if mean > 0 else np.ones_like(sun)
        return np.repeat(daily, slots, axis=1)
    return 1.0
