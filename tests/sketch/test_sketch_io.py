"""A sketch survives JSON, and everything wrong with one is said at once."""

import json

import jsonschema
import pytest

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.sketch import (
    SketchError,
    json_schema,
    read_sketch,
    sketch_from_dict,
    sketch_from_json,
    sketch_to_json,
)


def _raw(**changes):
    raw = json.loads(sketch_to_json(demo("farmhouse")))
    for path, value in changes.items():
        target = raw
        *parents, last = path.split("__")
        for part in parents:
            target = target[int(part)] if part.isdigit() else target[part]
        target[last] = value
    return raw


@pytest.mark.parametrize("name", DEMOS)
def test_demo_survives_json(name):
    sketch = demo(name)
    assert sketch_from_json(sketch_to_json(sketch)) == sketch
    assert sketch.invented
    assert "(invented)" in sketch.title


@pytest.mark.parametrize("name", DEMOS)
def test_demo_obeys_the_published_schema(name):
    jsonschema.validate(json.loads(sketch_to_json(demo(name))), json_schema())


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"site__latitude_deg": 123}, "site.latitude_deg"),
        ({"loads__appliances__0__running_w": -5}, "loads.appliances[0].running_w"),
        ({"loads__appliances__0__colour": "red"}, "loads.appliances[0].colour is not a field"),
        ({"drawn__inverters": 3}, "a single arrangement has one inverter"),
        ({"equipment__module__vmp_v": 60}, "vmp_v must be below voc_v"),
        ({"schema_version": 99}, "newer than this program"),
        ({"targets__max_unserved_frac": float("nan")}, "targets.max_unserved_frac"),
        ({"prices__currency": "X" * 40}, "prices.currency"),
        ({"prices__discount_rate_frac": 1.0}, "prices.discount_rate_frac"),
        ({"grid__kind": "scheduled"}, "at least one outage window"),
        ({"weather": {"source": "monthly"}}, "twelve values"),
    ],
)
def test_a_fault_is_one_sentence_with_its_place(changes, expected):
    with pytest.raises(SketchError) as caught:
        sketch_from_dict(_raw(**changes))
    assert len(caught.value.sentences) == 1
    assert expected in caught.value.sentences[0]


def test_all_faults_are_said_at_once():
    raw = _raw(site__latitude_deg=123, drawn__units_in_series=0, prices__horizon_y=0)
    with pytest.raises(SketchError) as caught:
        sketch_from_dict(raw)
    assert len(caught.value.sentences) == 3


@pytest.mark.parametrize(
    "text", ["{", "[1]", "null", "", "\x00", b"\x89PNG\r\n\x1a\n\xff\xfe", "[" * 100_000]
)
def test_what_is_no_sketch_is_refused_in_a_sentence(text):
    with pytest.raises(SketchError) as caught:
        sketch_from_json(text)
    assert all(sentence.endswith(".") for sentence in caught.value.sentences)


def test_missing_file_and_folder(tmp_path):
    with pytest.raises(SketchError, match="there is no file"):
        read_sketch(tmp_path / "none.json")
    with pytest.raises(SketchError, match="is a folder"):
        read_sketch(tmp_path)


@pytest.mark.parametrize("field", ["latitude_deg", "schema_version"])
def test_a_number_of_thousands_of_digits_is_refused_in_one_sentence(field):
    digits = "9" * 5000
    with pytest.raises(SketchError, match="thousands of digits"):
        sketch_from_json(f'{{"{field}": {digits}}}')


def test_an_endless_device_is_no_sketch():
    """It would be read until memory runs out."""
    with pytest.raises(SketchError, match="not an ordinary file"):
        read_sketch("/dev/zero")


@pytest.mark.parametrize(
    "changes",
    [
        # each of these once ran for ever, divided by zero or left numbers no chart can show
        {"grid__mean_time_between_cuts_h": 1e-6},
        {"grid__mean_cut_length_h": 1e-6},
        {"grid__tariff__fixed_per_month": 1e300},
        {"grid__tariff__export_price_per_kwh": 1e300},
        {"equipment__battery__calendar_life_y": 1e-300},
        {"equipment__battery__end_of_life_frac": 0},
        {"prices__inverter_life_y": 1e-300},
        {"prices__module_life_y": 1e-300},
        {"prices__generator_life_y": 1e-300},
        {"generator": {"life_h": 1e-300}},
        {"generator": {"service_interval_h": 1e-300}},
        {"generator": {"service_cost": 1e300}},
        {"generator": {"fuel_price_per_l": 1e300}},
    ],
)
def test_numbers_no_home_has_are_refused_in_one_sentence(changes):
    with pytest.raises(SketchError) as refused:
        sketch_from_dict(_raw(**changes))
    assert len(refused.value.sentences) == 1
    assert "must be" in refused.value.sentences[0]


