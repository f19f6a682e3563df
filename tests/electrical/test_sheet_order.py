"""The sheet's order: tests before joining, the tester proved around them, source by source."""

import re
import textwrap

import pytest
from iec_kit import iec_home

from offgrid_sizing.commissioning import sheet_of, sheet_to_text
from offgrid_sizing.demos import demo
from offgrid_sizing.electrical.cautions import drop_note
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.earthing import drawn_bonds
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import drawn_system
from offgrid_sizing.units import THIN
from offgrid_sizing.wiring_code import words_of
from offgrid_sizing.words import Said, Sentence, catalogue, filled, placeholders, said, to_words
from offgrid_sizing.words.spoken import spoken

DEAD = ("visual", "continuity", "polarity", "today", "insulation")
JOINS = {
    "sheet.bank.join", "sheet.bank.join_one", "sheet.bank.join_series", "sheet.bank.join_machine",
    "sheet.on.units", "sheet.on.unit_switches", "sheet.on.fuses", "sheet.on.plug", "sheet.on.ac",
    "sheet.on.array", "sheet.on.generator", "sheet.on.grid", "sheet.on.input_last",
}  # fmt: skip
MEASURED = ("sheet.bank.spread", "sheet.bank.polarity", "sheet.bank.difference")
BEFORE, AFTER = "sheet.prove.before", "sheet.prove.after"


def _changed(sketch, **values):
    raw = sketch.model_dump()
    for path, value in values.items():
        *way, last = path.split("__")
        part = raw
        for step in way:
            part = part[step]
        part[last] = value
    return Sketch.model_validate(raw)


def _sheet(sketch):
    return sheet_of(sketch, electrical_design(sketch, drawn_system(sketch), record_low_c=-15))


def _key(row):
    """A row's key, whatever devices of the drawing are marked on it."""
    marked = row.what.key == "sheet.marked"
    return (dict(row.what.values)["what"] if marked else row.what).key


def _keys(sheet, *, without=("order",)):
    """Every row's key in the order of the sheet, with the part it stands in."""
    return [
        (section.key, _key(row))
        for section in sheet.sections
        if section.key not in without
        for row in section.rows
    ]


VENTED = {"equipment__battery__chemistry": "lead_acid_flooded", "equipment__battery__nominal_v": 48}
HIGH = {
    "drawn__units_in_series": 8, "equipment__inverter__bank_v": 400,
    "equipment__inverter__bank_max_v": 500, "equipment__inverter__bank_min_v": 300,
}  # fmt: skip
ALL = {
    "wiring__rule_book": "nfpa70", "drawn": {"units_in_parallel": 6, "inverters": 3,
    "arrangement": "three_phase"}, "grid__kind": "steady", "generator": {},
}  # fmt: skip


def test_nothing_is_joined_before_every_dead_test(any_sketch):
    keys = _keys(_sheet(any_sketch))
    joins = [place for place, (_, key) in enumerate(keys) if key in JOINS]
    dead = [place for place, (part, _) in enumerate(keys) if part in DEAD]
    assert joins, "the sheet joins nothing"
    assert max(dead) < min(joins)
    parts = list(dict.fromkeys(part for part, _ in keys if part in DEAD))
    assert parts == [part for part in DEAD if part in parts]


def test_the_overview_has_the_same_order():
    rows = _sheet(_changed(iec_home(), generator={})).section("order").rows
    keys = [_key(row).removeprefix("sheet.order.") for row in rows]
    assert keys == [
        "fix", "earth", "leads", "ready", "dead", "strings", "insulation", "addresses", "level",
        "join_units", "join_machines", "join_ac", "sources", "join_strings", "live", "labels",
    ]  # fmt: skip


def test_units_are_joined_after_polarity_and_difference_were_measured():
    keys = [_key(row) for row in _sheet(iec_home()).section("joining").rows]
    join = keys.index("sheet.bank.join")
    assert all(keys.index(measured) < join for measured in MEASURED)
    assert keys.index("sheet.bank.separate") == 0
    assert keys.count("sheet.bank.charge") == iec_home().drawn.units_in_parallel
    assert keys[-1] == "sheet.bank.join_machine"


def test_the_tester_is_proved_before_and_after_each_proving_dead(any_sketch):
    keys = _keys(_sheet(any_sketch))
    proofs = [place for place, (_, key) in enumerate(keys) if key.endswith(".dead")]
    wanted = 3 if any_sketch.grid.kind != "none" or any_sketch.generator else 2
    assert len(proofs) == wanted
    for place in proofs:
        assert (keys[place - 1][1], keys[place + 1][1]) == (BEFORE, AFTER)
    first_test = next(place for place, (part, _) in enumerate(keys) if part == "visual")
    assert proofs[0] < first_test


