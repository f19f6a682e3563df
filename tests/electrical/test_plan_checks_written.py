"""Each check of a whole plan at its limit, worked out by hand."""

from types import SimpleNamespace

import pytest
from seeded_kit import box, roof, sketch_of

from offgrid_sizing.electrical.plan_checks import (
    bank_advice,
    breaker_faults,
    breaking_faults,
    charging_faults,
    electrode_advice,
    export_faults,
    ground_faults,
    mains_advice,
    module_faults,
    own_low_faults,
    place_faults,
    plan_advice,
    plan_faults,
    residual_advice,
    roof_faults,
)
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.system import drawn_system


def seen(base="home", *changes, bank=None, plans=("one",)):
    sketch = sketch_of(base, *changes)
    return SimpleNamespace(
        sketch=sketch, system=drawn_system(sketch), code=code_of(sketch.wiring.rule_book),
        bank=bank, plans=plans,
    )  # fmt: skip


def keys(sentences):
    return [one.origin.key for one in sentences]


def values(sentences):
    (one,) = sentences
    return dict(one.origin.values)


@pytest.mark.parametrize(("own_c", "told"), [(None, 0), (-30, 0), (0, 0), (0.1, 1), (10, 1)])
def test_an_own_record_low_may_be_15_k_warmer_than_the_place(own_c, told):
    low = {"weather": {"record_low_c": own_c}}
    assert keys(own_low_faults(seen("home", low), -15.0)) == ["plan.own_low"] * told
    assert keys(own_low_faults(seen("home", low, plans=()), -15.0)) == []


@pytest.mark.parametrize(("fit", "told"), [(None, 0), (13, 0), (12, 0), (11, 1), (0, 1)])
def test_a_plane_may_be_full(fit, told):
    found = keys(roof_faults(seen("home", roof(6, 2, max_modules=fit))))
    assert found == ["plan.roof_full"] * told


@pytest.mark.parametrize(
    # modules of 2.1 × 1.05 m, edge 0.3 m: six upright take 6.4 m, two rows 4.22 m
    ("width_m", "slope_m", "fit"),
    [(7.0, 4.82, None), (6.99, 4.82, 10), (7.0, 4.81, 9), (7.0, None, None), (30, 0.5, 0)],
)
def test_a_plane_may_be_too_small(width_m, slope_m, fit):
    found = roof_faults(seen("home", roof(6, 2, width_m=width_m, slope_m=slope_m)))
    assert [dict(one.origin.values)["fit"] for one in found] == ([] if fit is None else [fit])


@pytest.mark.parametrize(
    ("base", "array_on", "mounting", "modules", "told"),
    [
        ("farm", "ground", "open_rack", 6, 0), ("farm", "ground", "close_roof", 6, 1),
        ("farm", "ground", "insulated_back", 6, 1), ("farm", "ground", "close_roof", 0, 0),
        ("farm", "building", "close_roof", 6, 0), ("home", "ground", "close_roof", 6, 0),
    ],
)  # fmt: skip
def test_an_array_on_the_ground_is_not_close_to_a_roof(base, array_on, mounting, modules, told):
    drawn = roof(modules, 2, mounting=mounting)
    found = ground_faults(seen(base, drawn, {"building": {"array_on": array_on}}))
    assert keys(found) == ["plan.on_a_roof"] * told


@pytest.mark.parametrize(
    # 1.25 × 50 A = 62.5 A: 63 A by IEC, 70 A by NFPA 70; 1.25 × 5000 / 230 = 27.2 A: 32 A
    ("base", "passes_a", "named_a", "most_a"),
    [
        ("home, grid", 50, None, None), ("home, grid", 50, 63, None), ("home, grid", 50, 64, 63),
        ("town", 50, 70, None), ("town", 50, 71, 70),
        ("home, grid", 10, 32, None), ("home, grid", 10, 33, 32),
        # 1.25 × 5000 A: above every standard rating
        ("home, grid", 5000, 6250, None), ("home, grid", 5000, 6251, 6250),
    ],
)  # fmt: skip
def test_the_breaker_at_the_machine(base, passes_a, named_a, most_a):
    machine = box("inverter", transfer_max_a=passes_a, ac_breaker_a=named_a)
    found = list(breaker_faults(seen(base, machine)))
    assert [dict(one.origin.values)["most_a"] for one in found] == ([most_a] if most_a else [])


