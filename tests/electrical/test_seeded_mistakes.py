"""Mistakes a plan is sent back for, each made in a sketch that the check has nothing to say of.

A row holds the sketch it is made in, the mistake, the key under which it is found, and what its
sentence must say. Keys of faults and advice are those of the words; `row:` is a row of what
inspectors look for that turned into a fault.
"""

from functools import cache

import pytest
from english_kit import english
from seeded_kit import AMERICA, CLEAN, LOW_C, box, merged, own, roof, sketch_of

from offgrid_sizing.electrical.design import ElectricalDesign, electrical_design
from offgrid_sizing.electrical.verdict import verdict_of
from offgrid_sizing.loads.boundary import peak_of
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.system import drawn_system


def design_of(sketch) -> ElectricalDesign:
    return electrical_design(sketch, drawn_system(sketch), record_low_c=LOW_C, peak=peak_of(sketch))


@cache
def clean(base) -> ElectricalDesign:
    return design_of(sketch_of(base))


def found(design) -> dict[str, list]:
    """All sentences by their key, faults and advice; faults of the inspection by their row."""
    told: dict[str, list] = {}
    for one in (*design.faults, *design.advice):
        told.setdefault(one.origin.key, []).append(one)
    told.pop("inspection.as_fault", None)
    for row in design.inspection.of("fault"):
        told.setdefault(f"row:{row.key}", []).append(row.fault)
    return told


