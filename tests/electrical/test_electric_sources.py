"""Every source has its own device and disconnection, and no device is above a named rating."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from systems_kit import systems, varied

from offgrid_sizing.demos import demo
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.devices import device_faults
from offgrid_sizing.electrical.source_device import device_within_a, feeds
from offgrid_sizing.electrical.sources import grouped
from offgrid_sizing.report.sections.sources import COLUMNS, sources_table
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import drawn_system
from offgrid_sizing.wiring_code import WIRING_CODES
from offgrid_sizing.words import to_words

SYSTEMS = systems()


def _design(sketch, **more):
    return electrical_design(sketch, drawn_system(sketch), record_low_c=-15, **more)


@pytest.fixture(scope="module", params=sorted(SYSTEMS))
def of_a_kind(request):
    sketch = SYSTEMS[request.param]
    return sketch, _design(sketch)


def _home(book="nfpa70", generator=None, machines=2, arrangement="parallel", **grid):
    return varied(
        drawn={"units_in_parallel": 6, "inverters": machines, "arrangement": arrangement},
        wiring={"rule_book": book},
        grid={"kind": "steady", **grid} if grid else {"kind": "none"},
        generator=generator,
    )


def _bounds(sketch, key):
    """Every rating named for a run's device, read from the sketch alone."""
    equipment, generator = sketch.equipment, sketch.generator
    named = {
        "string": [equipment.module.max_fuse_a],
        "unit_lead": [equipment.battery.max_fuse_a],
        "bank_to_inverter": [equipment.inverter.bank_fuse_a],
        "ac_in": [equipment.inverter.ac_breaker_a],
        "ac_out": [equipment.inverter.ac_breaker_a],
        "grid_in": [sketch.grid.breaker_a],
        "generator_in": [generator.breaker_a if generator else None],
    }
    return [bound for bound in named.get(key, ()) if bound is not None]


def test_there_are_systems_of_at_least_twenty_six_kinds():
    assert len(SYSTEMS) >= 26


def test_every_source_has_a_disconnect_and_a_device_that_protects_it(of_a_kind):
    sketch, design = of_a_kind
    system, kinds = drawn_system(sketch), [one.kind for one in design.sources]
    assert kinds.count("grid") == (sketch.grid.kind != "none")
    assert kinds.count("generator") == (sketch.generator is not None)
    assert kinds.count("inverter") == system.inverters
    assert kinds.count("unit") == system.units_in_parallel
    assert kinds.count("array") == sum(plan.inputs for plan in design.input_plans)
    for one in design.sources:
        assert str(one.disconnect)
        between_two = one.kind == "generator" and sketch.grid.kind != "none"
        assert ("transfer switch" in str(one.disconnect)) == between_two
        if one.device is None:
            assert one.kind == "array"
            assert "no fuse needed" in one.no_device
            continue
        assert one.device.rating_a <= one.usable_a * (1 + 1e-9)
        if one.short_circuit_a is not None and one.kind != "array":
            assert one.device.breaking_ka * 1000 >= one.short_circuit_a


def test_a_generators_device_lies_between_its_current_and_what_protects_it(of_a_kind):
    _, design = of_a_kind
    for one in design.sources:
        if one.kind == "generator":
            most = WIRING_CODES[design.rule_book].sources.device_most_factor
            above = one.device.rating_a > most * one.rated_a * (1 + 1e-9)
            assert above == any("no standard device is" in fault for fault in design.faults)
            limit = next(x for x in design.input_limits if x.source == "generator")
            factor = WIRING_CODES[design.rule_book].continuous_factor
            assert limit.line_a * factor <= one.device.rating_a * (1 + 1e-9)


def test_no_device_above_a_named_rating_passes(of_a_kind):
    sketch, design = of_a_kind
    for run in design.runs:
        device = run.shown.device
        for bound in _bounds(sketch, run.need.key):
            assert device is None or device.rating_a <= bound