@pytest.mark.parametrize(
    # 230 V / 0.23 Ω = 1000 A; a tenth less passes
    ("kind", "named_ka", "loop_ohm", "told"),
    [
        ("steady", 0.9, 0.23, 0), ("steady", 0.899, 0.23, 1), ("none", 0.1, 0.23, 0),
        ("steady", 0.1, None, 0), ("steady", None, 0.0346, 0), ("steady", None, 0.034, 1),
    ],
)  # fmt: skip
def test_devices_break_what_the_loop_lets_through(kind, named_ka, loop_ohm, told):
    grid = {"grid": {"kind": kind, "prospective_short_circuit_ka": named_ka}}
    earthing = {"earthing": {"grid_loop_ohm": loop_ohm}}
    found = list(breaking_faults(seen("home, grid", grid, earthing)))
    assert keys(found) == ["plan.breaking"] * told
    for one in found:
        name = "grid.prospective_short_circuit_ka" if named_ka else "wiring.prospective_ac_fault_a"
        assert dict(one.origin.values)["field"].key == f"fields.{name}"


@pytest.mark.parametrize(
    # a device of 16 A bears 16 A for long: 3680 W at 230 V
    ("allowed", "limit_w", "rated_w", "told_w"),
    [
        (True, 3680, 5000, None), (True, 3690, 5000, 3690), (False, 9000, 5000, None),
        (True, 9000, 3600, None), (True, 9000, 4000, 4000),
    ],
)  # fmt: skip
def test_the_device_at_the_connection_carries_what_is_exported(allowed, limit_w, rated_w, told_w):
    grid = {"export_allowed": allowed, "export_limit_w": limit_w, "breaker_a": 16}
    found = list(
        export_faults(seen("home, grid", {"grid": grid}, box("inverter", rated_w=rated_w)))
    )
    assert [dict(one.origin.values)["export_w"] for one in found] == ([told_w] if told_w else [])
    assert [dict(one.origin.values)["most_w"] for one in found] == ([3680] if told_w else [])


def test_export_of_two_lines_by_the_other_code():
    """40 A bear 32 A: two lines of 120 V, 7680 W; two machines of 5 kW may give 10 kW."""
    grid = {"export_allowed": True, "export_limit_w": 10_000, "breaker_a": 40}
    found = values(export_faults(seen("town", {"grid": grid})))
    assert (found["export_a"], found["bears_a"], found["most_w"]) == (41.7, 32.0, 7680)


@pytest.mark.parametrize(
    ("base", "unit", "told"),
    [
        # 16 × 3.65 = 58.4 V, 24 × 2.5 = 60 V
        ("home", {"charge_v": 58.4}, []), ("home", {"charge_v": 58.5}, ["plan.cell_charged"]),
        ("home, vented", {"charge_v": 60}, []),
        ("home, vented", {"charge_v": 60.1}, ["plan.cell_charged"]),
        ("home", {"chemistry": "sodium_ion", "charge_v": 70}, []),  # none named
        ("home", {"equalise_v": 56}, []), ("home", {"equalise_v": 56.1}, ["plan.equalised"]),
        ("home", {"charge_v_per_k": 0}, []), ("home", {"charge_v_per_k": -0.01},
                                              ["plan.compensated"]),
        ("home, vented", {"equalise_v": 62, "charge_v_per_k": -0.2}, []),
        ("home", {"chemistry": "lead_acid_sealed", "nominal_v": 48, "equalise_v": 59,
                  "charge_v_per_k": -0.1}, []),
    ],
)  # fmt: skip
def test_what_a_chemistry_bears_and_wants(base, unit, told):
    assert keys(charging_faults(sketch_of(base, box("battery", **unit)))) == told


@pytest.mark.parametrize(
    ("kind", "room", "told"),
    [
        ("indoor", "garage", 0), ("indoor", "living", 0), ("indoor", "outdoor", 1),
        ("indoor", "unknown", 0), ("outdoor", "outdoor", 0), ("outdoor", "unknown", 0),
        ("cupboard", "garage", 0), ("heated", "utility", 1), ("outdoor", "living", 1),
    ],
)  # fmt: skip
def test_a_bank_stands_in_one_place(kind, room, told):
    sketch = sketch_of("home", box("bank_place", kind=kind), {"building": {"bank_room": room}})
    assert keys(place_faults(sketch)) == ["plan.two_places"] * told


def joined(charge_a, takes_a, set_a):
    limits = SimpleNamespace(joined_charge_a=takes_a, charge_set_a=set_a)
    return SimpleNamespace(charge_a=charge_a, limits=limits)