# name, clean sketch, mistake, key, words; figures by hand where they are not those entered
FAULTS = [
    # --- the array: 49.5 V open, −0.27 %/K, 40 K colder than 25 °C: × 1.108
    ("string above the controller's voltage in the cold", "home", roof(10, 1),
     "strings.controller", ("10 in series give 548 V", "-15 °C", "withstands 500 V")),
    ("the same by the other code", "farm", roof(10, 1),
     "strings.controller", ("548 V", "500 V")),
    ("string above the module's own system voltage", "home", box("module", max_system_v=300),
     "strings.module", ("6 in series give 329 V", "300 V")),
    ("more than 600 V on a dwelling", "farm",
     merged(roof(11, 1), box("controller", max_voc_v=1000, mppt_max_v=900)),
     "inspection.dc_limit.string", ("604 V", "600 V is allowed", "690.7")),
    ("more than 1000 V on a dwelling", "home",  # 19 × 54.846 = 1042.1
     merged(merged(roof(19, 1), box("controller", max_voc_v=1500, mppt_max_v=1200)),
            box("module", max_system_v=1500)),
     "inspection.dc_limit.string", ("1043 V", "1000 V is allowed", "IEC 62548")),
    ("string below the MPP range in the heat", "home", roof(1, 2),
     "strings.hot", ("34 V at the MPP with cells at 70 °C", "starts at 60 V")),
    ("string above the MPP range", "farm", box("controller", mppt_max_v=240),
     "strings.working", ("6 in series give 249 V", "ends at 240 V")),
    ("short-circuit current above the controller's input", "home",
     box("controller", max_input_a=14),
     "strings.parallel", ("1 in parallel give up to 14.4 A", "withstands 14 A")),
    ("too many strings on one input", "farm", roof(6, 4),
     "strings.input", ("roof: 2 strings on one input, which withstands 1",)),
    ("more roof planes than inputs", "home",
     {"roof_planes": [{"name": f"roof {n}", "modules_in_series": 3, "strings": 1}
                      for n in range(3)]},
     "strings.planes", ("3 roof planes", "have 2")),
    ("array above the controller's power", "home", box("controller", max_power_w=5000),
     "strings.array", ("5.4 kW", "5.0 kW")),
    ("string fuse above what the module allows", "home",
     merged(roof(4, 8), merged(
         box("controller", max_input_a=150, max_power_w=60_000, inputs=1),
         box("module", max_fuse_a=15))),
     "sources.bound.module", ("20 A", "15 A", "IEC 62548")),
    ("more modules than fit on the roof plane", "home", roof(6, 2, max_modules=10),
     "plan.roof_full", ("6 × 2 = 12;", "modules that fit: 10")),
    ("a record low that the weather contradicts", "home",
     {"weather": {"record_low_c": 10}},
     "plan.own_low", ("10 °C", "not as low as this place", "-15 °C")),
    ("temperature coefficient left at nothing", "home", box("module", beta_voc_per_k=-0.0003),
     "plan.beta", ("-0.03 % per K", "below -0.1 % per K", "more voltage than this plan says")),
    # 3 × 11.5 A = 34.5 A; four strings feed 3 × 11.5 A into one that stands 20 A
    ("string fuses left out by a mistyped rating", "home",
     merged(roof(4, 4), merged(
         box("controller", max_input_a=150, inputs=1), box("module", max_fuse_a=100))),
     "plan.module_fuse", ("100 A", "Isc of 11.5 A", "34.5 A", "4 strings in parallel")),
    ("cable too warm for its insulation", "farm",
     {"wiring": {"insulation_c": 75, "roof_ambient_c": 80}},
     "wiring.too_hot", ("String", "75 °C", "80 °C")),
    ("no rapid shutdown on a roof", "farm", {"building": {"rapid_shutdown": "no"}},
     "row:rapid_shutdown", ("has no rapid shutdown", "690.12")),
    ("a roof called ground to escape rapid shutdown", "farm",
     {"building": {"array_on": "ground", "rapid_shutdown": "no"}},
     "plan.on_a_roof", ("Barn roof, south", "Close to roof", "690.12")),
    ("no arc-fault protection", "farm", box("controller", arc_fault="no"),
     "row:arc_fault", ("329.1 V", "from 80 V", "690.11")),
    ("nothing watches the array's insulation", "home", box("controller", ground_fault="no"),
     "row:ground_fault", ("Nothing monitors the array's insulation", "IEC 62548")),
    ("the same by the other code", "farm", box("controller", ground_fault="no"),
     "row:ground_fault", ("Nothing monitors the array's insulation", "690.41(B)")),
    # --- the bank
    ("bank and inverter of unlike voltage", "home",
     box("inverter", bank_v=24, bank_min_v=20, bank_max_v=60),
     "bank.wrong_voltage", ("51.2 V nominal (1 in series)", "needs 24 V")),
    ("units in series by mistake", "farm", {"drawn": {"units_in_series": 2}},
     "bank.charged_too_high", ("112 V", "withstands 60 V")),
    ("cut-off below the inverter's own", "home", box("inverter", bank_min_v=46),
     "bank.cutoff_below", ("44.8 V", "46 V")),
    ("more units in parallel than the maker allows", "home", box("battery", max_parallel=3),
     "bank.too_many", ("4 units in parallel", "allows 3")),
    # 5000 W / (0.92 × 44.8 V) = 121.3 A
    ("inverter draws more than the bank gives", "home",
     merged({"drawn": {"units_in_parallel": 1}}, box("battery", max_discharge_a=30)),
     "bank.draws_more", ("draw up to 121 A", "supplies 30 A", "512.1.2")),
    ("device above what the unit's maker allows", "home", box("battery", max_fuse_a=63),
     "sources.bound.unit", ("a device of 100 A", "63 A", "134.1.1")),
    ("device above what the inverter's maker allows at the bank", "home",
     box("inverter", bank_fuse_a=100),
     "sources.bound.machine", ("a device of 125 A", "100 A", "134.1.1")),
    ("the same by the other code", "farm", box("inverter", bank_fuse_a=100),
     "sources.bound.machine", ("a device of 175 A", "100 A", "110.3(B)")),
    ("lithium bank equalised", "home", box("battery", equalise_v=58),
     "plan.equalised", ("58 V", "LiFePO4", "never equalised")),
    ("lithium bank with temperature compensation", "farm", box("battery", charge_v_per_k=-0.1),
     "plan.compensated", ("-0.1 V", "LiFePO4", "same voltage in cold and heat")),
    ("lithium cells overcharged", "home", box("battery", charge_v=59.2),  # 59.2 / 16 = 3.7
     "plan.cell_charged", ("59.2 V", "3.7 V on each of its 16 cells", "3.65 V")),
    ("lead cells overcharged", "home, vented", box("battery", charge_v=61.2),  # 61.2 / 24 = 2.55
     "plan.cell_charged", ("61.2 V", "2.55 V on each of its 24 cells", "2.5 V")),
    ("equalised above what the inverter bears", "home, vented", box("inverter", bank_max_v=60),
     "sources.charge_too_high", ("equalising in the cold", "60 V")),
    ("bank where people sleep", "farm", {"building": {"bank_room": "living"}},
     "row:bank_place", ("20.5 kWh", "may not be installed here", "706.10")),
    ("bank too large for its room", "farm",
     {"building": {"bank_room": "utility"}, "drawn": {"units_in_parallel": 8}},
     "row:bank_place", ("41 kWh", "40 kWh allowed", "NFPA 855")),
    ("bank that gives off gas where people sleep", "home, vented",
     {"building": {"bank_room": "living"}},
     "row:bank_place", ("gives off hydrogen", "a ventilated one", "IEC 62485-2")),
    ("bank outdoors that the year takes to stand indoors", "home",
     {"building": {"bank_room": "outdoor"}},
     "plan.two_places", ("Outdoors or on an outer wall", "Indoors")),
    # 0.05 × 24 × 20 × 1600 / 1000 = 38.4 m³/h, × 28 = 1075.2 cm²
    ("too little air at a bank that gives off gas", "home, vented",
     {"building": {"vent_area_cm2": 50}},
     "row:ventilation", ("38.4 m³/h", "1076 cm²", "only 50 cm²")),
    ("earthed bank without a transformer", "home", {"earthing": {"bank": "negative"}},
     "row:bank_earth", ("negative pole", "does not isolate it", "short circuit")),
    ("bank of 224 V floats unwatched", "home",
     merged({"earthing": {"bank": "floating"}, "drawn": {"units_in_series": 4}},
            box("inverter", bank_v=192, bank_min_v=170, bank_max_v=240)),
     "row:bank_earth", ("224 V", "above 120 V monitoring is required")),
    # --- conductors and devices
    ("cable from the bank below its current", "home", own("bank_to_inverter", "16 mm2"),
     "runs.broken.ampacity", ("Bank to inverter-charger, 16 mm²", "115 A", "121 A")),
    ("device above the cable's ampacity", "home", own("bank_to_inverter", "16 mm2"),
     "runs.broken.device", ("16 mm²", "with 94 A", "device of 125 A")),
    # 12 AWG: 30 A at 90 °C, 25 A at its terminals; 1.25 × 41.7 A of a 5 kVA machine at 120 V
    ("cable to the board below its current", "farm", own("ac_out", "12 AWG"),
     "runs.broken.terminal", ("12 AWG", "allow 25 A", "52 A")),
    ("device above the cable's ampacity, by the other code", "farm", own("ac_out", "12 AWG"),
     "runs.broken.device", ("12 AWG", "with 25 A", "device of 60 A")),
    ("voltage drop on a long array cable", "home", own("array_feeder", "4 mm2", length_m=120),
     "runs.broken.drop", ("PV array cable, 4 mm²", "6.6%", "3.0%")),
    ("cables bunched and sized as if alone", "home", own("ac_out", "2.5 mm2", loaded_together=9),
     "runs.broken.ampacity", ("AC output, each inverter-charger, 2.5 mm²", "16 A", "22 A")),
    ("thin conductors laid in parallel", "farm", own("bank_to_inverter", "4 x 6 AWG"),
     "runs.not_parallel", ("4 × 6 AWG", "1/0 AWG", "310.10(G)")),
    ("protective conductor too thin", "home", own("earth", "2.5 mm2"),
     "runs.earth_too_small", ("2.5 mm²", "requires 16 mm²", "54.2")),
    ("grounding conductor too thin", "farm", own("earth", "14 AWG"),
     "runs.earth_too_small", ("14 AWG", "requires 6 AWG", "250.122")),
    ("maker's breaker smaller than what the input passes", "home, grid",
     box("inverter", ac_breaker_a=32),
     "sources.above_named", ("states a device of 32 A", "50 A", "134.1.1")),
    # 50 A pass; 62.5 A, next 63 A and 70 A
    ("breaker larger than what the input passes", "home, grid", box("inverter", ac_breaker_a=80),
     "plan.breaker", ("80 A", "passes 50 A", "at most 63 A")),
    ("the same by the other code", "town", box("inverter", ac_breaker_a=80),
     "plan.breaker", ("80 A", "passes 50 A", "at most 70 A")),
    # 230 V / 0.3 Ω = 767 A; 230 V / 0.02 Ω = 11.5 kA
    ("breaking capacity from a mistyped short-circuit current", "home, grid",
     {"grid": {"prospective_short_circuit_ka": 0.06}},
     "plan.breaking", ("0.06 kA", "0.3 Ω", "0.77 kA", "434.5.1")),
    ("breaking capacity below the measured loop", "home, grid",
     {"grid": {"prospective_short_circuit_ka": None}, "earthing": {"grid_loop_ohm": 0.02}},
     "plan.breaking", ("6 kA", "0.02 Ω", "11.5 kA")),
    # 120 V / 0.01 Ω = 12 kA
    ("the same by the other code", "town", {"earthing": {"grid_loop_ohm": 0.01}},
     "plan.breaking", ("6 kA", "0.01 Ω", "12 kA", "110.9")),
    # 5000 W / 230 V = 21.7 A, 16 A × 230 V = 3680 W
    ("export above the device at the connection", "home, grid",
     {"grid": {"export_allowed": True, "breaker_a": 16}},
     "plan.export", ("5000 W", "21.7 A", "device of 16 A", "3680 W")),
    # --- machines together, and what they feed
    ("split phase with machines that cannot", "town", box("inverter", can_split_phase=False),
     "arrangement.no_split_phase", ("cannot work in split phase",)),
    ("three phases with machines that cannot", "home",
     merged({"drawn": {"inverters": 3, "arrangement": "three_phase"}},
            box("inverter", can_three_phase=False)),
     "arrangement.no_three_phase", ("cannot work in three phase",)),
    ("lines loaded unevenly", "home, grid",
     {"drawn": {"inverters": 2, "arrangement": "split_phase"}},
     "arrangement.uneven", ("52%", "10% is accepted")),
    ("more machines together than the maker allows", "shop", box("inverter", parallel_max=1),
     "arrangement.too_many", ("2 inverter-chargers together", "allows 1")),
    ("240 V outlets on a single supply of 120 V", "farm", {"building": {"multiwire": "yes"}},
     "row:single_voltage", ("One supply of 120 V", "share a neutral", "710.15(C)")),
    ("machine too small for what runs at once", "home",
     box("inverter", rated_w=1000, rated_va=1000),
     "arrangement.line_short", ("1000", "551.2.3")),
    ("a motor that does not start", "home", box("inverter", surge_va=1200, rated_va=1200),
     "arrangement.start_short", ("1200",)),
    ("too little floor before the boxes", "farm", {"building": {"working_depth_m": 0.6}},
     "row:working_space", ("0.914 m", "There is only 0.6 m", "110.26(A)")),
    # --- neutral and earth, generator, changeover
    ("neutral and earth bonded nowhere", "home", box("inverter", bonds_neutral="no"),
     "row:bond_islanded", ("bonded nowhere", "would trip no device", "411.3")),
    ("neutral and earth bonded twice", "farm", {"earthing": {"board_bond": "yes"}},
     "row:bond_islanded", ("bonded more than once", "exactly one bond", "250.30")),
    ("generator without a bond", "home, generator", {"earthing": {"generator_bond": "floating"}},
     "row:bond_generator", ("fed by the generator", "bonded nowhere")),
    ("generator's bond beside the machine's own", "shop", box("inverter", switches_neutral="no"),
     "row:bond_islanded", ("at the generator, in the inverter-charger", "more than once")),
    ("grid and generator without a transfer switch", "home, both",
     {"earthing": {"changeover": "none"}},
     "row:changeover", ("without a transfer switch", "feed each other", "551.6")),
    ("transfer switch without a pole for the neutral", "home, both",
     {"earthing": {"changeover": "lines"}},
     "row:bond_generator", ("at the generator, at the grid supply", "more than once")),
    # 50 V / 30 mA = 1667 Ω
    ("earth electrode too weak for the residual device", "home, grid",
     {"earthing": {"grid_system": "tt", "electrode_ohm": 2000}},
     "row:residual", ("2000 Ω", "only up to 1667 Ω")),
    # 800 W / 230 V = 3.5 A, × 1.25 = 4.3 A
    ("generator smaller than any device protects", "home, generator",
     {"generator": {"rated_w": 800}},
     "sources.no_device", ("3.5 A", "4.3 A", "smallest is 6 A")),
]  # fmt: skip

