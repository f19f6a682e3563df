"""Invented meter files in the shapes meters and portals write."""

import numpy as np
import pandas as pd

QUARTER = pd.Timedelta(minutes=15)
DAY = pd.Timedelta(days=1)
RANDOM = np.random.default_rng(3)


def household_w(times):
    """An invented household: mornings, evenings and noise. [W]"""
    hour = times.hour + times.minute / 60
    mean = (
        300 + 400 * np.exp(-(((hour - 7.5) / 1.5) ** 2)) + 900 * np.exp(-(((hour - 19) / 2) ** 2))
    )
    return np.round(np.asarray(mean) * RANDOM.uniform(0.8, 1.2, len(times)))


HOURS = pd.date_range("2023-01-01", periods=24 * 60, freq="1h")
QUARTERS = pd.date_range("2023-01-01", periods=96 * 40, freq="15min")
HOUR_W = household_w(HOURS)
QUARTER_W = household_w(QUARTERS)


def comma(value):
    """A number with a decimal comma."""
    return f"{value:.9g}".replace(".", ",")


def lines(head, rows):
    """A text table."""
    return (head + "".join(f"{row}\n" for row in rows)).encode()


def hourly(row):
    return [row(t, w) for t, w in zip(HOURS, HOUR_W, strict=True)]


def quarterly(row):
    return [row(t, w) for t, w in zip(QUARTERS, QUARTER_W, strict=True)]


def register_rows():
    counted = 1234.5 + np.concatenate([[0], np.cumsum(HOUR_W / 1000)[:-1]])
    return [
        f"{t:%d.%m.%Y %H:%M};{comma(round(c, 4) + 0.0)}"
        for t, c in zip(HOURS, counted, strict=True)
    ]


def wide_rows():
    return [
        f"{day:%d/%m/%Y},"
        + ",".join(f"{w / 2000:.4f}" for w in HOUR_W[n * 24 : n * 24 + 24].repeat(2))
        for n, day in enumerate(HOURS[::24])
    ]


def shapes():
    """Name, bytes, power at the file's own step, that step [h], quantity."""
    h, q = (HOUR_W, 1.0), (QUARTER_W, 0.25)
    half = ",".join(f"{n // 2:02d}:{n % 2 * 30:02d}" for n in range(48))
    return {
        "ISO time, comma, W": (
            lines("time,load_w\n", hourly(lambda t, w: f"{t:%Y-%m-%d %H:%M},{w}")),
            *h,
            "power_w",
        ),
        "ISO time with offset, kWh": (
            lines(
                "timestamp,consumption (kWh)\n",
                hourly(lambda t, w: f"{t:%Y-%m-%dT%H:%M:%S+01:00},{w / 1000}"),
            ),
            *h,
            "energy_kwh",
        ),
        "preamble, semicolon, decimal comma, Latin-1, date and time apart": (
            lines(
                "Zähler;123\nKunde;Müller\n\nDatum;Zeit;Verbrauch (kWh)\n",
                quarterly(lambda t, w: f"{t:%d.%m.%Y};{t:%H:%M};{comma(w / 4000)}"),
            )
            .decode()
            .encode("latin-1"),
            *q,
            "energy_kwh",
        ),
        "month first, am and pm, cost column": (
            lines(
                "Account,1\nDate,Start Time,Usage (kWh),Cost\n",
                quarterly(lambda t, w: f"{t:%m/%d/%Y},{t:%I:%M %p},{w / 4000},$0.1"),
            ),
            *q,
            "energy_kwh",
        ),
        "UTF-16 with BOM, tab, kW": (
            lines(
                "Time\tPower [kW]\n", quarterly(lambda t, w: f"{t:%Y/%m/%d %H:%M:%S}\t{w / 1000}")
            )
            .decode()
            .encode("utf-16"),
            *q,
            "power_kw",
        ),
        "UTF-16 without BOM": (
            lines("time,W\n", hourly(lambda t, w: f"{t:%Y-%m-%d %H:%M},{w}"))
            .decode()
            .encode("utf-16-le"),
            *h,
            "power_w",
        ),
        "UTF-8 with BOM": (
            b"\xef\xbb\xbf"
            + lines("Zeit;Leistung W\n", hourly(lambda t, w: f"{t:%d.%m.%Y %H:%M};{w:.0f}")),
            *h,
            "power_w",
        ),
        "register that counts up": (
            lines("zeit;Zählerstand kWh\n", register_rows()),
            HOUR_W[:-1],
            1.0,
            "register_kwh",
        ),
        "Unix seconds, Wh": (
            lines("ts,energy_wh\n", hourly(lambda t, w: f"{int(t.timestamp())},{w}")),
            *h,
            "energy_wh",
        ),
        "Unix milliseconds, no unit": (
            lines("ts,power\n", hourly(lambda t, w: f"{int(t.timestamp() * 1000)},{w}")),
            *h,
            "power_w",
        ),
        "spreadsheet days, decimal comma": (
            lines(
                "Date;Value kWh\n",
                hourly(lambda t, w: f"{comma(44927 + (t - HOURS[0]) / DAY)};{comma(w / 1000)}"),
            ),
            *h,
            "energy_kwh",
        ),
        "a day a row, 48 half-hours": (
            lines(f"Date,{half}\n", wide_rows()),
            HOUR_W.repeat(2),
            0.5,
            "energy_kwh",
        ),
        "hour numbers 1 to 24": (
            lines("Date,Hour,kWh\n", hourly(lambda t, w: f"{t:%Y-%m-%d},{t.hour + 1},{w / 1000}")),
            *h,
            "energy_kwh",
        ),
        "newest first, month names, export beside": (
            lines(
                "Read date and time,Import kWh,Export kWh\n",
                hourly(lambda t, w: f"{t:%d-%b-%Y %H:%M},{w / 1000},0.0")[::-1],
            ),
            *h,
            "energy_kwh",
        ),
        "no header, spaces": (
            lines("", hourly(lambda t, w: f"{t:%Y-%m-%d %H:%M} {w:.0f}")),
            *h,
            "power_w",
        ),
        "from and to, comma": (
            lines(
                "from,to,kWh\n",
                quarterly(
                    lambda t, w: f"{t:%d.%m.%Y %H:%M},{t + QUARTER:%d.%m.%Y %H:%M},{w / 4000}"
                ),
            ),
            *q,
            "energy_kwh",
        ),
        "stamps at the end of the interval": (
            lines(
                "Interval end;kWh\n",
                hourly(
                    lambda t, w: f"{t + pd.Timedelta(hours=1):%d.%m.%Y %H:%M};{comma(w / 1000)}"
                ),
            ),
            *h,
            "energy_kwh",
        ),
        "24:00 instead of midnight": (
            lines(
                "Zeit;kWh\n",
                hourly(lambda t, w: f"{t:%d.%m.%Y} {t.hour + 1:02d}:00;{comma(w / 1000)}"),
            ),
            *h,
            "energy_kwh",
        ),
        "quoted thousands": (
            lines(
                'time,"power (W)"\n', hourly(lambda t, w: f'{t:%Y-%m-%d %H:%M},"{w + 1000:,.0f}"')
            ),
            HOUR_W + 1000,
            1.0,
            "power_w",
        ),
        "apostrophe thousands, two-digit year": (
            lines(
                "Zeit;Leistung W\n",
                hourly(lambda t, w: f"{t:%d.%m.%y %H:%M};" + f"{w + 1000:,.1f}".replace(",", "'")),
            ),
            HOUR_W + 1000,
            1.0,
            "power_w",
        ),
        "a second header line of units": (
            lines("Time,House\n,kWh\n", hourly(lambda t, w: f"{t:%Y-%m-%dT%H:%M:%SZ},{w / 1000}")),
            *h,
            "energy_kwh",
        ),
        "compact stamps, bars": (
            lines("ts|kwh\n", hourly(lambda t, w: f"{t:%Y%m%d%H%M}|{w / 1000}")),
            *h,
            "energy_kwh",
        ),
        "unit in each cell": (
            lines("when,reading\n", hourly(lambda t, w: f"{t:%Y-%m-%d %H:%M},{w / 1000} kWh")),
            *h,
            "energy_kwh",
        ),
    }


