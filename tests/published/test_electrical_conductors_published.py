"""Conductors, protection and drop against the published tables, each with its source."""

from math import sqrt

import pytest

from offgrid_sizing.electrical.ampacity import (
    FT_PER_KM,
    ambient_factor,
    base_ampacity_a,
    grouping_factor,
    pv_cable_ampacity_a,
    resistance_ohm_per_m,
    voltage_drop_v,
)
from offgrid_sizing.electrical.cautions import drop_note
from offgrid_sizing.electrical.protection import (
    coordinated,
    next_rating_a,
    standard_ratings_a,
    unit_fault_current,
)
from offgrid_sizing.electrical.sizes import (
    MM2_PER_KCMIL,
    Size,
    awg_area_mm2,
    awg_diameter_mm,
)
from offgrid_sizing.rule_tables import rule_table
from offgrid_sizing.sketch import BatteryUnit, Wiring
from offgrid_sizing.wiring_code import WIRING_CODES

AWG = ["14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0"]
MM2 = [1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150, 185, 240, 300]


def _awg(gauge):
    return Size(f"{gauge} AWG", awg_area_mm2(gauge))


def _mm2(section):
    return Size(f"{section:g} mm²", section)


@pytest.mark.parametrize(
    ("column_c", "ampacity_a"),
    [
        # NFPA 70 (NEC) Table 310.16 copper, 30 °C ambient, 2023 edition (read); 14 and 12 AWG at
        # 60 °C are 20 and 25 A in older editions, 1 AWG at 90 °C is 150 A
        (60, [15, 20, 30, 40, 55, 70, 85, 95, 110, 125, 145, 165, 195]),
        (75, [20, 25, 35, 50, 65, 85, 100, 115, 130, 150, 175, 200, 230]),
        (90, [25, 30, 40, 55, 75, 95, 115, 130, 145, 170, 195, 225, 260]),
    ],
)
def test_nfpa_raceway(validated, column_c, ampacity_a):
    got = [base_ampacity_a("nfpa70", _awg(g), "C", column_c) for g in AWG]
    source = "NFPA 70, Table 310.16, 2023 edition (read)"
    validated(f"Copper in raceway, {column_c} °C, 14 AWG to 4/0", source, got, ampacity_a, "A")


@pytest.mark.parametrize(
    ("column_c", "upper_c", "factors"),
    [
        # NFPA 70 Table 310.15(B)(1) (read)
        (60, range(15, 60, 5), [1.22, 1.15, 1.08, 1, 0.91, 0.82, 0.71, 0.58, 0.41]),
        (75, range(15, 65, 5), [1.15, 1.11, 1.05, 1, 0.94, 0.88, 0.82, 0.75, 0.67, 0.58]),
        (
            90,
            range(15, 90, 5),
            [1.12, 1.08, 1.04, 1, 0.96, 0.91, 0.87, 0.82, 0.76, 0.71, 0.65, 0.58, 0.5, 0.41, 0.29],
        ),
    ],
)
def test_nfpa_ambient(validated, column_c, upper_c, factors):
    for ambient_c, factor in zip(upper_c, factors, strict=True):
        got = ambient_factor("nfpa70", column_c, ambient_c)
        source = "NFPA 70, Table 310.15(B)(1) (read)"
        validated(f"Correction for the air, {column_c} °C", source, got, factor, abs=0.006)
        assert ambient_factor("nfpa70", column_c, ambient_c - 4) == pytest.approx(factor, abs=0.006)


def test_nfpa_bundling():
    # NFPA 70 Table 310.15(C)(1) (read); two loaded conductors a circuit
    upper = [3, 6, 9, 20, 30, 40, 1000]
    factors = [1, 0.8, 0.7, 0.5, 0.45, 0.4, 0.35]
    table = rule_table("nfpa70_310_15_c_1")
    assert list(table.numbers("conductors_max")) == upper
    assert list(table.numbers("factor")) == factors
    assert [grouping_factor("nfpa70", n, 2) for n in (1, 2, 3, 4, 5, 10, 15, 20, 21)] == [
        1, 0.8, 0.8, 0.7, 0.5, 0.5, 0.45, 0.4, 0.35,
    ]  # fmt: skip


