"""Short-circuit heating of conductors, by hand and against the printed values of k."""

from types import SimpleNamespace

import pytest
from systems_kit import systems, varied

from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.heating import Heated, conductor_k, heating_row
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.system import drawn_system


def design(sketch):
    """The electrical design of a sketch."""
    return electrical_design(sketch, drawn_system(sketch), record_low_c=-15)


def heated(found, run):
    """One circuit."""
    return next(one for one in found.inspection.heated if one.run == run)


@pytest.mark.parametrize(
    ("insulation_c", "area_mm2", "printed"),
    [(70, 6, 115), (70, 300, 115), (70, 301, 103), (70, 400, 103), (90, 6, 143), (90, 400, 143)],
)
def test_k_of_copper_is_the_tables(insulation_c, area_mm2, printed):
    """IEC 60364-4-43, Table 43A, copper: PVC up to and above 300 mm², XLPE (from memory)."""
    assert conductor_k(insulation_c, area_mm2) == pytest.approx(printed, abs=0.5)


def test_75_degrees_lies_below_the_table_of_70():
    # 226 × √ln(394.5 / 309.5) = 226 × √0.24266 = 111.3
    assert conductor_k(75, 10) == pytest.approx(111.33, abs=0.01)


def test_a_breaker_that_opens_at_once_protects_a_thick_conductor_and_not_a_thin_one():
    """6 kA on XLPE: 16 mm² bears (143.1 × 16)² = 5.24e6 A²s, 0.146 s; 10 mm² 2.05e6, 0.057 s."""
    thick = heated(design(varied(wiring={"ac_out": {"length_m": 5, "size": "16 mm2"}})), "ac_out")
    assert thick.fault_a == 6000
    assert thick.bears_a2s == pytest.approx(5.24e6, rel=0.002)
    assert thick.bears_s == pytest.approx(0.1456, abs=0.0005)
    assert (thick.within_s, thick.verdict) == (0.1, "holds")
    thin = heated(design(varied(wiring={"ac_out": {"length_m": 5, "size": "10 mm2"}})), "ac_out")
    assert thin.bears_s == pytest.approx(0.0569, abs=0.0003)
    assert (thin.within_s, thin.verdict) == (0.1, "unknown")


def test_a_current_too_small_to_trip_at_once_is_held_against_five_seconds():
    """400 A against 10 × 25 A and more: 10 mm² bears 2.05e6 / 400² = 12.8 s."""
    found = design(
        varied(
            wiring={"ac_out": {"length_m": 5, "size": "10 mm2"}, "prospective_ac_fault_a": 400},
            equipment={"inverter": {"ac_breaker_a": 50}},
        )
    )
    one = heated(found, "ac_out")
    assert one.within_s is None
    assert one.bears_s == pytest.approx(12.8, abs=0.1)
    assert one.verdict == "holds"
    assert "longer than 5 s: met whatever the device" in str(
        found.inspection.row("let_through").said
    )


def test_a_bank_whose_device_nobody_has_named_is_said_to_be_not_known():
    """Two units of 2,800 A: 5.6 kA; whether a fuse or a breaker is taken bounds no time."""
    found = design(varied(wiring={"bank_to_inverter": {"length_m": 1.5, "size": "70 mm2"}}))
    one = heated(found, "bank_to_inverter")
    assert one.fault_a == found.run("bank_to_inverter").need.fault_a
    assert one.bears_a2s == pytest.approx((143.1 * 70) ** 2, rel=0.002)
    assert one.within_s is None
    assert one.bears_s == pytest.approx(one.bears_a2s / one.fault_a**2)
    assert one.verdict == ("holds" if one.bears_s >= 5 else "unknown")


def test_conductors_in_parallel_are_judged_one_by_one():
    """The fault may be fed through one of two alone."""
    one, two = (
        heated(design(varied(wiring={"bank_to_inverter": {"length_m": 1.5, "size": size}})),
               "bank_to_inverter").bears_a2s
        for size in ("70 mm2", "2 x 70 mm2")
    )  # fmt: skip
    assert one == two


@pytest.mark.parametrize("name", sorted(systems()))
def test_no_circuit_is_passed_over_in_silence(name):
    found = design(systems()[name])
    wanted = [run.need.key for run in found.runs if run.need.side != "array" and run.shown.device]
    assert [one.run for one in found.inspection.heated] == wanted
    row = found.inspection.row("let_through")
    verdicts = {one.verdict for one in found.inspection.heated}
    assert row.state == ("not_done" if "unknown" in verdicts else "checked")
    assert row.clauses
    for language in ("en", "es"):
        text = row.said.to(language)
        assert text.count("kA²s") == len(wanted)


@pytest.mark.parametrize(("fault_a", "within_s"), [(500, 0.1), (499, None), (1, None)])
def test_a_breaker_opens_at_once_from_ten_times_its_rating_on(fault_a, within_s):
    """A device of 50 A: exactly 500 A trips it."""
    found = design(
        varied(
            wiring={"prospective_ac_fault_a": fault_a},
            equipment={"inverter": {"ac_breaker_a": 50}},
        )
    )
    assert found.run("ac_out").shown.device.rating_a == 50
    assert heated(found, "ac_out").within_s == within_s


def test_the_sentence_has_kiloamperes():
    """50,000 A are 50 kA: 45.5 or 55.6 by a tenth more or less."""
    found = design(varied(wiring={"prospective_ac_fault_a": 50_000}))
    assert "50 kA" in str(found.inspection.row("let_through").said)


def test_above_75_degrees_insulation_is_thermosetting():
    # 226 × √ln(484.5 / 314.5) = 226 × √0.43213 = 148.57
    assert conductor_k(80, 10) == pytest.approx(148.57, abs=0.01)


@pytest.mark.parametrize(
    ("bears_s", "within_s", "verdict", "says", "state"),
    [
        (0.25, 0.1, "holds", "0.1 s", "checked"),
        (12.0, None, "holds", "longer than 5 s: met whatever", "checked"),
        (0.03, 0.1, "unknown", "let-through", "not_done"),
        (0.03, None, "unknown", "let-through", "not_done"),
    ],
)
def test_each_verdict_has_its_words_and_its_state(bears_s, within_s, verdict, says, state):
    one = Heated("ac_out", 2000.0, bears_s * 2000.0**2, bears_s, within_s, verdict)
    row = heating_row(SimpleNamespace(code=code_of("iec60364")), (one,))
    assert row.state == state
    assert says in str(row.said)
    assert ("met whatever" in str(row.said)) == (verdict == "holds" and within_s is None)
    assert "2 kA" in str(row.said)
