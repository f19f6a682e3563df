"""Whether the clock a home was given can be its place's own."""

from dataclasses import replace
from datetime import timedelta

from offgrid_sizing.places import standard_offset_h
from offgrid_sizing.sketch import Site
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.words import sentence

SAME_CLOCK_H = 1 / 60
# Common practice, no source: the widest gap of a country in use is about 3.2 h (one clock over
# all of China, at its western border).
MOST_FROM_THE_SUN_H = 3.5


def _kept_by_zone_h(civil_zone: str | None) -> float | None:
    """Standard time of a zone; None without one, or with a name that the loads refuse anyway."""
    try:
        return standard_offset_h(civil_zone) if civil_zone else None
    except (KeyError, ValueError, OSError):  # no such zone, no name of a zone, a folder's name
        return None


def clock_doubt(site: Site) -> str | None:
    """Why the offset of a site cannot be right: its zone or its longitude says otherwise.

    A wrong clock moves the sun against the home's habits, and with them every unserved hour.

    Returns
    -------
    sentence or None
        None where the offset is the zone's standard time or, without a zone, lies within
        `MOST_FROM_THE_SUN_H` of the longitude.
    """
    given_h = site.offset_h
    kept_h = _kept_by_zone_h(site.civil_zone)
    if kept_h is not None:
        if abs(given_h - kept_h) <= SAME_CLOCK_H:
            return None
        return sentence("weather.clock.zone", given=given_h, zone=site.civil_zone, kept=kept_h)
    sun_h = site.longitude_deg / 15
    apart_h = abs((given_h - sun_h + 12) % 24 - 12)
    if apart_h <= MOST_FROM_THE_SUN_H:
        return None
    return sentence("weather.clock.sun", given=given_h, sun=sun_h, apart=apart_h)


def with_clock_doubts(weather: Weather, site: Site) -> Weather:
    """The weather with what is odd about the clock among its caveats, the first of them.

    A recorded year on a clock of its own is said too: habits are laid on that clock.
    """
    doubts = [clock_doubt(site)]
    away = weather.time[0].utcoffset() - timedelta(hours=site.offset_h)
    if abs(away) > timedelta(hours=SAME_CLOCK_H):
        kept_h = weather.time[0].utcoffset() / timedelta(hours=1)
        doubts.append(sentence("weather.clock.record", kept=kept_h, given=site.offset_h))
    told = tuple(doubt for doubt in doubts if doubt is not None)
    return replace(weather, caveats=(*told, *weather.caveats)) if told else weather
