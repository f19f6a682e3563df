"""Choosing a conductor: it always protects and carries, overrides say what they break."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.electrical.ampacity import ambient_factor, grouping_factor
from offgrid_sizing.electrical.conductors import size_run
from offgrid_sizing.electrical.protection import coordinated
from offgrid_sizing.electrical.run_need import RunNeed
from offgrid_sizing.electrical.sizes import nearest_below, parse_size, sizes_of
from offgrid_sizing.sketch import BadInput, Run
from offgrid_sizing.wiring_code import WIRING_CODES

NEED = RunNeed(
    key="bank_to_inverter",
    title="Bank to inverter-charger",
    field="wiring.bank_to_inverter",
    side="bank",
    current_a=121.0,
    why="worked by hand",
    drop_current_a=121.0,
    drop_base_v=51.2,
    highest_v=56.0,
    fault_a=5600.0,
    run=Run(length_m=1.5, method="free_air", max_drop_frac=0.01),
    ambient_c=30.0,
    box_c=30.0,
    insulation_c=90.0,
    terminal_c=75.0,
    device_kind="fuse",
)

needs = st.builds(
    lambda current_a, method, together, length_m, drop, ambient_c, insulation, terminal, fused: (
        replace(
            NEED,
            current_a=current_a,
            drop_current_a=current_a,
            ambient_c=ambient_c,
            insulation_c=insulation,
            terminal_c=terminal,
            device_kind="fuse" if fused else "",
            run=Run(
                length_m=length_m,
                method=method,
                loaded_together=together,
                max_drop_frac=drop,
            ),
        )
    ),
    current_a=st.floats(1, 300),
    method=st.sampled_from(["free_air", "B1", "B2", "C", "D1", "E"]),
    together=st.integers(1, 3),
    length_m=st.floats(0.2, 15),
    drop=st.floats(0.02, 0.2),
    ambient_c=st.floats(-10, 45),
    insulation=st.sampled_from([70, 75, 90]),
    terminal=st.sampled_from([60, 75, 90]),
    fused=st.booleans(),
)


@settings(max_examples=80, deadline=None)
@given(need=needs, book=st.sampled_from(list(WIRING_CODES)))
def test_corrected_ampacity_covers_device_covers_design_current(need, book):
    choice = size_run(need, book)
    carried = choice.device.rating_a if choice.device else choice.design_a
    assert choice.faults == ()
    assert choice.judged.corrected_a >= carried * (1 - 1e-9)
    assert choice.judged.terminal_a >= carried * (1 - 1e-9)
    assert carried >= choice.design_a * (1 - 1e-9)
    assert choice.judged.drop_frac <= need.run.max_drop_frac * (1 + 1e-9)
    if choice.device and book == "iec60364":
        assert coordinated(choice.design_a, choice.device.rating_a, choice.judged.corrected_a)


@settings(max_examples=80, deadline=None)
@given(need=needs, book=st.sampled_from(list(WIRING_CODES)), more=st.floats(1.0, 2.0))
def test_larger_current_never_gives_a_smaller_conductor(need, book, more):
    larger = replace(need, current_a=need.current_a * more, drop_current_a=need.current_a * more)
    small, large = size_run(need, book).judged, size_run(larger, book).judged
    assert (large.parallel, large.size.area_mm2) >= (small.parallel, small.size.area_mm2)


@settings(max_examples=60, deadline=None)
@given(need=needs, book=st.sampled_from(list(WIRING_CODES)))
def test_the_next_smaller_size_breaks_something(need, book):
    choice = size_run(need, book)
    sizes = sizes_of(book)
    place = sizes.index(choice.judged.size)
    if place == 0 or choice.judged.parallel > 1:
        return
    smaller = sizes[place - 1].label.replace("²", "2")
    own = replace(need, run=need.run.model_copy(update={"size": smaller}))
    broken = size_run(own, book)
    assert broken.by_user
    assert broken.faults
    assert broken.rule_label == choice.label


def test_governing_criterion_by_hand():
    # 5,000 W / 0.92 / 44.8 V = 121 A; NFPA 70: 151 A with the continuous factor, device 175 A,
    # terminals at 75 °C by Table 310.16: 2/0 AWG (175 A) is the first that bears it
    nfpa = size_run(NEED, "nfpa70")
    assert nfpa.design_a == pytest.approx(151.25)
    assert nfpa.device.rating_a == 175
    assert nfpa.label == "2/0 AWG"
    assert nfpa.governs == "terminal"
    # boxes marked for free air: Table 310.17 at 75 °C, 1 AWG bears 195 A
    marked = size_run(replace(NEED, terminals_free_air=True), "nfpa70")
    assert marked.label == "1 AWG"
    assert marked.governs == "device"


@pytest.mark.parametrize(
    ("change", "governs", "book"),
    [
        ({"run": Run(length_m=30, method="free_air", max_drop_frac=0.01)}, "drop", "nfpa70"),
        ({"run": Run(length_m=1), "ambient_c": 60, "device_kind": ""}, "ampacity", "nfpa70"),
        ({"terminal_c": 60, "device_kind": ""}, "terminal", "nfpa70"),
        ({"current_a": 101.0, "terminal_c": 90}, "device", "iec60364"),
    ],
)
def test_each_criterion_can_govern(change, governs, book):
    assert size_run(replace(NEED, **change), book).governs == governs


def test_company_and_air_count_on_the_way_by_hand():
    # three circuits together in conduit at 40 °C, XLPE, 10 mm² B1 = 75 A: × 0.91 × 0.70
    run = Run(length_m=5, method="B1", loaded_together=3, size="10 mm2", max_drop_frac=0.1)
    need = replace(NEED, run=run, ambient_c=40.0, device_kind="", terminal_c=90)
    judged = size_run(replace(need, current_a=40, drop_current_a=40), "iec60364").judged
    assert judged.corrected_a == pytest.approx(75 * 0.91 * 0.70)
    # NFPA 70: six conductors, 8 AWG 90 °C = 55 A: × 0.91 × 0.80; 10 mm² is judged as 8 AWG
    judged = size_run(replace(need, current_a=20, drop_current_a=20), "nfpa70").judged
    assert judged.size.label == "8 AWG"
    assert judged.corrected_a == pytest.approx(55 * 0.91 * 0.80)


def test_terminals_in_hot_boxes_by_hand():
    # IEC: 75 °C terminals take the 70 °C column, 10 mm² C = 63 A, boxes at 45 °C: × 0.79;
    # the way itself, XLPE at 30 °C, bears 80 A. NFPA 70, 110.14(C), does not correct.
    run = Run(length_m=5, method="C", size="10 mm2", max_drop_frac=0.1)
    need = replace(NEED, run=run, box_c=45.0, device_kind="", current_a=30, drop_current_a=30)
    judged = size_run(need, "iec60364").judged
    assert judged.terminal_a == pytest.approx(63 * 0.79)
    assert judged.corrected_a == pytest.approx(80)
    assert size_run(need, "nfpa70").judged.terminal_a == 50


def test_override_shows_what_breaks_and_what_the_rules_want():
    own = replace(NEED, run=NEED.run.model_copy(update={"size": "6 AWG"}))
    choice = size_run(own, "nfpa70")
    assert choice.label == "6 AWG"
    assert choice.rule_label == "2/0 AWG"
    told = "terminals allow 65 A, the design current Ib is 151 A"
    assert any(told in fault for fault in choice.faults)
    # the foreign size is judged by the next smaller one of the other book: 13.3 mm² as 10 mm²
    assert size_run(own, "iec60364").label == "10 mm²"


def test_larger_override_breaks_nothing():
    own = replace(NEED, run=NEED.run.model_copy(update={"size": "2 x 70 mm2"}))
    choice = size_run(own, "iec60364")
    assert choice.faults == ()
    assert choice.label == "2 × 70 mm²"


def test_small_conductor_rule_caps_the_device():
    # 24 A × 1.25 = 30 A: 10 AWG is the smallest that 240.4(D) lets stand behind 30 A
    need = replace(
        NEED, current_a=24.0, drop_current_a=24.0, terminal_c=90, terminals_free_air=True
    )
    choice = size_run(need, "nfpa70")
    assert choice.device.rating_a == 30
    assert choice.label == "10 AWG"


def test_parallel_conductors_beyond_the_largest():
    need = replace(NEED, current_a=700.0, drop_current_a=700.0)
    choice = size_run(need, "iec60364")
    assert choice.judged.parallel == 2
    assert choice.judged.size.area_mm2 >= 50
    assert choice.judged.usable_a >= choice.device.rating_a


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"current_a": 5900.0, "device_kind": ""}, "more than 6 parallel conductors of 750 kcmil"),
        ({"current_a": 9000.0}, "beyond the largest standard device"),
        ({"drop_base_v": 0.0}, "the voltage must be above 0 V"),
        ({"highest_v": -5.0}, "a voltage must be above 0 V"),
        ({"highest_v": 4000.0}, "beyond common devices"),
        ({"fault_a": 900_000.0}, "beyond common devices"),
        ({"ambient_c": 95.0}, "choose insulation for a higher temperature"),
    ],
)
def test_impossible_runs_are_one_sentence(change, sentence):
    with pytest.raises(BadInput) as refusal:
        size_run(replace(NEED, **change), "nfpa70")
    assert len(refusal.value.sentences) == 1
    assert sentence in refusal.value.sentences[0]


def test_zero_length_is_refused():
    run = NEED.run.model_construct(**{**NEED.run.model_dump(), "length_m": 0.0})
    with pytest.raises(BadInput, match="length must be above 0 m"):
        size_run(replace(NEED, run=run), "nfpa70")


@pytest.mark.parametrize(
    ("text", "sets", "area_mm2"),
    [("2 AWG", 1, 33.63), ("4/0 awg", 1, 107.2), ("35mm2", 1, 35), ("250 kcmil", 1, 126.7),
     ("2 x 70 mm²", 2, 70), ("2,5 mm2", 1, 2.5)],
)  # fmt: skip
def test_sizes_as_people_type_them(text, sets, area_mm2):
    got_sets, got_area, _ = parse_size(text)
    assert got_sets == sets
    assert got_area == pytest.approx(area_mm2, rel=1e-3)


@pytest.mark.parametrize("text", ["", "thick", "2", "-3 mm2", "0 mm2", "99 AWG", "2.5 AWG"])
def test_sizes_that_are_none(text):
    with pytest.raises(BadInput):
        parse_size(text)


def test_a_size_below_the_table_is_refused():
    with pytest.raises(BadInput, match="below the smallest tabulated conductor"):
        nearest_below("iec60364", 0.5)


@given(book=st.sampled_from(list(WIRING_CODES)), a=st.integers(1, 20), b=st.integers(1, 20))
def test_more_company_never_helps(book, a, b):
    low, high = sorted((a, b))
    assert grouping_factor(book, high) <= grouping_factor(book, low)


@given(book=st.sampled_from(list(WIRING_CODES)), a=st.floats(-30, 50), b=st.floats(-30, 50),
       limit=st.sampled_from([60, 70, 75, 90]))  # fmt: skip
def test_hotter_air_never_helps(book, a, b, limit):
    low, high = sorted((a, b))
    assert ambient_factor(book, limit, high) <= ambient_factor(book, limit, low)