@pytest.mark.parametrize(("heated_c", "told"), [(0, 0), (-0.1, 1)])
def test_a_bank_is_not_charged_below_its_own_limit(heated_c, told):
    place = box("bank_place", kind="heated", heated_c=heated_c)
    found = bank_advice(seen("home", place, bank=joined(100, 200, 100)), -15.0)
    assert keys(found) == ["plan.too_cold"] * told


@pytest.mark.parametrize(
    ("base", "bank", "told"),
    [
        ("home", joined(100, 200, 100), None),  # the array's controller alone: 100 A
        ("home", joined(99, 200, 99), None),  # rounded down
        ("home", joined(98, 200, 98), (100, 98, 98)),
        ("home, grid", joined(180, 200, 180), None), ("home, grid", joined(180, 150, 150),
                                                      (180, 150, 150)),
        ("shop", joined(150, 160, 75), (360, 150, 75)),
    ],
)  # fmt: skip
def test_chargers_that_could_give_more_are_set(base, bank, told):
    found = list(bank_advice(seen(base, bank=bank), 20.0))
    assert keys(found) == (["plan.set_charge"] if told else [])
    for one in found:
        numbers = dict(one.origin.values)
        assert (numbers["could_a"], numbers["takes_a"], numbers["set_a"]) == told


def test_without_a_bank_nothing_of_it_is_said():
    assert keys(bank_advice(seen("home", box("bank_place", kind="outdoor")), -15.0)) == []


@pytest.mark.parametrize(
    ("base", "ohm", "told"),
    [("farm", None, 0), ("farm", 25, 0), ("farm", 25.1, 1), ("home", 200, 0)],
)
def test_one_rod_stands_alone_up_to_25_ohm_by_nfpa_70(base, ohm, told):
    found = electrode_advice(seen(base, {"earthing": {"electrode_ohm": ohm}}))
    assert keys(found) == ["plan.electrode"] * told


@pytest.mark.parametrize(
    # the United States: two lines of 120 V at 60 Hz
    ("base", "country", "output_v", "hz", "told"),
    [
        ("home, grid", "United States", 120, 60, 0), ("home, grid", "United States", 240, 60, 0),
        ("home, grid", "United States", 120, 50, 1), ("home, grid", "United States", 208, 60, 0),
        ("home, grid", "United States", 180, 60, 1), ("home, grid", "", 120, 60, 0),
        ("home, grid", "Germany", 230, 50, 0), ("home, grid", "Germany", 220, 50, 0),
        ("home, grid", "Germany", 120, 60, 1), ("home", "Germany", 120, 60, 0),
    ],
)  # fmt: skip
def test_the_mains_of_the_country(base, country, output_v, hz, told):
    machine = box("inverter", output_v=output_v, frequency_hz=hz)
    sketch = sketch_of(base, machine, {"site": {"country": country}})
    assert keys(mains_advice(sketch)) == ["plan.mains"] * told


def strings(in_parallel):
    return (SimpleNamespace(in_parallel=in_parallel),) if in_parallel else ()


@pytest.mark.parametrize(
    ("beta_per_k", "in_parallel", "told"),
    [(-0.0027, 1, 0), (-0.001, 1, 0), (-0.0009, 1, 1), (0.0, 2, 1), (0.0, 0, 0)],
)
def test_a_voltage_that_hardly_follows_the_temperature(beta_per_k, in_parallel, told):
    module = box("module", beta_voc_per_k=beta_per_k)
    found = module_faults(seen("home", module, plans=strings(in_parallel)))
    assert keys(found) == ["plan.beta"] * told


@pytest.mark.parametrize(
    # 3 × 11.5 A = 34.5 A, and 20 A of a small one
    ("isc_a", "rating_a", "in_parallel", "told"),
    [
        (11.5, 34.5, 3, 0), (11.5, 34.6, 3, 1), (11.5, 100, 2, 0), (11.5, 100, 0, 0),
        (5.9, 20, 3, 0), (5.9, 20.1, 3, 1),
    ],
)  # fmt: skip
def test_a_modules_fuse_is_of_the_order_of_its_current(isc_a, rating_a, in_parallel, told):
    imp_a = isc_a * 0.94
    module = box("module", isc_a=isc_a, imp_a=imp_a, max_fuse_a=rating_a, power_w=41.5 * imp_a)
    found = module_faults(seen("home", module, plans=strings(in_parallel)))
    assert keys(found) == ["plan.module_fuse"] * told


