"""Systems that once passed, and what must be said of each; the hand's numbers lie beside the same
cases in `tests/electrical/`.
"""

from iec_kit import home_named

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


def changed(name="iec_home", **parts) -> Sketch:
    """A home with some of its parts replaced."""
    return Sketch.model_validate(_laid(home_named(name).model_dump(mode="json"), parts))


def _named(rating_a) -> Sketch:
    return changed("town_house", equipment={"inverter": {"ac_breaker_a": rating_a}})


def roof(in_series, strings):
    return [{"name": "roof", "modules_in_series": in_series, "strings": strings}]


KILN = {"name": "kiln", "running_w": 14_000, "windows": [{"from_h": 10, "to_h": 12}]}

# what is drawn, and what must be said of it (word for word, a part of the sentence)
WRONG = {
    "breaker named 50 A": (
        _named(50),
        "device of 50 A, and a design current of 62.5 A needs one of 70 A",
        "NFPA 70, 110.3(B)",
    ),
    "breaker named 40 A": (
        _named(40),
        "device of 40 A, and a design current of 62.5 A needs one of 70 A",
        "NFPA 70, 110.3(B)",
    ),
    "breaker named 32 A": (
        _named(32),
        "device of 32 A, and a design current of 62.5 A needs one of 70 A",
        "NFPA 70, 110.3(B)",
    ),
    "16 modules in series on a dwelling": (
        changed(
            wiring={"rule_book": "nfpa70"},
            building={"kind": "dwelling"},
            roof_planes=roof(16, 1),
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
        "tapped at the end, unit 1 supplies 28.1 A",
        "one unit may supply 25 A (IEC 60364-5-51, 512.1.2, from memory)",
    ),
    "three strings of 9.8 A behind 15 A": (
        changed(
            wiring={"rule_book": "nfpa70"},
            equipment={"module": LIGHT, "controller": ONE_INPUT},
            roof_planes=roof(6, 3),
        ),
        "overcurrent protection rating of 15 A (NFPA 70, 690.9",
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
        "up to 5543 VA may be drawn",
        "its inverter-chargers supply 5000 VA (IEC 60364-5-55, 551.2.3, from memory)",
    ),
    "a vented bank at its equalising voltage": (
        changed(equipment={"battery": VENTED, "inverter": {"bank_max_v": 60}}),
        "the bank is charged up to 60.6 V (equalising in the cold",
        "the inverter-charger withstands 60 V (IEC 60364-5-51, 512.1.1, from memory)",
    ),
    # no column of Table 310.15(B)(1)(1) below 75 °C holds a value for 60 °C
    "PVC on a roof of 60 degC, NFPA 70": (
        changed(wiring={"rule_book": "nfpa70", "roof_ambient_c": 60, "insulation_c": 70}),
        "String: a cable rated 70 °C has no ampacity left where it is 60 °C",
        "Table 310.15(B)(1)(1)",
        "10 AWG rated 75 °C has, and is shown",
    ),
    # Table B.52.14 has no value for PVC above 60 °C
    "PVC in a conduit on a roof of 65 degC, IEC": (
        changed(
            wiring={
                "rule_book": "iec60364",
                "roof_ambient_c": 65,
                "insulation_c": 70,
                "string": {"length_m": 15, "method": "B1"},
            }
        ),
        "String: a cable rated 70 °C has no ampacity left where it is 65 °C",
        "IEC 60364-5-52, Table B.52.14",
        "6 mm² rated 90 °C has, and is shown",
    ),
    "PVC and 75 degC terminals in air of 70, IEC": (
        changed(wiring={"rule_book": "iec60364", "ambient_c": 70, "insulation_c": 70}),
        "Bank to inverter-charger: a cable rated 70 °C and terminals rated 75 °C allow no",
        "IEC 60364-5-52, Table B.52.14",
        "50 mm² rated 90 °C on terminals rated 90 °C does, and is shown",
    ),
    "75 degC terminals in air of 70, IEC": (
        changed(wiring={"rule_book": "iec60364", "ambient_c": 70, "insulation_c": 90}),
        "Bank to inverter-charger: terminals rated 75 °C allow no current where it is 70 °C",
        "IEC 60364-5-52, Table B.52.14",
        "50 mm² on terminals rated 90 °C does, and is shown",
    ),
}  # fmt: skip

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
    "5 kW generator, three machines": (
        changed(
            grid={"kind": "none"},
            generator={"rated_w": 5000},
            drawn={"units_in_parallel": 6, "inverters": 3, "arrangement": "parallel"},
        ),
        ("generator_in", "device_rating_a", 25),
    ),
    # 1.5625 × 9.8 = 15.3 A
    "three strings of 9.8 A, NFPA 70": (
        changed(
            wiring={"rule_book": "nfpa70"},
            equipment={"module": {**LIGHT, "max_fuse_a": 20}, "controller": ONE_INPUT},
            roof_planes=roof(6, 3),
        ),
        ("string", "device_rating_a", 20),
    ),
    "three strings of 9.8 A, IEC": (
        changed(
            wiring={"rule_book": "iec60364"},
            equipment={"module": {**LIGHT, "max_fuse_a": 20}, "controller": ONE_INPUT},
            roof_planes=roof(6, 3),
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

SIX_FUSED_STRINGS = changed(
    wiring={"rule_book": "iec60364"},
    equipment={"module": {**LIGHT, "max_fuse_a": 20}, "controller": ONE_INPUT},
    roof_planes=roof(6, 6),
)
TWO_LEGS = changed(
    "town_house",
    loads={
        "appliances": [
            {**KILN, "running_w": 3000, "leg": "L1"},
            {**KILN, "name": "pump", "running_w": 2400, "leg": "L2"},
        ]
    },
)


def one_string(modules: int) -> Sketch:
    """So many modules of 49.5 V in series on a machine that bears them."""
    return changed(roof_planes=roof(modules, 1), equipment={"controller": HIGH})
