"""Strings: every limit at its very edge, numbers written out by hand."""

from dataclasses import replace

import pytest

from offgrid_sizing.sketch import BadInput, Controller, Module
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
from offgrid_sizing.wiring_code import WIRING_CODES

NFPA = WIRING_CODES["nfpa70"]

MODULE = Module(
    voc_v=50.0, vmp_v=40.0, isc_a=8.0, imp_a=7.5, power_w=300, max_system_v=1000,
    beta_voc_per_k=-0.004, gamma_pmp_per_k=-0.0045, alpha_isc_per_k=0.0005,
)  # fmt: skip
WIDE = {"max_voc_v": 2000, "mppt_min_v": 10, "mppt_max_v": 1900}


def test_open_circuit_in_the_cold():
    # 10 × 50 V × (1 + 0.004 × 50 K) = 600 V at −25 °C; warmer than 25 °C it is less
    assert cold_voc_v(MODULE, 10, -25) == pytest.approx(600)
    assert cold_voc_v(MODULE, 10, 50) == pytest.approx(450)


def test_working_voltage_in_the_heat():
    # per kelvin −0.0045 − 0.0005 = −0.005; at 65 °C 10 × 40 V × (1 − 0.2) = 320 V
    assert hot_vmp_v(MODULE, 10, 65) == pytest.approx(320)
    assert hot_vmp_v(MODULE, 10, 25) == pytest.approx(400)
    # 1 − 0.005 × 250 would be less than nothing
    assert hot_vmp_v(MODULE, 10, 275) == 0.0


@pytest.mark.parametrize(
    ("min_c", "factor"),
    [(25.0, 1.0), (24.99, 1.02), (20.0, 1.02), (19.99, 1.04), (0.0, 1.10), (-40.0, 1.25)],
)
def test_factor_of_the_table_at_the_edges_of_its_bands(min_c, factor):
    assert cold_voc_factor(min_c, NFPA) == factor


def test_voltage_by_the_table():
    # NFPA 70, Table 690.7(A): 1.10 from 0 to 4 °C; 10 × 50 V × 1.10 = 550 V
    assert cold_voc_table_v(MODULE, 10, 2.0, NFPA) == pytest.approx(550)
    assert cold_voc_table_v(MODULE, 10, -40.0, NFPA) == pytest.approx(625)
    assert cold_voc_table_v(MODULE, 10, -40.1, NFPA) is None
    with pytest.raises(BadInput, match=r"690\.7\(A\) ends at -40 °C \(got -40\.1"):
        cold_voc_factor(-40.1, NFPA)


def test_a_code_without_a_table_has_no_factor_not_another_codes():
    bare = replace(NFPA, short="Island", strings=replace(NFPA.strings, cold_table=""))
    assert cold_voc_table_v(MODULE, 10, 25.0, bare) is None
    with pytest.raises(
        BadInput, match=r"^Island has no table of cold-weather voltage: use the module's own"
    ):
        cold_voc_factor(25.0, bare)


@pytest.mark.parametrize(("factor", "strings"), [(1.25, 2), (1.5, 1), (1.0, 2)])
def test_the_brightest_sky_is_the_codes(factor, strings):
    """20 A an input: 8 A × 1.25 = 10 A a string, × 1.5 = 12 A, × 1 = 8 A."""
    code = replace(NFPA, strings=replace(NFPA.strings, bright_sky_factor=factor))
    assert strings_per_input_max(MODULE, Controller(max_input_a=20), code) == strings