@pytest.mark.parametrize(
    ("path", "curve"),
    [
        ("inverter__efficiency_curve", [[0.5, 94]]),  # per cent typed as such
        ("inverter__efficiency_curve", [[0.1, 0.9], [1, 0]]),
        ("inverter__efficiency_curve", [[-1, 0.9]]),
        ("battery__capacity_vs_temp", [[25, 100]]),
        ("battery__capacity_vs_temp", [[25, 0]]),
        ("battery__capacity_vs_temp", [[0, -0.5], [25, 1]]),
    ],
)
def test_a_curve_that_is_no_curve_of_fractions_is_refused(path, curve):
    with pytest.raises(SketchError) as refused:
        sketch_from_dict(_raw(**{f"equipment__{path}": curve}))
    assert len(refused.value.sentences) == 1
    assert "fraction" in refused.value.sentences[0]


def test_temperature_limits_that_exclude_each_other_are_refused():
    battery = {**_raw()["equipment"]["battery"], "min_charge_c": 60, "max_charge_c": -20}
    with pytest.raises(SketchError, match="min_charge_c must not be above max_charge_c"):
        sketch_from_dict(_raw(equipment__battery=battery))


def test_years_in_the_wrong_order_are_refused():
    weather = {"source": "pvgis_hourly", "first_year": 2015, "last_year": 2010}
    with pytest.raises(SketchError, match="last_year must not be before first_year"):
        sketch_from_dict(_raw(weather=weather))


def test_a_field_written_twice_is_refused_and_named():
    text = sketch_to_json(demo("farmhouse")).replace('"title"', '"title": "one", "title"', 1)
    with pytest.raises(SketchError, match='"title" is written twice'):
        sketch_from_json(text)


def test_an_older_file_names_the_fuel_line_otherwise():
    older = {
        "site": {"latitude_deg": 0, "longitude_deg": 0},
        "generator": {"fuel_slope_l_per_kwh": 0.3, "fuel_intercept_l_per_h_kw": 0.1},
    }
    generator = sketch_from_dict(older).generator
    assert generator.fuel_per_energy_l_per_kwh == 0.3
    assert generator.fuel_idle_l_per_h_kw == 0.1
    assert "fuel_slope_l_per_kwh" in older["generator"]  # what was given is left alone


def test_an_older_file_names_recharge_and_peak_price_otherwise():
    now = json.loads(sketch_to_json(demo("farmhouse")))
    now["strategy"] |= {"recharge_soc_frac": 0.27, "peak_price_per_kwh": 0.31}
    formerly = {"recharge_soc_frac": "rescue_soc_frac", "peak_price_per_kwh": "dear_price_per_kwh"}
    older = now | {"strategy": {formerly.get(k, k): v for k, v in now["strategy"].items()}}
    opened = sketch_from_json(json.dumps(older))
    assert opened == sketch_from_dict(now)
    assert (opened.strategy.recharge_soc_frac, opened.strategy.peak_price_per_kwh) == (0.27, 0.31)
    assert json.loads(sketch_to_json(opened)) == now  # saved under the present names
    assert not json_schema()["$defs"]["Strategy"]["properties"].keys() & set(formerly.values())


def test_an_older_name_beside_its_present_one_is_refused_and_named():
    strategy = {"rescue_soc_frac": 0.2, "recharge_soc_frac": 0.3}
    with pytest.raises(SketchError, match="rescue_soc_frac"):
        sketch_from_dict(_raw(strategy=strategy))


@pytest.mark.parametrize("changes", [{"title": "\ud800 x"}, {"\ud800": 1}, {"notes": "\udfff"}])
def test_half_a_letter_is_refused_in_a_sentence_that_can_be_shown(changes):
    text = json.dumps(json.loads(sketch_to_json(demo("farmhouse"))) | changes)
    with pytest.raises(SketchError) as refused:
        sketch_from_json(text)
    assert all(sentence.encode() for sentence in refused.value.sentences)
