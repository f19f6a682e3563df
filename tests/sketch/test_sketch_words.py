"""Why a sketch is refused is said in each language, whatever pydantic or a rule of ours found."""

import copy
import errno
import json
import os
import pickle
import sys

import pytest
from language_kit import in_spanish
from pydantic import ValidationError

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import (
    BadInput,
    Sketch,
    SketchError,
    file_inside,
    read_sketch,
    reason_of,
    sentence_of,
    sketch_from_dict,
    sketch_from_json,
)
from offgrid_sizing.sketch.faults import RULES
from offgrid_sizing.words import catalogue, to_words

# What each kind of schema may find wrong with values that come from JSON or a page (pydantic's
# documentation, "Validation Errors").
RAISED = {
    "float": {"float_type", "float_parsing", "finite_number"},
    "int": {"int_type", "int_parsing", "int_from_float", "int_parsing_size", "finite_number"},
    "bool": {"bool_type", "bool_parsing"},
    "str": {"string_type", "string_unicode"},
    "literal": {"literal_error"},
    "tuple": {"tuple_type", "missing", "too_long"},
    "model": {"model_type"},
    "model-fields": {"model_type", "missing", "extra_forbidden", "invalid_key"},
    "function-after": {"value_error"},
}
LIMITS = {
    "gt": "greater_than",
    "ge": "greater_than_equal",
    "lt": "less_than",
    "le": "less_than_equal",
}
LENGTHS = {
    ("str", "min_length"): "string_too_short",
    ("str", "max_length"): "string_too_long",
    ("tuple", "min_length"): "too_short",
    ("tuple", "max_length"): "too_long",
}
HOLDS = {
    "model-field", "default", "nullable", "definitions", "definition-ref", "no-info",
}  # fmt: skip
SAID_BY_ITSELF = {"missing", "extra_forbidden", "value_error"}


def _raised(schema) -> set[str]:
    """Types of faults that a schema can raise, all of its parts looked through."""
    if isinstance(schema, (list, tuple)):
        return set().union(*map(_raised, schema))
    if not isinstance(schema, dict):
        return set()
    kind = schema.get("type")
    found = set()
    if isinstance(kind, str):
        assert kind in RAISED or kind in HOLDS, f"what can {kind!r} raise?"
        assert kind != "str" or schema.get("min_length", 1) == 1  # said as "not be empty"
        found |= RAISED.get(kind, set())
        found |= {fault for limit, fault in LIMITS.items() if limit in schema}
        found |= {LENGTHS[kind, size] for size in ("min_length", "max_length") if size in schema}
    return found.union(*map(_raised, schema.values()))


def test_every_fault_a_sketch_can_have_has_its_words():
    raised = _raised(Sketch.__pydantic_core_schema__)
    assert len(raised) > 20
    assert raised == set(RULES) | SAID_BY_ITSELF


# One bad sketch for each type, by what is put where.
FAULTY = {
    "missing": ("site", {"latitude_deg": 1}),
    "extra_forbidden": ("site.colour", "red"),
    "greater_than": ("equipment.module.power_w", 0),
    "greater_than_equal": ("site.latitude_deg", -91.5),
    "less_than": ("prices.discount_rate_frac", 1.0),
    "less_than_equal": ("grid.line_ohm", 25.5),
    "finite_number": ("site.longitude_deg", float("nan")),
    "float_type": ("site.latitude_deg", None),
    "float_parsing": ("site.latitude_deg", "north"),
    "int_type": ("prices.horizon_y", None),
    "int_parsing": ("prices.horizon_y", "many"),
    "int_from_float": ("prices.horizon_y", 2.5),
    "int_parsing_size": ("prices.horizon_y", "9" * 5000),
    "bool_type": ("grid.export_allowed", None),
    "bool_parsing": ("grid.export_allowed", "perhaps"),
    "string_type": ("title", 3),
    "string_unicode": ("title", "\ud800"),
    "string_too_short": ("title", " "),
    "string_too_long": ("title", "x" * 121),
    "tuple_type": ("roof_planes", "north"),
    "too_short": ("weather.monthly_ghi_kwh_per_m2_day", [4.5]),
    "too_long": ("weather.monthly_ghi_kwh_per_m2_day", [4.5] * 13),
    "model_type": ("site", "Ghent"),
    "invalid_key": ("site", {3: 4}),
    "literal_error": ("wiring.insulation_c", 71),
    "value_error": ("drawn.inverters", 3),
}