def test_wire_size_guide_example(validated):
    # public wire-size guide (read): 12 AWG, 75 °C, 40 °C air: 25 A × 0.88 = 22 A
    base_a = base_ampacity_a("nfpa70", _awg("12"), "C", 75)
    got = base_a * ambient_factor("nfpa70", 75, 40)
    what = "12 AWG, 75 °C, in air of 40 °C"
    validated(what, "public wire-size guide (read)", got, 22, "A", abs=0.01)


def test_690_8_conductor_example(validated):
    # NEC 690.8 course example (read): 10 AWG, 90 °C, 41–45 °C: 40 A × 0.87 = 34.8 A ≥ 14 A
    derated_a = base_ampacity_a("nfpa70", _awg("10"), "C", 90) * ambient_factor("nfpa70", 90, 43)
    what = "10 AWG, 90 °C, in air of 41–45 °C"
    validated(what, "NEC 690.8 course example (read)", derated_a, 34.8, "A", abs=0.001)
    assert derated_a >= 14.0


def test_690_8_current_example(validated):
    # NEC 690.8/690.9 course example (read): 11.2 A
    maximum_a = 11.2 * WIRING_CODES["nfpa70"].strings.bright_sky_factor
    source = "NEC 690.8/690.9 course example (read)"
    rating_a = next_rating_a("nfpa70", maximum_a * 1.25)
    got = [maximum_a, maximum_a * 1.25, rating_a]
    what = "Largest current, design current and device for 11.2 A"
    validated(what, source, got, [14.0, 17.5, 20], "A", abs=0.001)


def test_chapter_9_solid_and_stranded(validated):
    # NFPA 70 chapter 9 table 8, uncoated copper, 75 °C (read)
    table = rule_table("nfpa70_ch9_t8")
    sizes = [label.split()[0] for label in table.texts("size")]
    solid = dict(zip(sizes, table.numbers("solid_ohm_per_kft"), strict=True))
    gauges = ["18", "16", "14", "12", "10", "8"]
    assert [solid[g] for g in gauges] == [7.77, 4.89, 3.07, 1.93, 1.21, 0.764]
    stranded = dict(zip(sizes, table.numbers("stranded_ohm_per_kft"), strict=True))
    listed = [7.95, 4.99, 3.14, 1.98, 1.24, 0.778, 0.491, 0.308, 0.245, 0.194, 0.154, 0.122,
              0.0967, 0.0766, 0.0608]  # fmt: skip
    source = "NFPA 70, chapter 9, table 8, uncoated copper, 75 °C (read)"
    got = [stranded[g] for g in ["18", "16", *AWG]]
    validated("Stranded copper, 18 AWG to 4/0", source, got, listed, "Ω/kft")


def test_chapter_9_is_what_copper_does():
    # IEC 60028: 1/58 Ω mm²/m at 20 °C, 0.00393 per K; solid conductors within 1 % (read)
    table = rule_table("nfpa70_ch9_t8")
    rows = zip(table.texts("size"), table.numbers("solid_ohm_per_kft"), strict=True)
    for label, per_kft in rows:
        if per_kft:
            hot = 0.017241 * (1 + 0.00393 * 55)
            physics = hot / awg_area_mm2(label.split()[0]) * 304.8
            assert per_kft == pytest.approx(physics, rel=0.01)