ADVICE = [
    ("units of a long busbar tapped at one end", "home",
     {"wiring": {"bank_feed": "end", "busbar_length_m": 4}},
     "bank.tap_better", ("unit 1 carries", "diagonal")),
    ("lithium bank where it freezes", "home", box("bank_place", kind="cupboard"),
     "plan.too_cold", ("-15 °C", "below 0 °C")),
    # 100 A from the array and 500 A from the grid into 4 × 50 A, of which the first unit takes most
    ("chargers above what the bank takes", "home, grid", box("inverter", charger_max_a=500),
     "plan.set_charge", ("could give 600 A", "takes 199.6 A", "to 199 A")),
    ("one rod of too much resistance", "farm", {"earthing": {"electrode_ohm": 200}},
     "plan.electrode", ("200 Ω", "25 Ω", "1.83 m", "250.53(A)(2)")),
    ("a machine for other mains than the country's", "home, grid", AMERICA,
     "plan.mains", ("120 V at 60 Hz", "230 V at 50 Hz")),
    ("residual device of type AC without a transformer", "home",
     box("inverter", residual_type="ac"),
     "plan.type_ac", ("type AC (30 mA)", "60364-7-712", "type B")),
    ("more voltage drop allowed than is good", "home",
     {"wiring": {"ac_out": {"max_drop_frac": 0.1}}},
     "cautions.drop", ("AC output",)),
    ("split phase of 230 V", "home, grid",
     {"drawn": {"inverters": 2, "arrangement": "split_phase"}},
     "arrangement.not_120", ("230 V",)),
    # 2000 W / 230 V = 8.7 A over two machines
    ("generator too small for its inputs", "shop", {"generator": {"rated_w": 2000}},
     "input.small.generator", ("leaves 4 A", "below the 5 A")),
    ("device at the connection too small for the inputs", "home, grid", {"grid": {"breaker_a": 3}},
     "input.small.grid", ("leaves 3 A", "below the 5 A")),
]  # fmt: skip