def _with(path: str, value) -> dict:
    raw = copy.deepcopy(demo().model_dump(mode="json"))
    here = raw
    *parents, last = path.split(".")
    for name in parents:
        here = here[name]
    here[last] = value
    return raw


@pytest.mark.parametrize("kind", FAULTY)
def test_a_fault_of_each_type_is_said_in_spanish(kind):
    with pytest.raises(ValidationError) as caught:
        Sketch.model_validate(_with(*FAULTY[kind]))
    faults = {fault["type"]: fault for fault in caught.value.errors(include_url=False)}
    said = sentence_of(faults[kind])
    assert said.startswith(FAULTY[kind][0].split(".")[0])
    spanish = in_spanish(said)
    assert spanish.endswith(".")


def test_the_list_of_bad_sketches_leaves_no_type_out():
    assert set(FAULTY) == set(RULES) | SAID_BY_ITSELF


@pytest.mark.parametrize(
    ("path", "value", "english", "spanish"),
    [
        (
            "site.latitude_deg", 95.5,
            "site.latitude_deg must be less than or equal to 90 (got 95.5).",
            "site.latitude_deg debe ser menor o igual que 90 (recibido: 95,5).",
        ),
        (
            "prices.inverter_life_y", 0.25,
            "prices.inverter_life_y must be greater than or equal to 0.5 (got 0.25).",
            "prices.inverter_life_y debe ser mayor o igual que 0,5 (recibido: 0,25).",
        ),
        (
            "prices.module_each", 2000000000000.5,
            "prices.module_each must be less than or equal to 1000000000000 (got 2000000000000.5).",
            "prices.module_each debe ser menor o igual que 1000000000000 "
            "(recibido: 2000000000000,5).",
        ),
        (
            "wiring.insulation_c", 71,
            "wiring.insulation_c must be 70, 75 or 90 (got 71).",
            "wiring.insulation_c debe ser 70, 75 o 90 (recibido: 71).",
        ),
        (
            "schema_version", 0,
            "schema_version must be 1 (got 0).",
            "schema_version debe ser 1 (recibido: 0).",
        ),
        (
            "title", "",
            'title must not be empty (got "").',
            'title debe tener algún contenido (recibido: "").',
        ),
        (
            "weather.monthly_ghi_kwh_per_m2_day", [4.5],
            "weather.monthly_ghi_kwh_per_m2_day must hold at least 12 entries, not 1 (got [4.5]).",
            "weather.monthly_ghi_kwh_per_m2_day debe tener al menos 12 valores, no 1 "
            "(recibido: [4.5]).",
        ),
        (
            "drawn.inverters", 3,
            "drawn: a single arrangement has one inverter-charger (got 3).",
            "drawn: la disposición single lleva un solo inversor-cargador (recibido: 3).",
        ),
        (
            "equipment.module.vmp_v", 60.5,
            "equipment.module: vmp_v must be below voc_v (got 60.5 and 49.5).",
            "equipment.module: vmp_v debe ser menor que voc_v (recibido: 60,5 y 49,5).",
        ),
    ],
)  # fmt: skip
def test_both_languages_to_the_letter(path, value, english, spanish):
    with pytest.raises(SketchError) as refused:
        sketch_from_dict(_with(path, value))
    (one,) = refused.value.sentences
    assert one == english
    assert to_words(one, "es") == spanish


