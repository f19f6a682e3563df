"""Sketches whose plan check has nothing to say, every question answered, and changes of them."""

from iec_kit import home_named

from offgrid_sizing.sketch import Sketch

LOW_C = -15.0

# What an inspector asks, answered well.
ANSWERED = {
    "site": {"country": ""},
    "building": {
        "array_on": "building", "rapid_shutdown": "yes", "lightning_rod": "no",
        "bank_room": "garage", "working_depth_m": 1.3, "opposite": "nothing", "multiwire": "no",
    },
    "equipment": {
        "controller": {"arc_fault": "yes", "ground_fault": "yes"},
        "inverter": {
            "bonds_neutral": "yes", "switches_neutral": "yes", "isolates_bank": "no",
            "residual_type": "b", "fault_shutdown_s": 0.1,
        },
    },
    "earthing": {"bank": "floating_monitored", "board_bond": "no"},
}  # fmt: skip
AMERICA = {"site": {"country": "United States"}}
GRID = {
    "grid": {"kind": "steady", "prospective_short_circuit_ka": 6},
    "earthing": {"grid_system": "tn_s", "grid_loop_ohm": 0.3},
}
TOWN = {
    "grid": {"prospective_short_circuit_ka": 6},
    "earthing": {"grid_system": "tn_c_s", "grid_loop_ohm": 0.3},
}
GENERATOR = {
    "generator": {"rated_w": 5000, "short_circuit_a": 150},
    "earthing": {"generator_bond": "bonded"},
}
BOTH = {"earthing": {"changeover": "lines_and_neutral"}}
FLOODED = {
    "battery": {
        "chemistry": "lead_acid_flooded", "nominal_v": 48, "charge_v": 57.6, "equalise_v": 59.5,
        "charge_v_per_k": -0.12, "cutoff_v": 44, "capacity_ah": 400, "max_charge_a": 80,
        "max_discharge_a": 200, "min_charge_c": -10,
    },
    "inverter": {"bank_max_v": 66},
}  # fmt: skip
# 4 units of 51.2 V, 6 modules in series twice, one machine of 5 kW; what each is fed by, its code
CLEAN = {
    "home": ("iec_home",),  # nothing, IEC 60364
    "home, grid": ("iec_home", GRID),
    "home, generator": ("iec_home", GENERATOR),
    "home, both": ("iec_home", GRID, GENERATOR, BOTH),
    "home, vented": ("iec_home", {"equipment": FLOODED}),
    "farm": ("farmhouse", AMERICA),  # nothing, NFPA 70, 120 V
    "town": ("town_house", AMERICA, TOWN),  # grid, NFPA 70, two machines, 120/240 V
    "shop": ("shop", GENERATOR),  # generator, IEC 60364, two machines
}


def merged(first, more):
    """A nested mapping with parts of another in place of its own."""
    found = dict(first)
    for name, part in more.items():
        own = first.get(name)
        found[name] = (
            merged(own, part) if isinstance(part, dict) and isinstance(own, dict) else part
        )
    return found


def sketch_of(base, *changes) -> Sketch:
    """A clean sketch with something changed."""
    name, *parts = CLEAN[base]
    raw = home_named(name).model_dump()
    for part in (ANSWERED, *parts, *changes):
        raw = merged(raw, part)
    return Sketch.model_validate(raw)


def roof(series, strings, **more):
    return {
        "roof_planes": [{"name": "roof", "modules_in_series": series, "strings": strings, **more}]
    }


def box(name, **values):
    return {"equipment": {name: values}}


def own(run, size, **more):
    return {"wiring": {run: {"size": size, **more}}}