REFUSED = [
    ("one machine too few for split phase", "town", {"drawn": {"inverters": 3}},
     ("split_phase", "2")),
    ("MPP voltage above the open-circuit voltage", "home", box("module", vmp_v=50, imp_a=9),
     ("50",)),
]  # fmt: skip


def named(rows):
    return [pytest.param(*row[1:], id=f"{row[0]} ({row[1]})") for row in rows]


@pytest.mark.parametrize("base", CLEAN)
def test_the_sketches_the_mistakes_are_made_in_have_none(base):
    design = clean(base)
    assert design.faults == ()
    assert design.inspection.fields == ()
    assert design.inspection.questions == 0


def test_both_codes_and_at_least_twenty_mistakes_are_tried():
    kinds = {key for _, _, _, key, _ in FAULTS}
    assert len(kinds) >= 50
    codes = {clean(base).rule_book for _, base, *_ in FAULTS}
    assert codes == {"iec60364", "nfpa70"}


def told_of(base, mistake, key, words):
    """The sentence of a mistake, where the clean sketch has none of its kind."""
    assert key not in found(clean(base))
    design = design_of(sketch_of(base, mistake))
    sentences = found(design).get(key, [])
    assert sentences, sorted(found(design))
    matching = [one for one in sentences if all(word in str(one) for word in words)]
    assert matching, [str(one) for one in sentences]
    return design, matching[0]