def test_limits_are_written_as_pydantic_writes_them():
    """For every field with a limit, in English."""
    raw = demo().model_dump(mode="json")
    checked = 0
    for value in (-1e15, 1e15):
        worst = _everywhere(raw, value)
        with pytest.raises(ValidationError) as caught:
            Sketch.model_validate(worst)
        for fault in caught.value.errors(include_url=False):
            if fault["type"] in LIMITS.values():
                rule = fault["msg"].replace("Input should", "must")
                assert f" {rule} (got " in sentence_of(fault)
                checked += 1
    assert checked > 150


def _everywhere(value, number):
    if isinstance(value, dict):
        return {name: _everywhere(one, number) for name, one in value.items()}
    if isinstance(value, list):
        return [_everywhere(one, number) for one in value]
    return number if type(value) in (int, float) else value


RULE_BREAKERS = {
    "resume_below_hold": ("strategy", {"hold_soc_frac": 0.5, "resume_soc_frac": 0.25}),
    "stop_below_start": ("generator", {"start_soc_frac": 0.5, "stop_soc_frac": 0.25}),
    "vmp_over_voc": ("equipment.module.vmp_v", 60),
    "imp_over_isc": ("equipment.module.imp_a", 12),
    "nameplate": ("equipment.module.power_w", 300),
    "capacity_shares": ("equipment.battery.capacity_vs_temp", [[25, 100]]),
    "low_above_high": ("equipment.battery.min_charge_c", 59),
    "cycle_depth": ("equipment.battery.cycle_life", [[80, 6000]]),
    "cycle_count": ("equipment.battery.cycle_life", [[0.8, 0]]),
    "cycle_twice": ("equipment.battery.cycle_life", [[0.8, 6000], [0.8, 5000]]),
    "efficiency_shares": ("equipment.inverter.efficiency_curve", [[0.5, 94]]),
    "overload_multiples": ("equipment.inverter.overload_curve", [[0.9, 10]]),
    "overload_order": ("equipment.inverter.overload_curve", [[1.1, 10], [1.5, 60]]),
    "single_inverter": ("drawn.inverters", 2),
    "arrangement": ("drawn.arrangement", "three_phase"),
    "two_ways": (
        "loads.appliances",
        [{"name": "x", "running_w": 5, "hours": [1] * 24, "windows": [{"from_h": 1, "to_h": 2}]}],
    ),
    "run_time": (
        "loads.appliances", [{"name": "x", "running_w": 5, "hours": [1] * 24, "run_time_h": 2}]
    ),
    "two_bills": ("loads", {"bill_mean_month_kwh": 9, "bill_each_month_kwh": [9] * 12}),
    "bill_and_meter": ("loads", {"bill_mean_month_kwh": 9, "metered": {"file": "meter.csv"}}),
    "bill_months": ("loads.bill_each_month_kwh", [0] * 12),
    "cooling_order": (
        "loads.appliances",
        [{"name": "x", "running_w": 5, "driver": "cooling", "driver_from_c": 40.5}],
    ),
    "heating_order": (
        "loads.appliances",
        [{"name": "x", "running_w": 5, "driver": "heating", "driver_from_c": -6}],
    ),
    "no_sample": ("weather", {"source": "sample"}),
    "no_file": ("weather", {"source": "file"}),
    "years_order": ("weather", {"first_year": 2015, "last_year": 2010}),
    "no_table": ("weather", {"source": "monthly"}),
    "no_cuts": ("grid", {"kind": "scheduled"}),
}  # fmt: skip


@pytest.mark.parametrize("rule", RULE_BREAKERS)
def test_a_rule_between_fields_is_said_in_spanish(rule):
    with pytest.raises(SketchError) as refused:
        sketch_from_dict(_with(*RULE_BREAKERS[rule]))
    (one,) = refused.value.sentences
    english = catalogue("en")[f"refused.reason.{rule}"].split("{")[0]
    assert english in one
    in_spanish(one, *(["single"] if rule == "single_inverter" else []))


