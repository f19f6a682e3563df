"""ESPI XML (NAESB REQ.21): the load comes back, and only from the right flow."""

import meter_samples as samples
import pytest

from offgrid_sizing.loads.meter import clean_meter_file
from offgrid_sizing.sketch import BadInput

# 1 January 2023, 00:00 at five hours behind UTC.
START = 1672549200
WH = [round(w) for w in samples.HOUR_W[:72]]


def readings(values, step=3600, scale=1.0):
    return [
        samples.espi_reading(START + n * step, round(v * scale), step) for n, v in enumerate(values)
    ]


LATE = samples.espi_reading(253402300799, 5)  # the last second of the year 9999


def two_flows():
    return samples.espi(
        samples.espi_local_time(-18000),
        samples.espi_type(1, flow=19),
        samples.espi_type(2, flow=1),
        samples.espi_meter(1, 1),
        samples.espi_meter(2, 2),
        samples.espi_block(1, readings([9999] * 72)),
        samples.espi_block(2, readings(WH[:24])),
        samples.espi_block(
            2, [samples.espi_reading(START + n * 3600, WH[n]) for n in range(24, 72)]
        ),
    )


FILES = {
    "Wh an hour": samples.espi(
        samples.espi_local_time(-18000),
        samples.espi_type(1),
        samples.espi_meter(1, 1),
        samples.espi_block(1, readings(WH)),
    ),
    "thousandths of Wh by power of ten": samples.espi(
        samples.espi_local_time(-18000),
        samples.espi_type(1, multiplier=-3),
        samples.espi_meter(1, 1),
        samples.espi_block(1, readings(WH, scale=1000)),
    ),
    "W": samples.espi(
        samples.espi_local_time(-18000),
        samples.espi_type(1, uom=38),
        samples.espi_meter(1, 1),
        samples.espi_block(1, readings(WH)),
    ),
    "delivered beside received, in two blocks": two_flows(),
    "no reading type": samples.espi(
        samples.espi_local_time(-18000), samples.espi_block(1, readings(WH))
    ),
}


@pytest.mark.parametrize("name", FILES)
def test_each_file_gives_its_load_back(name):
    frame, report = clean_meter_file(FILES[name])
    assert report["format"] == "ESPI XML"
    assert frame.load_w.tolist() == pytest.approx(WH)
    assert frame.time[0] == "2023-01-01T00:00:00-05:00"


def test_a_register_in_xml():
    counted = [1000 + sum(WH[:n]) for n in range(72)]
    content = samples.espi(
        samples.espi_type(1, behaviour=3),
        samples.espi_meter(1, 1),
        samples.espi_block(1, readings(counted)),
    )
    frame, report = clean_meter_file(content, utc_offset_h=-5.0)
    assert report["quantity"] == "register_wh"
    assert frame.load_w.tolist() == pytest.approx(WH[:-1])


def test_the_places_offset_can_be_named():
    frame, _ = clean_meter_file(FILES["Wh an hour"], civil_zone="Europe/Rome")
    assert frame.time[0] == "2023-01-01T06:00:00+01:00"


def test_what_was_assumed_is_said():
    assert "names no reading type" in clean_meter_file(FILES["no reading type"])[1]["sentences"][0]
    assert "2 flows in the file" in clean_meter_file(two_flows())[1]["sentences"][0]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (
            samples.espi(samples.espi_type(1, uom=119), samples.espi_block(1, readings(WH))),
            "unit code 119",
        ),
        (
            samples.espi(samples.espi_type(1, multiplier=99), samples.espi_block(1, readings(WH))),
            "too large",
        ),
        (samples.espi(samples.espi_type(1)), "holds no IntervalReading"),
        (samples.espi("<espi:value>many</espi:value>"), "got 'many'"),
        (samples.espi(f"<espi:value>{10**30}</espi:value>"), "too large to be true"),
        (samples.espi(samples.espi_block(1, [LATE] * 30)), "outside 1990"),
    ],
)
def test_what_is_no_load_is_refused(content, says):
    with pytest.raises(BadInput, match=says) as refused:
        clean_meter_file(content)
    assert len(refused.value.sentences) == 1
