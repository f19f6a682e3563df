"""Systems of every kind: arrangements × supplies × wiring codes, and banks of other voltages."""

from itertools import product

from iec_kit import home_named

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import Sketch


def varied(name="iec_home", **parts):
    """A home with some of its parts replaced, validated anew."""
    return Sketch.model_validate({**home_named(name).model_dump(), **parts})


SUPPLIES = {
    "no supply": {"grid": {"kind": "none"}, "generator": None},
    "grid": {"grid": {"kind": "steady"}, "generator": None},
    "generator": {"grid": {"kind": "none"}, "generator": {"rated_w": 5000}},
    "both": {
        "grid": {"kind": "failing", "prospective_short_circuit_ka": 10},
        "generator": {"rated_w": 12_000, "short_circuit_a": 180},
    },
}
MACHINES = {"single": 1, "parallel": 3, "split_phase": 2, "three_phase": 3}
BOOKS = ("iec60364", "nfpa70")
VENTED = {
    "chemistry": "lead_acid_flooded", "nominal_v": 48, "charge_v": 57.6, "equalise_v": 59.5,
    "charge_v_per_k": -0.12, "cutoff_v": 44, "capacity_ah": 400, "max_charge_a": 80,
    "max_discharge_a": 200,
}  # fmt: skip
LOW = {"nominal_v": 25.6, "charge_v": 28, "cutoff_v": 22.4}
BANKS = {
    "24 V": {
        "battery": LOW,
        "inverter": {
            "bank_v": 24, "bank_min_v": 20, "bank_max_v": 32, "rated_w": 2000, "rated_va": 2000,
        },
    },
    "two 24 V units in series": {"battery": LOW},
    "vented 48 V": {"battery": VENTED, "inverter": {"bank_max_v": 66}},
    "eight strings fused": {"controller": {"max_input_a": 150, "max_power_w": 60_000, "inputs": 1}},
}  # fmt: skip


def systems():
    """Name and sketch of each."""
    found = {}
    for (arrangement, count), (supply, parts), book in product(
        MACHINES.items(), SUPPLIES.items(), BOOKS
    ):
        sketch = varied(
            drawn={"units_in_parallel": 6, "inverters": count, "arrangement": arrangement},
            wiring={"rule_book": book},
            **parts,
        )
        found[f"{arrangement}, {supply}, {book}"] = sketch
    for (bank, equipment), book in product(BANKS.items(), BOOKS):
        series = 2 if "series" in bank else 1
        sketch = varied(
            equipment=equipment,
            drawn={"units_in_series": series, "units_in_parallel": 6, "inverters": 1},
            wiring={"rule_book": book},
            roof_planes=[{"name": "roof", "modules_in_series": 6, "strings": 8}],
            **SUPPLIES["both"],
        )
        found[f"{bank}, {book}"] = sketch
    return found


PLANES = (
    {"name": "Barn roof, south", "modules_in_series": 6, "strings": 3},
    {"name": "Barn roof, west", "modules_in_series": 7, "strings": 2},
)
CASES = {
    "single": demo("farmhouse"),
    "split phase": demo("town_house"),
    "parallel": demo("shop"),
    "three phase": varied(
        drawn={"units_in_parallel": 8, "inverters": 3, "arrangement": "three_phase"},
        grid={"kind": "steady"},
        roof_planes=PLANES,
    ),
    "six machines, fused strings": varied(
        equipment={"controller": {"max_input_a": 70, "max_power_w": 30_000}},
        drawn={"units_in_parallel": 12, "inverters": 6, "arrangement": "parallel"},
        grid={"kind": "steady"},
        generator={},
        roof_planes=(
            {"name": "A very long name of a roof to the south", "modules_in_series": 7,
             "strings": 44},
            {"name": "West", "modules_in_series": 6, "strings": 3},
        ),
    ),
    "without array and bank": varied(
        drawn={"units_in_parallel": 0, "inverters": 1, "arrangement": "single"}, roof_planes=()
    ),
}  # fmt: skip