def test_chapter_9_temperature_note(validated):
    # rule read, number from memory: 1.93 × (1 + 0.00323 × (20 − 75)) = 1.587; the code's own
    # stranded value goes the same way
    size = _awg("12")
    ratio = resistance_ohm_per_m("nfpa70", size, 20) / resistance_ohm_per_m("nfpa70", size, 75)
    source = "NFPA 70, chapter 9, table 8, note (rule read, number from memory)"
    validated("12 AWG solid at 20 °C", source, 1.93 * ratio, 1.587, "Ω/kft", abs=0.002)
    assert resistance_ohm_per_m("nfpa70", size, 75) == pytest.approx(1.98 * FT_PER_KM / 1e6)


def test_drop_examples(validated):
    # voltage-drop worked example (read): 12 AWG solid, 100 ft, 15 A, 120 V
    per_m = 1.93 * FT_PER_KM / 1e6
    drop_v = voltage_drop_v(per_m, 100 * 0.3048, 15)
    source = "voltage-drop worked example (read)"
    validated("Drop of 12 AWG, 100 ft, 15 A", source, drop_v, 5.79, "V", abs=0.001)
    assert drop_v / 120 == pytest.approx(0.04825, abs=0.001)
    # low-voltage wiring worked example (read): 250 ft, 0.5 A, 12 V
    for per_kft, drop, left in ((7.77, 1.9425, 10.0575), (3.07, 0.7675, 11.2325)):
        got = voltage_drop_v(per_kft * FT_PER_KM / 1e6, 250 * 0.3048, 0.5)
        source = "low-voltage wiring worked example (read)"
        validated("Drops of 250 ft at 0.5 A", source, got, drop, "V", abs=0.004)
        assert 12 - got == pytest.approx(left, abs=0.004)


def test_kapoor_cable(validated):
    # P. L. Kapoor, Electrical and Electronics Engineering Materials, Ex. 15.1 p. 392 (read):
    # 0.2 Ω in all, 200 A, 240 V, 100 h at 0.8 a kWh
    drop_v = voltage_drop_v(0.1, 1.0, 200)
    source = "P. L. Kapoor, Electrical and Electronics Engineering Materials, Ex. 15.1 (read)"
    left_v, cost = 240 - drop_v, drop_v * 200 / 1000 * 100 * 0.8
    validated("Voltage left at the end of a cable", source, left_v, 200, "V", abs=0.001)
    validated("Price of its losses", source, cost, 640, abs=0.001)


def test_battery_lead_drop(validated):
    # from memory, derived from IEC 60228 class 5: 24 V, 50 A, 3 m, 16 mm² at 20 °C
    per_m = resistance_ohm_per_m("iec60364", _mm2(16), 20)
    drop_v = voltage_drop_v(per_m, 3, 50)
    source = "IEC 60228, class 5 (worked by hand, from memory)"
    what = "Drop of 16 mm², 3 m, 50 A at 20 °C"
    validated(what, source, drop_v, 0.363, "V", abs=0.0005)
    assert drop_v / 24 == pytest.approx(0.015125, abs=0.0005)


def test_standard_ratings():
    # NFPA 70 240.6(A) (read)
    assert list(standard_ratings_a("nfpa70")) == [
        15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250,
        300, 350, 400, 450, 500, 600, 700, 800, 1000, 1200, 1600, 2000, 2500, 3000, 4000, 5000,
        6000,
    ]  # fmt: skip
    # preferred IEC fuse ratings as listed in public engineering code (read, secondary)
    assert list(standard_ratings_a("iec60364"))[:17] == [
        6, 10, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400,
    ]  # fmt: skip


def test_small_conductor_devices():
    # NFPA 70 240.4(D) (read)
    table = rule_table("nfpa70_240_4_d")
    rows = dict(zip(table.texts("size"), table.numbers("max_device_a"), strict=True))
    assert rows == {"14 AWG": 15, "12 AWG": 20, "10 AWG": 30}