@pytest.mark.parametrize(("base", "mistake", "key", "words"), named(FAULTS))
def test_a_mistake_is_a_fault_that_is_named(base, mistake, key, words):
    design, sentence = told_of(base, mistake, key, words)
    assert str(sentence) in [str(one) for one in design.faults]
    assert not verdict_of(design.rule_book, design).ok


@pytest.mark.parametrize(("base", "mistake", "key", "words"), named(ADVICE))
def test_what_is_to_be_set_or_asked_is_advised(base, mistake, key, words):
    design, sentence = told_of(base, mistake, key, words)
    assert str(sentence) in [str(one) for one in design.advice]


@pytest.mark.parametrize(("base", "mistake", "key", "words"), named(FAULTS + ADVICE))
def test_a_mistake_is_named_in_spanish_too(base, mistake, key, words):
    for one in found(design_of(sketch_of(base, mistake)))[key]:
        spanish = one.origin.to("es")
        assert spanish != str(one)
        assert not english(spanish)


def test_the_same_size_laid_alone_passes():
    assert design_of(sketch_of("home", own("ac_out", "2.5 mm2"))).faults == ()


@pytest.mark.parametrize(("base", "mistake", "words"), named(REFUSED))
def test_what_no_sketch_may_say_is_refused(base, mistake, words):
    with pytest.raises((BadInput, ValueError)) as refused:
        sketch_of(base, mistake)
    assert all(word in str(refused.value) for word in words)