def test_the_bank_alone_then_each_source_by_itself():
    sheet = _sheet(_changed(iec_home(), grid__kind="steady", generator={}))
    parts = [section.key for section in sheet.sections]
    order = ("insulation", "addresses", "joining", "settings", "on", "live", "acceptance", "labels")
    assert [part for part in parts if part in order] == list(order)
    on = [_key(row).removeprefix("sheet.on.") for row in sheet.section("on").rows]
    sources = ["fuses", "output", "array", "generator", "grid", "input_last"]
    assert [key for key in on if key in sources] == sources


def test_every_state_has_its_bond_and_loop_and_only_three_phases_a_sequence():
    single = _sheet(_changed(iec_home(), grid__kind="steady", generator={})).section("live")
    keys = [_key(row) for row in single.rows]
    assert keys.count("sheet.live.bond") == keys.count("sheet.live.loop") == 3
    assert "sheet.live.sequence" not in keys
    assert "sheet.live.dead" in keys
    three = _sheet(_changed(iec_home(), **ALL)).section("live")
    assert [_key(row) for row in three.rows].count("sheet.live.sequence") == 3
    alone = [_key(row) for row in _sheet(iec_home()).section("live").rows]
    assert alone.count("sheet.live.bond") == 1
    assert "sheet.live.dead" not in alone


def test_residual_devices_by_each_code():
    iec = _sheet(iec_home()).to("en").section("live").rows
    times = {row.what: row.expected for row in iec if "residual-current device at" in row.what}
    # IEC 61008-1, general type, from memory
    assert list(times.values()) == ["does not trip", "≤ 300 ms", "≤ 40 ms"]
    nfpa = _sheet(_changed(iec_home(), wiring__rule_book="nfpa70")).to("en")
    told = [row.what for row in nfpa.section("live").rows if "circuit interrupter" in row.what]
    assert told[1].endswith("with a tester at 6 mA")


def test_a_code_that_names_nothing_on_site_asks_the_local_authority(monkeypatch):
    from offgrid_sizing import site_rules as module

    module._read.cache_clear()
    monkeypatch.setattr(module, "_read", lambda path: module.SiteRules())
    sheet = _sheet(iec_home()).to("en")
    row = next(row for row in sheet.section("live").rows if "trip time" in row.what)
    assert (row.expected, "ask the local authority" in row.note) == ("____ ms", True)
    assert "ask the local authority" in sheet.section("labels").rows[0].note


def _text(**values):
    sheet = _sheet(_changed(iec_home(), **values))
    return " ".join(sheet_to_text(sheet).split())


ACID = ("hydrogen", "eye-wash", "acid-proof", "density of each cell", "distilled water")
MANAGED = (
    "address of the lead unit",
    "communication cable",
    "wakes up and communicates",
    "battery communication port",
)


def test_a_vented_lead_acid_bank():
    text = _text(**VENTED)
    assert all(words in text for words in ACID)
    assert "equalising charge expected: as the unit's maker says" in text
    assert not any(words in text for words in MANAGED)
    assert "gets no data from the bank" not in text


def test_a_sealed_lead_acid_bank():
    text = _text(**VENTED | {"equipment__battery__chemistry": "lead_acid_sealed"})
    assert "are not topped up" in text
    assert "equalising charge expected: off" in text
    assert not any(words in text for words in (*MANAGED, *ACID))


def test_a_lithium_bank():
    text = _text()
    assert all(words in text for words in MANAGED)
    assert "no charging while a unit is colder than 0 °C" in text
    assert not any(words in text for words in (*ACID, "acid"))


def test_a_bank_of_448_volts():
    # 8 × 56 V; above 120 V direct
    text = _text(**HIGH)
    assert "The bank reaches 448 V DC, above extra-low voltage (120 V)" in text
    assert "HIGH VOLTAGE: the bank reaches 448 V DC" in text
    assert text.index("The bank reaches 448 V") < text.index("Place and mounting")
    assert "safety isolating transformer separates" not in text
    assert not re.search(r"\b(12|24|48) V\b", text)
    low = _text()
    assert "HIGH VOLTAGE" not in low
    assert "above extra-low voltage" not in low


def test_the_difference_of_a_high_bank_is_the_manuals():
    rows = _sheet(_changed(iec_home(), **HIGH)).to("en").section("joining").rows
    difference = next(row for row in rows if row.what.startswith("from the second on"))
    assert difference.expected == "____ mV"
    assert any(row.what.startswith("connect the units of each string in series") for row in rows)