@pytest.mark.parametrize(
    ("base", "kind", "isolates", "told"),
    [
        ("home", "ac", "no", 1), ("home", "ac", "yes", 0), ("home", "ac", "unknown", 0),
        ("home", "a", "no", 0), ("home", "b", "no", 0), ("farm", "ac", "no", 0),
    ],
)  # fmt: skip
def test_a_residual_device_behind_no_transformer(base, kind, isolates, told):
    machine = box("inverter", residual_type=kind, isolates_bank=isolates)
    assert keys(residual_advice(seen(base, machine))) == ["plan.type_ac"] * told


# --- the figures of each sentence, worked by hand -----------------------------------------------


def told(sentences, *names):
    found = values(sentences)
    return tuple(found[name] for name in names)


def test_figures_of_a_low_that_the_place_contradicts():
    low = {"weather": {"record_low_c": 10}}
    found = own_low_faults(seen("home", low), -15.0)
    assert told(found, "entered_c", "low_c") == (10, -15)


def test_figures_of_a_module():
    """−0.0001234 per kelvin are −0.012 %; −0.1 % is the least. Three times 11.42 A are 34.26 A; the
    input with most strings decides."""
    plans = (SimpleNamespace(in_parallel=1),)
    hardly = module_faults(seen("home", box("module", beta_voc_per_k=-0.0001234), plans=plans))
    assert told(hardly, "percent", "least") == (-0.012, -0.1)
    wide = (*strings(4), *strings(1))
    module = box("module", isc_a=11.42, imp_a=10.7, max_fuse_a=40, power_w=41.5 * 10.7)
    found = module_faults(seen("home", module, plans=wide))
    assert told(found, "rating_a", "isc_a", "usual_a", "strings") == (40, 11.42, 34.3, 4)


def test_a_coefficient_just_flatter_than_any_modules():
    module = box("module", beta_voc_per_k=-0.00095)
    assert keys(module_faults(seen("home", module, plans=strings(1)))) == ["plan.beta"]


def test_figures_of_a_full_plane():
    found = roof_faults(seen("home", roof(6, 2, max_modules=11)))
    assert told(found, "series", "strings", "modules", "fit") == (6, 2, 12, 11)


@pytest.mark.parametrize(
    ("passes_a", "named_a", "figures"),
    [
        (50.26, 70, (70, 50.3, 63)),  # 62.8 A: 63
        (40, 51, (51, 40, 50)),  # just 50 A, which is a rating
    ],
)
def test_figures_of_a_breaker(passes_a, named_a, figures):
    machine = box("inverter", transfer_max_a=passes_a, ac_breaker_a=named_a)
    found = breaker_faults(seen("home, grid", machine))
    assert told(found, "named_a", "passes_a", "most_a") == figures


def test_figures_of_what_devices_break():
    """230 V / 0.15 Ω = 1,533 A, of which 1,234 A are not nine tenths. No grid, no loop."""
    grid = {"grid": {"kind": "steady", "prospective_short_circuit_ka": 1.234}}
    found = breaking_faults(seen("home, grid", grid, {"earthing": {"grid_loop_ohm": 0.15}}))
    assert told(found, "named_ka", "loop_ohm", "loop_ka") == (1.23, 0.15, 1.53)
    none, loop = {"grid": {"kind": "none"}}, {"earthing": {"grid_loop_ohm": 0.034}}
    assert keys(breaking_faults(seen("home, grid", none, loop))) == []


def test_figures_of_an_export():
    """33.2 A bear 26.56 A by NFPA 70: 240 V × 26.56 A = 6,374 W; 7,000 W are 29.2 A."""
    grid = {"export_allowed": True, "export_limit_w": 7000, "breaker_a": 33.2}
    found = export_faults(seen("town", {"grid": grid}))
    names = ("export_w", "export_a", "device_a", "bears_a", "most_w")
    assert told(found, *names) == (7000, 29.2, 33.2, 26.6, 6374)


def test_nothing_is_exported_through_a_generators_device():
    """3,680 W are 16 A: the grid's 16 A bear them, the generator's 10 A need not."""
    grid = {"export_allowed": True, "export_limit_w": 3680, "breaker_a": 16}
    changes = {"grid": grid, "generator": {"breaker_a": 10}}
    assert keys(export_faults(seen("home, both", changes))) == []


