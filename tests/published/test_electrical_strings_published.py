"""String rules against published tables and worked examples, each with its source."""

from offgrid_sizing.rule_tables import rule_table
from offgrid_sizing.sketch import Controller, Module
from offgrid_sizing.string_rules import (
    allowed_series,
    cold_voc_factor,
    cold_voc_table_v,
    cold_voc_v,
    fuse_required,
)
from offgrid_sizing.wiring_code import WIRING_CODES

NFPA = WIRING_CODES["nfpa70"]


def _module(voc_v, **more):
    """A module of which only the open-circuit voltage matters."""
    vmp_v = 0.8 * voc_v
    return Module(voc_v=voc_v, vmp_v=vmp_v, imp_a=5, isc_a=5.4, power_w=5 * vmp_v, **more)


def test_table_690_7a_by_band(validated):
    # NFPA 70 (NEC) Table 690.7(A), transcriptions (read)
    lower_c = [20, 15, 10, 5, 0, -5, -10, -15, -20, -25, -30, -35, -40]
    factors = [1.02, 1.04, 1.06, 1.08, 1.1, 1.12, 1.14, 1.16, 1.18, 1.2, 1.21, 1.23, 1.25]
    got = [cold_voc_factor(t, NFPA) for t in lower_c]
    source = "NFPA 70, Table 690.7(A), transcriptions (read)"
    validated("Cold open-circuit factor by band, 20 to −40 °C", source, got, factors)
    upper_c = rule_table("nfpa70_690_7a").numbers("upper_c")
    assert [cold_voc_factor(t, NFPA) for t in upper_c] == factors


def test_course_example_with_coefficient_in_volts(validated):
    # Worked off-grid course example (12 V LFP cabin, −20 °C) (read): 2 × 47.8 V, −0.065 V/K
    module = _module(47.8, beta_voc_per_k=-0.065 / 47.8)
    source = "worked off-grid course example, 12 V cabin (read)"
    got = cold_voc_v(module, 2, -20)
    validated("Two in series at −20 °C, by coefficient", source, got, 101.45, "V", abs=0.01)
    # the same example's array design current: 2 strings × 5.4 A × 1.25
    got = 2 * module.isc_a * NFPA.strings.bright_sky_factor
    validated("Its array design current, two strings", source, got, 13.5, "A", abs=0.01)


def test_course_example_by_table(validated):
    # the same example, factor 1.18 of Table 690.7(A) (read)
    got = cold_voc_table_v(_module(47.8), 2, -20, NFPA)
    source = "worked off-grid course example, 12 V cabin (read)"
    validated("Two in series at −20 °C, by table", source, got, 112.8, "V", abs=0.05)


def test_six_hundred_volt_example_by_coefficient(validated):
    # NEC 690.7 course example (read): 49.5 V, −0.27 %/K, −10 °C, 600 V inverter
    module = _module(49.5, beta_voc_per_k=-0.0027)
    controller = Controller(max_voc_v=600, mppt_max_v=590, mppt_min_v=60)
    source = "NEC 690.7 course example (read)"
    got = [cold_voc_v(module, 1, -10), cold_voc_v(module, 11, -10)]
    what = "One and eleven in series at −10 °C, by coefficient"
    validated(what, source, got, [54.18, 596], "V", abs=0.06)
    longest = max(allowed_series(module, controller, -10))
    validated("Most in series under 600 V, by coefficient", source, longest, 11, "modules")


def test_six_hundred_volt_example_by_table(validated):
    # NEC 690.7 course example (read): factor 1.14 allows ten in series under 600 V
    module = _module(49.5)
    source = "NEC 690.7 course example (read)"
    one_v = cold_voc_table_v(module, 1, -10, NFPA)
    validated("One module at −10 °C, by table", source, one_v, 56.43, "V", abs=0.01)
    fitting = [n for n in range(1, 20) if cold_voc_table_v(module, n, -10, NFPA) <= 600]
    validated("Most in series under 600 V, by table", source, max(fitting), 10, "modules")


def test_string_fuse_rule():
    # IEC 62548 / IEC TS 62257-7-1 as quoted; rule read, numbers from memory (ours)
    assert [fuse_required(n, 10, 20) for n in (2, 3, 4)] == [False, False, True]
