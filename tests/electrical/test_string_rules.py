"""Strings: voltages in cold and heat, allowed lengths, inputs, fuses."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

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


def test_at_25_c_the_nameplate_holds():
    module = Module()
    assert cold_voc_v(module, 3, 25) == pytest.approx(3 * module.voc_v)
    assert hot_vmp_v(module, 3, 25) == pytest.approx(3 * module.vmp_v)
    assert cold_voc_table_v(module, 3, 25, NFPA) == pytest.approx(3 * module.voc_v)


def test_hot_voltage_follows_power_over_current():
    # P = V I: at cell temperature T the product of Vmp and Imp must give the power, to first
    # order in the coefficients.
    module = Module()
    rise = 1.0
    power = module.vmp_v * module.imp_a * (1 + module.gamma_pmp_per_k * rise)
    current = module.imp_a * (1 + module.alpha_isc_per_k * rise)
    assert hot_vmp_v(module, 1, 26) == pytest.approx(power / current, rel=1e-5)


@pytest.mark.parametrize(
    ("min_c", "factor"), [(24.9, 1.02), (4.5, 1.10), (-0.5, 1.12), (-40, 1.25), (30, 1.0)]
)
def test_a_temperature_between_bands_takes_the_colder_one(min_c, factor):
    assert cold_voc_factor(min_c, NFPA) == factor


def test_below_the_table_says_what_to_do():
    with pytest.raises(BadInput, match=r"ends at -40 °C \(got -41 °C\): use the module's own"):
        cold_voc_factor(-41, NFPA)


@settings(max_examples=60, deadline=None)
@given(
    voc_v=st.floats(20, 120),
    vmp_share=st.floats(0.7, 0.9),
    max_voc_v=st.floats(60, 1500),
    low_c=st.floats(-40, 20),
    hot_c=st.floats(40, 85),
    max_system_v=st.sampled_from([600, 1000, 1500]),
)
def test_allowed_lengths_break_no_limit_and_refused_ones_do(
    voc_v, vmp_share, max_voc_v, low_c, hot_c, max_system_v
):
    vmp_v = voc_v * vmp_share
    module = Module(
        voc_v=voc_v,
        vmp_v=vmp_v,
        imp_a=10,
        isc_a=10.5,
        power_w=vmp_v * 10,
        max_system_v=max_system_v,
    )
    controller = Controller(max_voc_v=max_voc_v, mppt_min_v=50, mppt_max_v=max_voc_v * 0.95)
    allowed = allowed_series(module, controller, low_c, hot_c)
    for count in range(1, 60):
        # the limits once more, written out from the definitions
        cold_v = count * voc_v * (1 - 0.0027 * (low_c - 25))
        hot_v = count * vmp_v * (1 - 0.0040 * (hot_c - 25))
        breaks = (
            cold_v > max_voc_v,
            cold_v > max_system_v,
            hot_v < controller.mppt_min_v,
            count * vmp_v > controller.mppt_max_v,
        )
        assert (count in allowed) == (not any(breaks))
        faults = series_faults(module, controller, count, low_c, hot_c)
        assert len(faults) == sum(breaks)


def test_no_length_fits_an_impossible_window():
    controller = Controller(max_voc_v=30, mppt_min_v=10, mppt_max_v=29)
    assert allowed_series(Module(), controller, -10) == ()


def test_strings_per_input_counts_bright_sky():
    # 1.25 × 11.5 A = 14.375 A a string
    assert strings_per_input_max(Module(), Controller(max_input_a=22), NFPA) == 1
    assert strings_per_input_max(Module(), Controller(max_input_a=28.75), NFPA) == 2
    assert strings_per_input_max(Module(), Controller(max_input_a=14.3), NFPA) == 0


@given(n=st.integers(1, 20), isc_a=st.floats(1, 20), fuse_a=st.floats(1, 60))
def test_one_string_needs_no_fuse_and_more_strings_never_lift_the_need(n, isc_a, fuse_a):
    assert not fuse_required(1, isc_a, fuse_a)
    if fuse_required(n, isc_a, fuse_a):
        assert fuse_required(n + 1, isc_a, fuse_a)