@settings(max_examples=60, deadline=None)
@given(
    ac_a=st.none() | st.floats(1, 200),
    bank_a=st.none() | st.floats(1, 400),
    unit_a=st.none() | st.floats(1, 300),
    module_a=st.floats(1, 60),
    grid_a=st.none() | st.floats(1, 200),
    generator_a=st.none() | st.floats(1, 100),
    rated_w=st.floats(200, 30_000),
    strings=st.integers(1, 6),
    book=st.sampled_from(sorted(WIRING_CODES)),
)
def test_a_device_above_any_named_rating_is_a_fault(
    ac_a, bank_a, unit_a, module_a, grid_a, generator_a, rated_w, strings, book
):
    sketch = varied(
        equipment={
            "inverter": {"ac_breaker_a": ac_a, "bank_fuse_a": bank_a},
            "battery": {"max_fuse_a": unit_a},
            "module": {"max_fuse_a": module_a},
            "controller": {"inputs": 1, "max_input_a": 100},
        },
        grid={"kind": "steady", "breaker_a": grid_a},
        generator={"rated_w": rated_w, "breaker_a": generator_a},
        drawn={"units_in_parallel": 4},
        roof_planes=[{"name": "roof", "modules_in_series": 6, "strings": strings}],
        wiring={"rule_book": book},
    )
    design = _design(sketch)
    for run in design.runs:
        device = run.shown.device
        for bound in _bounds(sketch, run.need.key):
            if device is not None and device.rating_a > bound * (1 + 1e-9):
                told = [fault for fault in design.faults if fault.startswith(run.need.title)]
                assert any(f"{device.rating_a:g}" in fault for fault in told), run.need.key
            if device is not None and device.rating_a <= bound:
                assert not any(
                    "allows" in fault and fault.startswith(f"{run.need.title}: a device")
                    for fault in design.faults
                )


# --- a generator and a grid, by hand ------------------------------------------------------------


def test_a_small_generator_stands_behind_a_device_of_its_own():
    """5,000 W / 230 V = 21.74 A. NFPA 70: 1.25 × 21.74 = 27.2 A at most, so 25 A; that bears
    25 / 1.25 = 20 A for long, 10 A for each of two machines. Conductors: 445.13(A), 1.15 × 21.74 =
    25.0 A. IEC: 25 A bears 25 A, so the generator's own 21.74 A decide, 10 A each."""
    nfpa = _home("nfpa70", generator={"rated_w": 5000})
    design = _design(nfpa)
    run = design.run("generator_in")
    assert run.shown.device.rating_a == 25
    assert run.need.least_conductor_a == pytest.approx(25.0, abs=0.001)
    assert run.shown.judged.usable_a >= 25
    assert [(x.device_a, x.device_bears_a, x.each_a) for x in design.input_limits] == [(25, 20, 10)]
    one = _design(_home("nfpa70", generator={"rated_w": 5000}, machines=1, arrangement="single"))
    assert one.input_limits[0].each_a == 20
    assert "its device of 25 A carries 20.0 A continuously" in one.input_limits[0].because
    iec = _design(_home("iec60364", generator={"rated_w": 5000}, machines=1, arrangement="single"))
    assert iec.run("generator_in").shown.device.rating_a == 25
    assert iec.input_limits[0].each_a == 21
    # what the machines pass, 2 × 50 A × 1.25 = 125 A, stays the size of their common input alone
    assert design.run("ac_in_common").shown.device.rating_a == 125


def test_a_grid_stands_behind_a_device_of_its_own():
    """10,000 W / 230 V = 43.48 A: NFPA 70 × 1.25 = 54.3 A, 60 A; IEC 50 A. A device of 40 A at the
    connection is named: 40 A, which bears 32 A for long by NFPA 70 and 40 A by IEC."""
    assert _design(_home("nfpa70", breaker_a=None)).run("grid_in").shown.device.rating_a == 60
    assert _design(_home("iec60364", breaker_a=None)).run("grid_in").shown.device.rating_a == 50
    for book, bears_a in (("nfpa70", 32), ("iec60364", 40)):
        design = _design(_home(book, breaker_a=40))
        assert design.run("grid_in").shown.device.rating_a == 40
        assert design.input_limits[0].device_bears_a == bears_a
        assert design.input_limits[0].line_a == bears_a
        assert design.faults == ()


def test_a_strong_grid_is_fused_for_what_the_machines_pass():
    # 100 kW, one machine of 50 A: NFPA 62.5 → 70 A, IEC 50 A
    for book, rating_a in (("nfpa70", 70), ("iec60364", 50)):
        sketch = _home(book, machines=1, arrangement="single", import_limit_w=100_000)
        design = _design(sketch)
        assert design.run("grid_in").shown.device.rating_a == rating_a
        assert design.input_limits[0].each_a == 50