@pytest.mark.parametrize(
    ("parts_them", "expected"),
    [
        ("unknown", ["≥ 1 MΩ at 500 V", "≥ 0.5 MΩ at 250 V"]),
        ("no", ["≥ 1 MΩ at 500 V"]),
        ("yes", ["≥ 0.5 MΩ at 250 V"]),
    ],
)
def test_the_banks_insulation_by_what_parts_it_from_the_mains(parts_them, expected):
    # 56 V; IEC 60364-6, Table 6A, from memory
    sketch = _changed(iec_home(), equipment__inverter__isolates_bank=parts_them)
    rows = _sheet(sketch).section("insulation").rows
    told = [str(row.expected) for row in rows if _key(row).startswith("sheet.insulation.bank")]
    assert told == expected


def test_a_single_unit_is_compared_with_nothing():
    sketch = _changed(iec_home(), drawn__units_in_parallel=1)
    keys = [_key(row) for row in _sheet(sketch).section("joining").rows]
    assert not {"sheet.bank.spread", "sheet.bank.difference", "sheet.bank.join"} & set(keys)
    assert "sheet.bank.join_one" in keys


def test_the_array_row_names_the_band_it_was_chosen_by():
    sketch = _changed(
        iec_home(),
        equipment__controller__max_voc_v=900,
        equipment__module__max_system_v=600,
        roof_planes=[{"name": "Roof", "modules_in_series": 9, "strings": 1}],
    )
    rows = _sheet(sketch).to("en").section("insulation").rows
    row = next(row for row in rows if row.what.startswith("Roof"))
    # 9 × 49.5 = 445.5, × 1.25 = 556.875
    assert row.expected == "≥ 1 MΩ at 1000 V"
    assert row.note.startswith("445.5 V open circuit at standard test conditions × 1.25 = 556.9 V")
    assert any("above the modules' system voltage of 600 V" in row.what for row in rows)


# --- words -----------------------------------------------------------------------------------


CASES = [
    {},
    VENTED,
    VENTED | {"equipment__battery__chemistry": "lead_acid_sealed"},
    HIGH,
    ALL,
    {"generator": {"rated_w": 600, "quiet_hours": [{"from_h": 22, "to_h": 6}]}},
    {"drawn": {"units_in_parallel": 0}},
]


def _sayings(one):
    yield one
    for _, value in one.values:
        inner = value if isinstance(value, tuple) else (value,)
        for part in inner:
            part = part.origin if isinstance(part, Sentence) else part
            if isinstance(part, Said):
                yield from _sayings(part)


@pytest.mark.parametrize("values", CASES)
def test_no_sentence_of_a_spanish_sheet_is_english(values):
    sheet = _sheet(_changed(iec_home(), **values))
    told = [sheet.title, sheet.today, *sheet.cautions]
    for section in sheet.sections:
        told += [section.title, section.lead]
        told += [text for row in section.rows for text in (row.what, row.expected, row.note)]
    told = [one.origin if isinstance(one, Sentence) else one for one in told]
    plain = [one for one in told if not isinstance(one, Said)]
    # what is no saying is a figure: no word of three small letters but those of units
    words = [re.findall(r"[a-záéíóúñ]{3,}", one) for one in plain]
    assert {word for many in words for word in many} <= {"min"}
    english, spanish = catalogue("en"), catalogue("es")
    keys = {one.key for said in told if isinstance(said, Said) for one in _sayings(said)}
    assert keys <= set(spanish)
    same = {key for key in keys if english[key] == spanish[key]}
    # figures and names that are alike in both
    alike = {key for key in same if not re.search(r"[a-z]{4,}", _bare(english[key]))}
    assert same - alike <= {
        "choices.chemistry_short.lifepo4",
        "sources.feed.diagonal",
        "sheet.value.no",
    }


def _bare(text):
    for name in placeholders(text):
        text = re.sub(rf"\{{{name}[^}}]*\}}", "", text)
    return text


def test_spanish_figures_have_their_comma():
    sheet = _sheet(iec_home()).to("es")
    row = next(r for r in sheet.section("continuity").rows if r.expected)
    assert row.expected == "≤ 0,2 Ω"
    assert "Hoja de puesta en marcha" in sheet.title


def test_spanish_shares_have_a_space_before_their_sign():
    sheet = _sheet(demo("town_house"))
    shares = {"en": "55% 60%", "es": f"55{THIN}% 60{THIN}%"}
    for language, expected in shares.items():
        rows = {_key(row): row.expected for row in sheet.section("settings").rows}
        asked = (rows["sheet.set.hold"], rows["sheet.set.resume"])
        assert " ".join(to_words(one, language) for one in asked) == expected


def test_a_drop_above_the_quoted_one_has_its_shares_in_each_language():
    note = drop_note("Run", "ac", 0.07)
    assert "7% is allowed" in to_words(note)
    assert f"una caída del 7{THIN}%" in to_words(note, "es")
    assert f"aconseja un 6{THIN}% como máximo" in to_words(note, "es")