@pytest.mark.parametrize(
    ("method", "insulation_c", "loaded", "ampacity_a"),
    [
        # IEC 60364-5-52 (HD 60364-5-52:2011) copper (read): Table B.52.2 two loaded PVC
        ("C", 70, 2, [19.5, 27, 36, 46, 63, 85, 112, 138, 168, 213, 258, 299, 344, 392, 461, 530]),
        ("B1", 70, 2, [17.5, 24, 32, 41, 57, 76, 101, 125, 151, 192, 232, 269, 300, 341, 400, 458]),
        ("B2", 70, 2, [16.5, 23, 30, 38, 52, 69, 90, 111, 133, 168, 201, 232, 258, 294, 344, 394]),
        # Table B.52.4 three loaded PVC, Table B.52.3 two loaded XLPE
        ("C", 70, 3, [17.5, 24, 32, 41, 57, 76, 96, 119, 144, 184, 223, 259, 299, 341, 403, 464]),
        ("C", 90, 2, [24, 33, 45, 58, 80, 107, 138, 171, 209, 269, 328, 382, 441, 506, 599, 693]),
    ],
)
def test_iec_methods(validated, method, insulation_c, loaded, ampacity_a):
    got = [base_ampacity_a("iec60364", _mm2(s), method, insulation_c, loaded) for s in MM2]
    what = f"Copper, method {method}, {insulation_c} °C, {loaded} loaded, 1.5 to 300 mm²"
    source = "IEC 60364-5-52 (HD 60364-5-52:2011), Tables B.52.2 to B.52.4 (read)"
    validated(what, source, got, ampacity_a, "A")


@pytest.mark.parametrize(
    ("conductor_c", "factors"),
    [
        # IEC 60364-5-52 Table B.52.14 (read), 10 to 60 °C
        (70, [1.22, 1.17, 1.12, 1.06, 1, 0.94, 0.87, 0.79, 0.71, 0.61, 0.5]),
        (90, [1.15, 1.12, 1.08, 1.04, 1, 0.96, 0.91, 0.87, 0.82, 0.76, 0.71]),
    ],
)
def test_iec_ambient(validated, conductor_c, factors):
    for ambient_c, factor in zip(range(10, 65, 5), factors, strict=True):
        got = ambient_factor("iec60364", conductor_c, ambient_c)
        source = "IEC 60364-5-52, Table B.52.14 (read)"
        what = f"Correction for the air, {conductor_c} °C, 10 to 60 °C"
        validated(what, source, got, factor, abs=0.006)
        law = sqrt((conductor_c - ambient_c) / (conductor_c - 30))
        assert got == pytest.approx(law, abs=0.0075)


def test_iec_60228():
    # IEC 60228 class 2 and class 5, plain copper (read)
    table = rule_table("iec60228")
    assert list(table.numbers("class2_ohm_per_km")) == [
        12.1, 7.41, 4.61, 3.08, 1.83, 1.15, 0.727, 0.524, 0.387, 0.268, 0.193, 0.153, 0.124,
        0.0991, 0.0754, 0.0601,
    ]  # fmt: skip
    # the read list starts at 1 mm² with 19.5, a size the ampacity tables do not hold
    assert list(table.numbers("class5_ohm_per_km"))[:7] == [
        13.3, 7.98, 4.95, 3.3, 1.91, 1.21, 0.78,
    ]  # fmt: skip


def test_iec_60228_is_what_copper_does():
    # from memory: class 2 over 17.241 / S lies at 1.08 ± 0.05; 50 mm² at 0.387 is right
    table = rule_table("iec60228")
    rows = zip(table.numbers("section_mm2"), table.numbers("class2_ohm_per_km"), strict=True)
    for section, ohm in rows:
        assert ohm / (17.241 / section) == pytest.approx(1.08, abs=0.05)