@pytest.mark.parametrize(
    ("limits", "faults"),
    [
        # 10 in series: 600 V at −25 °C, 400 V at 25 °C, 310 V at the default 70 °C
        ({}, 0),
        ({"max_voc_v": 600, "mppt_max_v": 590}, 0),
        ({"max_voc_v": 599, "mppt_max_v": 590}, 1),
        ({"mppt_min_v": 310}, 0),
        ({"mppt_min_v": 311}, 1),
        ({"mppt_max_v": 400}, 0),
        ({"mppt_max_v": 399}, 1),
        ({"max_voc_v": 599, "mppt_max_v": 399, "mppt_min_v": 311}, 3),
    ],
)
def test_each_limit_at_its_edge(limits, faults):
    controller = Controller(**{**WIDE, **limits})
    assert len(series_faults(MODULE, controller, 10, -25.0)) == faults


def test_the_modules_own_limit_at_its_edge():
    controller = Controller(**WIDE)
    for limit_v, faults in ((600, 0), (599, 1)):
        module = MODULE.model_copy(update={"max_system_v": limit_v})
        told = series_faults(module, controller, 10, -25.0)
        assert len(told) == faults
        assert all("the module's maximum system voltage is 599 V" in one for one in told)


def test_a_hotter_cell_is_reckoned_with_where_it_is_named():
    # at 85 °C 400 V × 0.7 = 280 V
    controller = Controller(**{**WIDE, "mppt_min_v": 300})
    assert series_faults(MODULE, controller, 10, -25.0) == ()
    (told,) = series_faults(MODULE, controller, 10, -25.0, 85.0)
    assert told == (
        "10 in series give 280 V at the MPP with cells at 85 °C; the controller's MPP "
        "voltage range starts at 300 V."
    )


def test_lengths_that_fit():
    # at −25 °C 60 V each: at most 10 under 600 V; at 70 °C 31 V each: at least 4 over 120 V
    controller = Controller(max_voc_v=600, mppt_min_v=120, mppt_max_v=590)
    assert allowed_series(MODULE, controller, -25.0) == (4, 5, 6, 7, 8, 9, 10)
    # at 85 °C 28 V each: at least 5
    assert allowed_series(MODULE, controller, -25.0, 85.0) == (5, 6, 7, 8, 9, 10)
    assert (
        allowed_series(MODULE, Controller(max_voc_v=600, mppt_min_v=20, mppt_max_v=590), -25.0)[0]
        == 1
    )


def test_no_length_beyond_two_hundred_is_tried():
    tiny = MODULE.model_copy(update={"voc_v": 5.0, "vmp_v": 4.0, "max_system_v": 5000})
    controller = Controller(max_voc_v=2000, mppt_min_v=1, mppt_max_v=1999)
    assert allowed_series(tiny, controller, 25.0) == tuple(range(1, 201))


@pytest.mark.parametrize(
    ("max_input_a", "strings"), [(9.9, 0), (10.0, 1), (19.9, 1), (20.0, 2), (30.0, 3)]
)
def test_strings_of_an_input(max_input_a, strings):
    # NFPA 70, 690.8(A)(1): 1.25 × 8 A = 10 A a string
    assert strings_per_input_max(MODULE, Controller(max_input_a=max_input_a), NFPA) == strings


def test_a_rating_reached_to_the_last_bit_counts():
    # 3 × 1.25 × 9.2 A = 34.5 A; in binary the quotient may come out a hair below 3
    for isc_a in (9.2, 10.7, 11.3, 13.9):
        module = MODULE.model_copy(update={"isc_a": isc_a})
        for strings in (1, 2, 3, 6, 7):
            controller = Controller(max_input_a=round(strings * 1.25 * isc_a, 6))
            assert strings_per_input_max(module, controller, NFPA) == strings


@pytest.mark.parametrize(
    ("strings", "isc_a", "max_fuse_a", "needed"),
    [(1, 10, 5, False), (2, 10, 10, False), (2, 10, 9.9, True), (3, 10, 20, False),
     (4, 10, 20, True), (3, 10, 15, True)],
)  # fmt: skip
def test_when_each_string_needs_its_fuse(strings, isc_a, max_fuse_a, needed):
    # the other strings' current, (N − 1) × Isc, against the module's rating
    assert fuse_required(strings, isc_a, max_fuse_a) is needed
