"""Systems that once passed: what is wrong with each, with its clause, in the file and on screen.

The numbers are worked out by hand beside the same cases in `tests/electrical/`.
"""

import json

import pytest
from shown_kit import plainly, said

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.report.machine import summary_dict
from offgrid_sizing.sketch import Sketch

HIGH = {"max_voc_v": 1000, "mppt_max_v": 900, "mppt_min_v": 100, "max_power_w": 20_000}
LIGHT = {"isc_a": 9.8, "imp_a": 9.2, "vmp_v": 41.5, "power_w": 382, "max_fuse_a": 15}
ONE_INPUT = {"inputs": 1, "max_input_a": 100, "max_power_w": 20_000}
WEAK = {"max_discharge_a": 25, "max_charge_a": 25, "internal_resistance_ohm": 0.005}
VENTED = {
    "chemistry": "lead_acid_flooded",
    "nominal_v": 48,
    "charge_v": 57.6,
    "equalise_v": 60,
    "charge_v_per_k": -0.12,
    "cutoff_v": 44,
    "capacity_ah": 400,
    "max_charge_a": 80,
    "max_discharge_a": 200,
}


def _laid(old, new):
    """A sketch's parts, with what is given in their place."""
    both = isinstance(old, dict) and isinstance(new, dict)
    return {**old, **{k: _laid(old.get(k), v) for k, v in new.items()}} if both else new


def changed(name="farmhouse", **parts) -> Sketch:
    """A demo with some of its parts replaced."""
    return Sketch.model_validate(_laid(demo(name).model_dump(mode="json"), parts))


def _named(rating_a) -> Sketch:
    return changed("town_house", equipment={"inverter": {"ac_breaker_a": rating_a}})


def _roof(in_series, strings):
    return [{"name": "roof", "modules_in_series": in_series, "strings": strings}]


KILN = {"name": "kiln", "running_w": 14_000, "windows": [{"from_h": 10, "to_h": 12}]}

# what is drawn, and what must be said of it (word for word, a part of the sentence)
WRONG = {
    "breaker named 50 A": (_named(50), "names a device of 50 A, and 62.5 A need", "70 A"),
    "breaker named 40 A": (_named(40), "names a device of 40 A, and 62.5 A need", "70 A"),
    "breaker named 32 A": (_named(32), "names a device of 32 A, and 62.5 A need", "70 A"),
    "16 modules in series on a dwelling": (
        changed(
            wiring={"rule_book": "nfpa70"},
            building={"kind": "dwelling"},
            roof_planes=_roof(16, 1),
            equipment={"controller": HIGH},
        ),
        "16 in series give",
        "690.7",
    ),
    "16 units fed at the end": (
        changed(
            equipment={"battery": WEAK, "inverter": {"parallel_max": 6}},
            drawn={"units_in_parallel": 16, "inverters": 3, "arrangement": "parallel"},
            wiring={"bank_feed": "end", "busbar_length_m": 6},
            loads={"appliances": [KILN]},
        ),
        "tapped at the end, unit 1 gives 28.1 A",
        "one unit may give 25 A",
    ),
    "three strings of 9.8 A behind 15 A": (
        changed(
            wiring={"rule_book": "nfpa70"},
            equipment={"module": LIGHT, "controller": ONE_INPUT},
            roof_planes=_roof(6, 3),
        ),
        "above the 15 A",
        "the module",
    ),
    "own 4 x 6 AWG": (
        changed(
            wiring={
                "rule_book": "nfpa70",
                "bank_to_inverter": {
                    "length_m": 1.5, "method": "free_air", "size": "4 x 6 AWG",
                },
            }
        ),
        "310.10(G)",
        "4 × 6 AWG",
    ),
    "9.6 kVA across two lines of three": (
        changed(
            drawn={"units_in_parallel": 8, "inverters": 3, "arrangement": "three_phase"},
            loads={"appliances": [{**KILN, "running_w": 9600, "leg": "L1-L2"}]},
        ),
        "may be asked for 5543 VA at once",
        "its machines give 5000 VA",
    ),
    "a vented bank at its equalising voltage": (
        changed(equipment={"battery": VENTED, "inverter": {"bank_max_v": 60}}),
        "the bank is charged up to 60.6 V (equalising in the cold",
        "the machine bears 60 V",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_system_is_refused_in_file_and_on_screen(page, case):
    sketch, *words = WRONG[case]
    found = json.loads(json.dumps(summary_dict(drawn_outcome(sketch))["electrical"], default=str))
    assert not found["ok"]
    told = [fault for fault in found["faults"] if all(part in fault for part in words)]
    assert told, found["faults"]
    shown = said(page("wiring", sketch))
    assert any(told[0][1:] in text for text in shown), shown  # it begins with a capital there


LONG = {"output_v": 120, "frequency_hz": 60, "rated_w": 3000, "rated_va": 3000}
RIGHT = {
    # 5000 W / 230 V = 21.7 A, whatever the machines could pass on
    "5 kW generator, two machines": (
        changed(
            grid={"kind": "none"},
            generator={"rated_w": 5000},
            drawn={"units_in_parallel": 6, "inverters": 2, "arrangement": "parallel"},
        ),
        ("generator_in", "device_rating_a", 25),
    ),
    # 1.5625 × 9.8 = 15.3 A
    "three strings of 9.8 A, NFPA 70": (
        changed(
            wiring={"rule_book": "nfpa70"},
            equipment={"module": {**LIGHT, "max_fuse_a": 20}, "controller": ONE_INPUT},
            roof_planes=_roof(6, 3),
        ),
        ("string", "device_rating_a", 20),
    ),
    "three strings of 9.8 A, IEC": (
        changed(
            wiring={"rule_book": "iec60364"},
            equipment={"module": {**LIGHT, "max_fuse_a": 20}, "controller": ONE_INPUT},
            roof_planes=_roof(6, 3),
        ),
        ("string", "device_rating_a", None),
    ),
    # enlarged for its drop, and the protective conductor with it: 250.122(B)
    "100 m at 120 V": (
        changed(
            wiring={"rule_book": "nfpa70", "ac_out": {"length_m": 100}},
            equipment={"inverter": LONG},
        ),
        ("ac_out", "protective_conductor", "4 AWG"),
    ),
    # Table B.52.14: half of what 30 °C would allow; the design stays on the papers
    "insulation of 70 degC in air of 60": (
        changed(wiring={"rule_book": "iec60364", "ambient_c": 60, "insulation_c": 70}),
        ("bank_to_inverter", "conductor", "95 mm²"),
    ),
}


@pytest.mark.parametrize("case", RIGHT)
def test_a_right_value_stands_in_file_and_on_screen(page, case):
    sketch, (key, field, value) = RIGHT[case]
    found = summary_dict(drawn_outcome(sketch))["electrical"]
    assert not found["refused"]
    (run,) = [one for one in found["runs"] if one["key"] == key]
    assert run[field] == value
    (table,) = page("wiring", sketch, "runs").dataframe
    rows = table.value.astype(str).to_numpy()
    (row,) = [row for row in rows if run["designation"] in row]
    if value is not None:
        assert any(str(value) in plainly(cell) for cell in row), row