def test_awg_diameters(validated):
    # Lessons in Electric Circuits, reference tables (read); formula of ASTM B258
    inches = {"4/0": 0.46, "3/0": 0.4096, "2/0": 0.3648, "1/0": 0.3249, "1": 0.2893, "2": 0.2576,
              "4": 0.2043, "6": 0.162, "8": 0.1285, "10": 0.1019, "12": 0.08081, "14": 0.06408,
              "36": 0.005}  # fmt: skip
    for gauge, inch in inches.items():
        source = "Lessons in Electric Circuits, reference tables (read)"
        got = awg_diameter_mm(gauge) / 25.4
        validated("Diameters of American gauges", source, got, inch, "in", rel=0.001)


def test_awg_areas(validated):
    # cmil column of the same tables (read), mm² from 1 cmil = 5.067e-4 mm² (from memory)
    area = {"4/0": (211600, 107.2), "3/0": (167800, 85.0), "2/0": (133100, 67.4),
            "1/0": (105500, 53.5), "1": (83690, 42.4), "2": (66370, 33.6), "4": (41740, 21.15),
            "6": (26250, 13.3), "8": (16510, 8.37), "10": (10380, 5.26), "12": (6530, 3.31),
            "14": (4107, 2.08)}  # fmt: skip
    for gauge, (cmil, mm2) in area.items():
        source = "the same tables, sections (cmil read, mm² from memory)"
        got = awg_area_mm2(gauge)
        validated("Sections of American gauges", source, got, mm2, "mm²", rel=0.0025)
        assert cmil / 1000 * MM2_PER_KCMIL == pytest.approx(mm2, rel=0.0025)


def test_pv_cable():
    # EN 50618 at 60 °C (read; likely the column of one cable in air): the string is rated by the
    # touching column, which is from memory and must be lower
    table = rule_table("en50618")
    single = dict(zip(table.numbers("section_mm2"), table.numbers("single_in_air"), strict=True))
    listed = {2.5: 41, 4: 55, 6: 70, 10: 98, 16: 132, 25: 176}
    for section, ampacity_a in listed.items():
        assert single[section] == ampacity_a
        used_a = pv_cable_ampacity_a(_mm2(section), 60)
        assert 0.75 * ampacity_a < used_a < 0.85 * ampacity_a


def test_fault_current_ten_times_capacity(validated):
    # IEC TS 62257-5 9.4.2.3 as quoted (rule read, input from memory): 200 Ah gives 2,000 A;
    # where the unit's own figure is larger, it holds
    plain = BatteryUnit(capacity_ah=200, internal_resistance_ohm=0)
    source = "IEC TS 62257-5, 9.4.2.3 as quoted (rule read, input from memory)"
    got = unit_fault_current(plain).unit_a
    validated("Fault current of a unit of 200 Ah", source, got, 2000, "A", abs=0.1)
    strong = BatteryUnit(capacity_ah=200, internal_resistance_ohm=0, fault_current_a=6000)
    assert unit_fault_current(strong).unit_a == 6000
    stiff = BatteryUnit(capacity_ah=200, internal_resistance_ohm=0.01, charge_v=56)
    assert unit_fault_current(stiff).unit_a == pytest.approx(5600)


def test_coordination():
    # IEC 60364-4-43 433.1 as quoted (rule read, numbers from memory): 28 ≤ 32 ≤ 36, 1.45
    assert coordinated(28, 32, 36, 1.45)
    assert not coordinated(33, 32, 36, 1.45)
    assert not coordinated(28, 32, 31, 1.45)
    assert not coordinated(28, 32, 32, 1.6)


def test_quoted_drop_limits():
    # IEC TS 62257-9-2 and 62257-7-1 as quoted (read): distribution 6 %, service 1 %, array 5 %
    assert drop_note("AC out", "ac", 0.06) is None
    assert "advises 6%" in drop_note("AC out", "ac", 0.061)
    assert drop_note("String", "array", 0.05) is None
    assert "advises 5%" in drop_note("String", "array", 0.051)
    # the bank's runs and the service start from 1 %
    assert Wiring().unit_lead.max_drop_frac == 0.01
    assert Wiring().bank_to_inverter.max_drop_frac == 0.01