ATOM = 'xmlns="http://www.w3.org/2005/Atom" xmlns:espi="http://naesb.org/espi"'


def espi_reading(start, value, duration=3600):
    """One interval reading."""
    return (
        f"<espi:IntervalReading><espi:timePeriod><espi:duration>{duration}</espi:duration>"
        f"<espi:start>{int(start)}</espi:start></espi:timePeriod>"
        f"<espi:value>{int(value)}</espi:value></espi:IntervalReading>"
    )


def espi_type(number, uom=72, multiplier=0, flow=1, behaviour=4):
    """One reading type."""
    return (
        f'<entry><link rel="self" href="/ReadingType/{number}"/><content><espi:ReadingType>'
        f"<espi:accumulationBehaviour>{behaviour}</espi:accumulationBehaviour>"
        f"<espi:flowDirection>{flow}</espi:flowDirection>"
        f"<espi:powerOfTenMultiplier>{multiplier}</espi:powerOfTenMultiplier>"
        f"<espi:uom>{uom}</espi:uom></espi:ReadingType></content></entry>"
    )


def espi_meter(number, type_number):
    """A meter reading that names its reading type."""
    return (
        f'<entry><link rel="self" href="/MeterReading/{number}"/>'
        f'<link rel="related" href="/MeterReading/{number}/IntervalBlock"/>'
        f'<link rel="related" href="/ReadingType/{type_number}"/>'
        "<content><espi:MeterReading/></content></entry>"
    )


def espi_block(number, readings):
    """A block of readings of one meter reading."""
    return (
        f'<entry><link rel="up" href="/MeterReading/{number}/IntervalBlock"/><content>'
        "<espi:IntervalBlock><espi:interval><espi:duration>999</espi:duration>"
        f"<espi:start>0</espi:start></espi:interval>{''.join(readings)}</espi:IntervalBlock>"
        "</content></entry>"
    )


def espi_local_time(offset_s):
    """The place's standard time."""
    return (
        "<entry><content><espi:LocalTimeParameters>"
        f"<espi:tzOffset>{offset_s}</espi:tzOffset></espi:LocalTimeParameters></content></entry>"
    )


def espi(*entries):
    """A feed of entries."""
    return f'<?xml version="1.0" encoding="UTF-8"?><feed {ATOM}>{"".join(entries)}</feed>'.encode()