def test_a_named_breaker_of_the_generator_is_never_exceeded():
    """21.74 A: 20 A named is taken, and the inputs are set to 20 A / 1.25 = 16 A; 63 A named is
    above what protects the generator, so 25 A is taken; 26 A, no standard rating, is the maker's
    own and may be had."""
    for named_a, rating_a, each_a in ((20, 20, 16), (63, 25, 20), (26, 26, 20)):
        sketch = _home(
            generator={"rated_w": 5000, "breaker_a": named_a}, machines=1, arrangement="single"
        )
        design = _design(sketch)
        assert design.run("generator_in").shown.device.rating_a == rating_a
        assert design.input_limits[0].each_a == each_a
        assert design.faults == ()


def test_a_generator_no_standard_device_protects_is_a_fault():
    # 1,000 W / 230 V = 4.35 A, at most 5.43 A; NFPA 70 begins with 15 A
    design = _design(_home(generator={"rated_w": 1000}))
    fault = next(fault for fault in design.faults if "4.3 A on each line" in fault)
    assert "5.4 A that protect it (the smallest is 15 A)" in fault
    assert "“Maximum overcurrent protection of the generator”" in fault
    assert "El generador" not in fault
    assert "ninguna protección normalizada" in to_words(fault, "es")
    named = _design(_home(generator={"rated_w": 1000, "breaker_a": 5}))
    assert named.faults == ()
    assert named.run("generator_in").shown.device.rating_a == 5


def test_what_is_not_known_is_said():
    unknown = _design(_home(generator={"rated_w": 5000}, breaker_a=None))
    by_kind = {one.kind: one for one in unknown.sources}
    assert by_kind["grid"].short_circuit_a is None
    assert by_kind["generator"].short_circuit_a is None
    assert by_kind["inverter"].short_circuit_a is None
    advice = " ".join(unknown.advice)
    assert "enter it with the grid (“Prospective short-circuit current”)" in advice
    assert "“Short-circuit current of the generator”" in advice
    sketch = _home(
        generator={"rated_w": 5000, "short_circuit_a": 90}, prospective_short_circuit_ka=12
    )
    known = _design(sketch)
    by_kind = {one.kind: one for one in known.sources}
    assert (by_kind["grid"].short_circuit_a, by_kind["generator"].short_circuit_a) == (12_000, 90)
    # breaking capacity follows what is known, 12 kA, and no longer the assumed 6 kA
    assert known.run("ac_in").shown.device.breaking_ka == 15
    assert not any("short-circuit" in words for words in known.advice)


def test_smallest_enough_else_largest_allowed():
    assert device_within_a((10, 16, 20), 12, 20) == 16
    assert device_within_a((10, 16, 20), 18, 17) == 16
    assert device_within_a((10, 16, 20), 5, 9) is None
    assert device_within_a((10, 16, 20), 16, 16) == 16


def test_alike_sources_stand_in_one_row_and_none_is_lost(of_a_kind):
    _, design = of_a_kind
    rows = grouped(design.sources)
    assert sum(count for _, count in rows) == len(design.sources)
    for language in ("en", "es"):
        table = sources_table(design, language)
        assert len(table.rows) == len(rows)
        assert all(len(row) == len(COLUMNS) == len(table.widths) for row in table.rows)
    assert sources_table(design, "es").head[0] == "Fuente"


def test_what_is_drawn_is_the_least_of_source_device_and_machines():
    # IEC, one machine of 50 A. 5 kW: 21.74 A of a 25 A device; 12 kW: 52.17 A, 50 A are passed
    def found(watts):
        sketch = _home("iec60364", generator={"rated_w": watts}, machines=1, arrangement="single")
        (feed,) = feeds(sketch, drawn_system(sketch))
        return feed.device_a, feed.lasting_a, feed.drawn_a

    assert found(5000) == (25, pytest.approx(21.739, abs=0.001), pytest.approx(21.739, abs=0.001))
    assert found(12_000) == (50, 50, 50)
    assert found(14_000) == (50, 50, 50)  # 60.87 A, no more than what the machines pass


def test_feeds_without_a_source_are_none():
    sketch = _home()
    assert feeds(sketch, drawn_system(sketch)) == ()


