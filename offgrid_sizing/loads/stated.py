"""What somebody states about an appliance stands; the catalogue fills only what is left out."""

from collections.abc import Mapping
from typing import Any

from offgrid_sizing.loads.catalogue import Kind, all_kinds, appliance_from
from offgrid_sizing.loads.hours import parse_windows, window_hours
from offgrid_sizing.sketch import Appliance

# What tells a motor from a lamp; watts and hours say nothing of it.
CHARACTER = ("duty_frac", "starting_multiple", "power_factor")
_CUTS_HOURS = ("cooling", "heating", "irrigation")
EVERY_DAY: dict[str, Any] = {"days": (True,) * 7, "months": tuple(range(1, 13))}


def appliance_as_stated(kind: Kind, stated: Mapping[str, Any]) -> Appliance:
    """An appliance of this kind with the stated fields.

    Hours that are stated hold on every day of the year: the weather, weekdays and months of the
    catalogue's habit would cut them. A number of hours alone is laid into the catalogue's windows
    where they have room for it.

    Raises
    ------
    pydantic.ValidationError
        When a stated value is impossible.
    """
    values = dict(stated)
    if "windows" in values:
        values = hours_hold(kind.driver) | values
        hours = values.get("run_time_h")
        usual, _ = parse_windows(kind.hours)
        if not values["windows"] and hours is not None and usual:
            values["windows"] = usual if hours <= window_hours(usual) else ()
    return appliance_from(kind.kind, **({"name": kind.name} | values))


def hours_hold(driver: str) -> dict[str, Any]:
    """Fields that keep stated hours whole, beside a driver of the weather.

    A refrigerator's compressor goes on following its room: hours say when it has power.
    """
    return EVERY_DAY | ({"driver": "none"} if driver in _CUTS_HOURS else {})


def hours_typed(appliance: Appliance) -> dict[str, Any]:
    """Fields to change beside hours that were typed: what still is the catalogue's habit goes."""
    row = _row_of(appliance)
    if row is None:
        return {}
    habit = appliance_from(row.kind)
    holding = hours_hold(row.driver)
    return {
        name: value
        for name, value in holding.items()
        if getattr(appliance, name) == getattr(habit, name) != value
    }


def habit_of(appliance: Appliance) -> Appliance | None:
    """The appliance with the catalogue's weather, weekdays and months; None: nothing differs.

    Hours stay as they are: what differs is on how many of them it runs.
    """
    row = _row_of(appliance)
    if row is None:
        return None
    habit = appliance_from(row.kind)
    names = ("days", "months", *(("driver",) if row.driver in _CUTS_HOURS else ()))
    changes = {name: getattr(habit, name) for name in names}
    with_habit = appliance.model_copy(update=changes)
    return None if with_habit == appliance else with_habit


def every_day(appliance: Appliance) -> Appliance | None:
    """The appliance with its hours on every day in any weather; None when they are so already."""
    with_hours = appliance.model_copy(update=hours_hold(appliance.driver))
    return None if with_hours == appliance else with_hours


def _row_of(appliance: Appliance) -> Kind | None:
    return next((row for row in all_kinds() if row.kind == appliance.kind), None)


def hours_alone_kwh(appliance: Appliance) -> float:
    """Energy of a day on which its hours hold, its standby beside them. [kWh]"""
    if appliance.hours is not None:
        on_h = float(sum(appliance.hours))
    elif appliance.run_time_h is not None:
        on_h = float(appliance.run_time_h)
    else:
        on_h = window_hours(appliance.windows) if appliance.windows else 24.0
    running_w = appliance.running_w * appliance.duty_frac
    return appliance.count * (running_w * on_h + appliance.standby_w * (24 - on_h)) / 1000