def test_the_rules_broken_above_are_all_there_are():
    head = "refused.reason."
    assert set(RULE_BREAKERS) == {
        key.removeprefix(head) for key in catalogue("en") if key.startswith(head)
    }


@pytest.mark.parametrize(
    "text",
    [
        "[1]",
        '{"title": 1, "title": 2}',
        '{"schema_version": 9}',
        " " * 5_000_001,
        b"\x89PNG\r\n\x1a\n\xff\xfe",
        '{"x": ' + "9" * 5000 + "}",
        "[" * 100_000,
        "{,",
        '{"a" 1}',
        "[1 2]",
        "{} {}",
        '{"a": "b',
        '{"a": "\n"}',
        r'"\x"',
        r'"\u00"',
        '{"a": 1,}',
        "[1,]",
        "\ufeff{}",
    ],
    ids=lambda text: f"{len(text)}-{text[:6]!a}",
)
def test_a_text_that_is_no_sketch_is_refused_in_spanish(text):
    with pytest.raises(SketchError) as refused:
        sketch_from_json(text)
    (one,) = refused.value.sentences
    in_spanish(one)


def test_what_the_reader_of_json_says_is_not_changed_in_english():
    for text in ("{,", '{"a" 1}', "[1 2]", "{} {}", '{"a": "b', '{"a": "\n"}', r'"\x"', "nul"):
        with pytest.raises(json.JSONDecodeError) as fault:
            json.loads(text)
        with pytest.raises(SketchError) as refused:
            sketch_from_json(text)
        assert f"not valid JSON: {fault.value.msg} at line 1, " in refused.value.sentences[0]


def test_a_file_that_cannot_be_read_is_refused_in_spanish(tmp_path):
    for path in (tmp_path / "none.json", tmp_path, tmp_path / ("x" * 400)):
        with pytest.raises(SketchError) as refused:
            read_sketch(path)
        in_spanish(refused.value.sentences[0], str(path))


@pytest.mark.parametrize("name", ["none.csv", " ", "a\x01b", "../x", "inner", "link", "ring", "p"])
def test_a_file_that_a_sketch_may_not_name_is_refused_in_spanish(tmp_path, name):
    home = tmp_path / "home"
    (home / "inner").mkdir(parents=True)
    (tmp_path / "out.csv").write_text("x")
    (home / "link").symlink_to(tmp_path / "out.csv")
    (home / "ring").symlink_to(home / "ring")
    os.mkfifo(home / "p")
    with pytest.raises(BadInput) as refused:
        file_inside(home, name, "weather.file")
    assert in_spanish(refused.value.sentences[0]).startswith("weather.file: ")


@pytest.mark.skipif(sys.platform != "linux", reason="the English is Linux's own")
def test_the_systems_reasons_are_its_own_in_english_and_have_a_spanish():
    head = "files.system."
    names = [key.removeprefix(head) for key in catalogue("en") if key.startswith(head)]
    assert len(names) > 20
    for name in names:
        number = getattr(errno, name)
        reason = reason_of(OSError(number, os.strerror(number)))
        assert to_words(reason, "en") == os.strerror(number)
        assert to_words(reason, "es") != os.strerror(number)
    rare = OSError(errno.EBADMSG, os.strerror(errno.EBADMSG))
    assert reason_of(rare) == os.strerror(errno.EBADMSG)


def test_a_fault_keeps_its_words_on_the_way_out_of_a_process():
    with pytest.raises(SketchError) as refused:
        sketch_from_dict(_with("site.latitude_deg", 95.5))
    again = pickle.loads(pickle.dumps(refused.value))
    assert again.sentences == refused.value.sentences
    assert "debe ser" in to_words(again.sentences[0], "es")