# --- what named ratings bound ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("box", "field", "title", "rating_a"),
    [
        # unit lead: 100 A for long × 1.25 = 125 A; bank lead: 121.3 A × 1.25 = 151.6 A → 175 A
        ("battery", "max_fuse_a", "Battery unit cables to busbar", 125),
        ("inverter", "bank_fuse_a", "Bank to inverter-charger", 175),
    ],
)
def test_a_maker_s_largest_fuse_is_an_upper_bound(box, field, title, rating_a):
    def design(named_a):
        raw = demo("town_house").model_dump()
        raw["equipment"][box][field] = named_a
        return _design(Sketch.model_validate(raw))

    kept, broken = design(rating_a), design(rating_a - 1)
    assert kept.faults == ()
    (fault,) = broken.faults
    assert fault.startswith(f"{title}: a device of {rating_a} A is above the {rating_a - 1} A")
    assert to_words(fault, "es") != fault


def test_three_strings_by_each_code():
    """9.8 A, module 20 A. NFPA 70: 2 × 1.25 × 9.8 = 24.5 A > 20 A, fuses of 1.5625 × 9.8 = 15.3 →
    20 A. IEC 62548: 2 × 9.8 = 19.6 A ≤ 20 A, none. Six strings: 5 × 9.8 = 49 A, fuses by both,
    IEC 1.5 × 9.8 = 14.7 → 16 A; both poles: 12 fuses."""

    def design(strings, book):
        raw = demo("farmhouse").model_dump()
        raw["equipment"]["module"].update(isc_a=9.8, imp_a=9.2, vmp_v=41.5, power_w=382)
        raw["equipment"]["controller"].update(inputs=1, max_input_a=100, max_power_w=20_000)
        raw["roof_planes"] = [{"name": "roof", "modules_in_series": 6, "strings": strings}]
        raw["wiring"]["rule_book"] = book
        return _design(Sketch.model_validate(raw))

    nfpa, iec = design(3, "nfpa70"), design(3, "iec60364")
    assert nfpa.run("string").shown.device.rating_a == 20
    assert nfpa.drawn_strings[0].fuse_required
    assert iec.run("string").shown.device is None
    assert "IEC 62548" in iec.run("string").need.no_device
    assert not iec.drawn_strings[0].fuse_required
    # beside the code shown the other one keeps its own answer
    assert nfpa.run("string").by_code["iec60364"].device is None
    assert iec.run("string").by_code["nfpa70"].device.rating_a == 20
    for book, rating_a in (("nfpa70", 20), ("iec60364", 16)):
        six = design(6, book)
        (row,) = [item for item in six.bill_of_materials if "gPV" in item.item]
        assert row.quantity == 12
        assert f"{rating_a} A" in row.must_bear
        assert "both poles" in row.must_bear
        assert ("690.9(C)" in row.must_bear) == (book == "nfpa70")


def test_a_string_fuse_is_held_to_the_codes_own_upper_factor():
    """IEC 62548 (from memory): a string fuse of at most 2.4 times the short-circuit current."""
    run = _design(SYSTEMS["eight strings fused, iec60364"]).run("string")
    need = replace(run.need, largest_device_a=None, maker_device_a=None)
    most_a = WIRING_CODES["iec60364"].string_fuse_most_factor * need.string_isc_a
    assert most_a == pytest.approx(2.4 * need.string_isc_a)
    for rating_a, keys in ((most_a, []), (most_a * 1.001, ["sources.above_string"])):
        device = replace(run.shown.device, rating_a=rating_a)
        faults = device_faults(need, "iec60364", device)
        assert [fault.origin.key for fault in faults] == keys


@pytest.mark.parametrize(
    ("earthed", "poles", "words"),
    [
        # each pole that is not earthed has its own: NFPA 70, 240.15(A); IEC 60364-4-43, 431.1
        # (both from memory)
        ("negative", 1, "positive pole, the negative being earthed"),
        ("positive", 1, "negative pole, the positive being earthed"),
        ("midpoint", 2, "both poles, the midpoint being earthed"),
        ("floating", 2, "both poles, the bank not being earthed"),
        ("floating_monitored", 2, "both poles, the bank not being earthed"),
        ("unknown", 1, "positive pole; both poles where the bank is not earthed"),
    ],
)
def test_devices_at_the_bank_are_counted_by_its_earth(earthed, poles, words):
    drawn = {"units_in_parallel": 6, "inverters": 2, "arrangement": "parallel"}
    design = _design(varied(drawn=drawn, earthing={"bank": earthed}))
    bought = [item for item in design.bill_of_materials if "for batteries" in item.item]
    assert [item.quantity for item in bought] == [6 * poles, 2 * poles]
    assert all(words in item.must_bear for item in bought)