def test_figures_of_a_charge():
    """58.5 V on 16 cells are 3.656 V a cell; a unit of less than half a cell has none to share."""
    found = charging_faults(sketch_of("home", box("battery", charge_v=58.5)))
    names = ("charge_v", "cells", "cell_charge_v", "most_v")
    assert told(found, *names) == (58.5, 16, 3.66, 3.65)
    tiny = {"nominal_v": 1.5, "charge_v": 1.8, "cutoff_v": 1.2, "equalise_v": None}
    assert told(charging_faults(sketch_of("home", box("battery", **tiny))), *names) == (
        1.8, 0, 1.8, 3.65,
    )  # fmt: skip
    equalised = charging_faults(sketch_of("home", box("battery", equalise_v=56.1)))
    assert told(equalised, "to_v") == (56.1,)
    warmed = charging_faults(sketch_of("home", box("battery", charge_v_per_k=-0.01)))
    assert told(warmed, "per_k") == (-0.01,)


def test_figures_of_a_cold_bank_and_of_its_chargers():
    """Heated to −0.1 °C it stands so whatever the air; 100.26 A could be given, 98.76 A taken."""
    place = box("bank_place", kind="heated", heated_c=-0.1)
    found = bank_advice(seen("home", place, bank=joined(100, 200, 100)), -15.0)
    assert told(found, "stands_c", "charge_c") == (-0.1, 0)
    strong = box("controller", max_charge_a=100.26)
    found = bank_advice(seen("home", strong, bank=joined(98.76, 200, 98)), 20.0)
    assert told(found, "could_a", "takes_a", "set_a") == (100.3, 98.8, 98)


def test_figures_of_one_rod_and_of_a_residual_device():
    found = electrode_advice(seen("farm", {"earthing": {"electrode_ohm": 25.1}}))
    assert told(found, "ohm", "most_ohm") == (25.1, 25)
    machine = box("inverter", residual_type="ac", isolates_bank="no")
    assert told(residual_advice(seen("home", machine)), "residual_ma") == (30,)


@pytest.mark.parametrize(
    # 15 % of 240 V are 36 V, of 120 V 18 V
    ("output_v", "told_so"),
    [(205, 0), (203, 1), (137, 0), (139, 1)],
)
def test_mains_alike_within_15_percent(output_v, told_so):
    machine = box("inverter", output_v=output_v, frequency_hz=60)
    sketch = sketch_of("home, grid", machine, {"site": {"country": "United States"}})
    assert keys(mains_advice(sketch)) == ["plan.mains"] * told_so


def test_figures_of_other_mains():
    machine = box("inverter", output_v=230, frequency_hz=50)
    sketch = sketch_of("home, grid", machine, {"site": {"country": "United States"}})
    names = ("grid_v", "grid_hz", "machine_v", "machine_hz")
    assert told(mains_advice(sketch), *names) == (120, 60, 230, 50)


def test_of_a_bank_that_is_not_there_nothing_is_held_against_the_plan():
    """The place contradicts the room, which matters to a bank alone."""
    outdoors = {"building": {"bank_room": "outdoor"}}
    changes = (outdoors, box("bank_place", kind="indoor"))
    for bank, told_keys in ((None, []), ("a bank", ["plan.two_places"])):
        found = plan_faults(seen("home", *changes, bank=bank, plans=()), -15.0)
        assert keys(found) == told_keys


def test_every_check_has_its_place_in_the_plan():
    """One fault of each check, in their order; then one word of advice of each."""
    changes = (
        roof(6, 2, max_modules=11, mounting="close_roof"),
        {"weather": {"record_low_c": 10}, "building": {"array_on": "ground",
                                                       "bank_room": "outdoor"}},
        {"grid": {"export_allowed": True, "export_limit_w": 10_000, "breaker_a": 40,
                  "prospective_short_circuit_ka": 0.1}},
        box("module", beta_voc_per_k=0.0), box("bank_place", kind="indoor"),
        box("inverter", ac_breaker_a=500),
    )  # fmt: skip
    found = plan_faults(seen("town", *changes, bank="a bank", plans=strings(1)), -15.0)
    assert keys(found) == [
        "plan.own_low", "plan.beta", "plan.roof_full", "plan.on_a_roof", "plan.breaker",
        "plan.breaking", "plan.export", "plan.two_places",
    ]  # fmt: skip
    rod = {"earthing": {"electrode_ohm": 30}, "site": {"country": "Germany"}}
    place = box("bank_place", kind="heated", heated_c=-0.1)
    advice = plan_advice(seen("town", rod, place, bank=joined(500, 500, 500)), -15.0)
    assert keys(advice) == ["plan.too_cold", "plan.electrode", "plan.mains"]
    machine = box("inverter", residual_type="ac", isolates_bank="no")
    assert keys(plan_advice(seen("home", machine), 20.0)) == ["plan.type_ac"]
