"""Strings a hair beside their limits, and limits that stand apart from one another."""

import pytest
from test_string_written import MODULE, NFPA, WIDE

from offgrid_sizing.sketch import Controller
from offgrid_sizing.string_rules import (
    allowed_series,
    cold_voc_factor,
    cold_voc_table_v,
    cold_voc_v,
    fuse_required,
    hot_vmp_v,
    series_faults,
    strings_per_input_max,
)


def test_the_cold_raises_the_voltage_and_the_heat_lowers_it():
    """50 V at 25 °C: 0.2 V less for each kelvin more; 40 V working, 0.2 V a kelvin too."""
    assert [cold_voc_v(MODULE, 1, c) for c in (-40, 0, 25, 70)] == pytest.approx([63, 55, 50, 41])
    assert [hot_vmp_v(MODULE, 1, c) for c in (-10, 25, 70, 85)] == pytest.approx([47, 40, 31, 28])
    assert cold_voc_v(MODULE, 0, -40) == 0
    assert cold_voc_v(MODULE, 3, -40) == pytest.approx(189)


def test_cells_are_taken_at_seventy_degrees_where_none_is_named():
    """31 V each at 70 °C: six reach 160 V, five (155 V) do not; at 63 °C five would have 162."""
    controller = Controller(**{**WIDE, "mppt_min_v": 160})
    assert allowed_series(MODULE, controller, 25.0)[0] == 6
    assert allowed_series(MODULE, controller, 25.0, 63.0)[0] == 5
    assert len(series_faults(MODULE, controller, 5, 25.0)) == 1
    assert series_faults(MODULE, controller, 5, 25.0, 63.0) == ()


def test_the_lowest_limit_rules():
    """At −25 °C 60 V each: 9 under the module's 550 V, 8 under the controller's 500; 40 V each at
    work: 7 below a window to 310 V; and a window from 350 V leaves none."""
    module = MODULE.model_copy(update={"max_system_v": 550})
    assert allowed_series(module, Controller(**WIDE), -25.0)[-1] == 9
    narrow = {"max_voc_v": 500, "mppt_min_v": 10, "mppt_max_v": 490}
    assert allowed_series(module, Controller(**narrow), -25.0)[-1] == 8
    assert allowed_series(module, Controller(**narrow | {"mppt_max_v": 310}), -25.0)[-1] == 7
    none = Controller(**narrow | {"mppt_min_v": 300, "mppt_max_v": 310})
    assert allowed_series(module, none, -25.0) == ()


def test_almost_three_strings_are_two():
    # 8 A × 1.25: 10 A each
    assert strings_per_input_max(MODULE, Controller(max_input_a=29.995), NFPA) == 2
    assert strings_per_input_max(MODULE, Controller(max_input_a=39.0), NFPA) == 3


@pytest.mark.parametrize(
    ("strings", "isc_a", "max_fuse_a", "factor", "needed"),
    [
        (3, 10, 20, 1.25, True),  # 25 A
        (3, 10, 25, 1.25, False),
        (2, 10, 12, 1.25, True),  # 12.5 A
        (3, 10.005, 20, 1.0, True),  # 20.01 A
        (3, 9.995, 20, 1.0, False),
        (2, 30, 20, 1.0, True),
        (1, 30, 20, 1.25, False),  # nothing feeds back into a single string
        (0, 30, 20, 1.25, False),
    ],
)
def test_the_current_that_feeds_back(strings, isc_a, max_fuse_a, factor, needed):
    assert fuse_required(strings, isc_a, max_fuse_a, factor) is needed


@pytest.mark.parametrize(
    ("min_c", "factor"),
    # NFPA 70, Table 690.7(A)
    [(40, 1.0), (25, 1.0), (24, 1.02), (15, 1.04), (14, 1.06), (9, 1.08), (4, 1.10), (-1, 1.12),
     (-6, 1.14), (-11, 1.16), (-16, 1.18), (-21, 1.20), (-26, 1.21), (-31, 1.23), (-36, 1.25)],
)  # fmt: skip
def test_every_band_of_the_table(min_c, factor):
    assert cold_voc_factor(min_c, NFPA) == factor
    assert cold_voc_table_v(MODULE, 4, min_c, NFPA) == pytest.approx(200 * factor)


def test_each_fault_tells_its_own_numbers():
    """10 in series: 600 V at −25 °C, 400 V at work, 310 V at 70 °C; limits of 590, 550, 320 to
    390 V."""
    module = MODULE.model_copy(update={"max_system_v": 550})
    controller = Controller(max_voc_v=590, mppt_min_v=320, mppt_max_v=390)
    told = [dict(one.origin.values) for one in series_faults(module, controller, 10, -25.0)]
    assert told == [
        {"series": 10, "cold_v": pytest.approx(600), "low_c": -25.0, "bears_v": 590},
        {"series": 10, "cold_v": pytest.approx(600), "low_c": -25.0, "bears_v": 550},
        {"series": 10, "hot_v": pytest.approx(310), "hot_c": 70.0, "from_v": 320},
        {"series": 10, "working_v": pytest.approx(400), "to_v": 390},
    ]