def test_a_wait_of_one_minute_is_no_plural():
    assert said("sheet.off.wait", minutes=1).to("es").startswith("espere 1 minuto o más")


def test_no_compound_word_of_the_text_is_parted():
    text = sheet_to_text(_sheet(demo("shop")), "es")
    assert "inversores-cargadores" in text
    assert [line for line in text.splitlines() if re.search(r"[a-zñ]-$", line)] == []


def test_the_text_in_spanish_keeps_its_width():
    text = sheet_to_text(_sheet(_changed(iec_home(), **ALL)), "es")
    assert max(map(len, text.splitlines())) <= 100
    assert "esperado:" in text
    assert "expected:" not in text
    assert textwrap.shorten(text, 30).startswith("Hoja de puesta")


def test_the_sheet_repeats_the_pages_cautions_word_for_word():
    for language in ("en", "es"):
        sheet = _sheet(iec_home()).to(language)
        for key in ("licensed", "bank", "array", "backfeed", "wait"):
            page = filled(f"cautions.{key}", language, words_of("iec"))
            assert page in sheet.cautions
    english = catalogue("en")["cautions.array"]
    wanted = ("stops current, not voltage", "zero current", "never unplug connectors under load",
              "whenever there is light")  # fmt: skip
    assert all(words in english for words in wanted)


def test_the_sheet_says_where_neutral_meets_earth_as_the_drawing_does():
    sketch = _changed(demo("town_house"), earthing__board_bond="no")
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
    rows = [str(row.what) for row in sheet_of(sketch, design).section("earthing").rows]
    words = code_of(design.rule_book).words
    bonds = [str(spoken(one, words)) for one in drawn_bonds(design.earthing.states)]
    assert len(bonds) == 2  # grid on, alone
    assert rows[3:5] == bonds
    assert bonds[0].startswith("N to ground, grid on: ")


US = {"wiring__rule_book": "nfpa70"}
LOW_ARRAY = {
    **US, "equipment__inverter__output_v": 120,
    "roof_planes": [{"name": "roof", "modules_in_series": 2, "strings": 1}],
}  # fmt: skip


@pytest.mark.parametrize(
    ("values", "expected", "because"),
    [
        # the array reaches 329 V: the row up to 600 V of the code's table, the largest depth where
        # nobody said what stands opposite; a low array and 120 V: the smallest space
        (US, "1.22 m deep, 0.762 m wide, 1.98 m high", "NFPA 70, 110.26(A), at 330 V to ground"),
        (
            {**US, "building__opposite": "nothing"},
            "0.914 m deep",
            "opposite: nothing live or grounded",
        ),
        (LOW_ARRAY, "0.914 m deep, 0.762 m wide, 1.98 m high", "up to 150 V to ground"),
        ({}, "1.22 m deep", "states no depth in figures; for comparison: NFPA 70, 110.26(A)"),
    ],
)
def test_the_working_space_is_the_codes_own(values, expected, because):
    sheet = _sheet(_changed(iec_home(), **values))
    (row,) = [r for r in sheet.section("mounting").rows if _key(r) == "sheet.mounting.space"]
    assert expected in str(row.expected)
    assert because in str(row.note)
    assert row.blank == "ok"


def test_beyond_the_codes_table_the_working_space_is_left_open():
    high = {**US, "roof_planes": [{"name": "roof", "modules_in_series": 20, "strings": 1}]}
    sheet = _sheet(_changed(iec_home(), **high))  # 1,097 V; the table ends at 1,000 V
    (row,) = [r for r in sheet.section("mounting").rows if _key(r) == "sheet.mounting.space"]
    assert (row.expected, row.blank) == ("____ m", "m")
    assert "1097 V is reached here" in str(row.note)


@pytest.mark.parametrize(
    ("kind", "expected", "because"),
    [
        ("unknown", "____", "from the manual or the label on the equipment"),
        ("b", "Type B", "as entered in the sketch; the equipment's own manual comes first"),
    ],
)
def test_the_type_of_residual_devices_is_the_machines(kind, expected, because):
    values = {"equipment__inverter__residual_type": kind}
    rows = _sheet(_changed(iec_home(), **values)).section("live").rows
    (row,) = [row for row in rows if _key(row) == "sheet.live.residual_type"]
    assert (str(row.expected), str(row.note)) == (expected, because)
    # a code without residual devices for whole boards asks for no type
    rows = _sheet(_changed(iec_home(), **values, **US)).section("live").rows
    assert "sheet.live.residual_type" not in [_key(row) for row in rows]
