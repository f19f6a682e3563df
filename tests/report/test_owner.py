"""The household's paper: two pages whatever the sketch holds, its figures the outcome's."""

import io
from dataclasses import replace

import numpy as np
import pypdf
import pytest
from marked_language import LANGUAGE, speak_marked, typed, unmarked
from test_every_word_keyed_on_paper import NAMES, _texts
from test_no_raw_keys import _RAW
from test_offer import LONG, crowded, pages, plain, squeezed, with_home
from test_pdf import HOSTILE

from offgrid_sizing.ageing import SHORT_LIFE_Y, Beyond
from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.electrical.cautions import CAN_KILL, KILLS, LICENSED
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.report.owner import Lived, owner_data, owner_pdf, write_owner
from offgrid_sizing.report.sections.energy import appliances_table
from offgrid_sizing.report.sections.owner_first import levels
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.units import digits, duration, percent
from offgrid_sizing.words import all_to_words, reader_of, text_of, to_words
from offgrid_sizing.words.spoken import spoken

DATE = "2026-01-15"
LANGUAGES, PAPERS = ("en", "es"), {"a4": (595, 842), "us-letter": (612, 792)}
FIRST, SECOND = ("have", "usual", "short"), ("fails", "upkeep", "life", "cautions")


@pytest.fixture
def lived(work_out):
    """The paper of a sketch as drawn, or of a demo by its name."""

    def made(home: str | Sketch, language: str = "en") -> Lived:
        sketch = demo(home, language) if isinstance(home, str) else home
        return Lived(work_out(sketch), date=DATE)

    return made


def told(made: Lived, key: str, language: str = "en") -> list[str]:
    """Every text of a section."""
    return _texts(owner_data(made, language=language)["sections"][key])


def tasks(made: Lived) -> dict[str, tuple[str, str]]:
    """What is looked after: how often, and by whom."""
    (table,) = owner_data(made)["sections"]["upkeep"]["blocks"]
    return {what: (often, who) for what, often, who in table["rows"]}


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("home", DEMOS)
def test_two_pages_on_both_papers(home, language, lived):
    made = lived(home, language)
    sections = owner_data(made, language=language)["sections"]
    for paper, size in PAPERS.items():
        data = owner_pdf(made, paper=paper, language=language)
        sheets = pypdf.PdfReader(io.BytesIO(data)).pages
        assert [(round(p.mediabox.width), round(p.mediabox.height)) for p in sheets] == [size] * 2
        first, second = pages(data)
        assert all(sections[key]["title"] in first for key in FIRST)
        assert all(sections[key]["title"] in second for key in SECOND)


@pytest.mark.parametrize("texts", [(LONG,), ("W" * 120,), HOSTILE], ids=["long", "wide", "hostile"])
def test_whatever_is_written_stays_two_pages_of_words(texts, lived):
    made = lived(crowded(*texts))
    for paper, language in zip(PAPERS, LANGUAGES, strict=True):
        first, second = pages(owner_pdf(made, paper=paper, language=language))
        assert squeezed(texts[0][:100]) in squeezed(first)
        assert owner_data(made, language=language)["sections"]["life"]["title"] in second


def test_endless_faults_stay_two_pages(lived):
    made = lived(crowded(LONG))
    design = replace(made.outcome.design, faults=tuple("broken " * 400 for _ in range(9)))
    broken = replace(made, outcome=replace(made.outcome, design=design))
    for paper, language in zip(PAPERS, LANGUAGES, strict=True):
        assert len(pages(owner_pdf(broken, paper=paper, language=language))) == 2
    alert = owner_data(broken)["alert"]
    assert alert[0].startswith("Do not use it as it is. Not to be built as drawn")
    assert alert[-1] == "And 6 more, in full in the summary."


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("home", DEMOS)
def test_every_figure_is_the_outcomes(home, language, lived):
    made = lived(home, language)
    outcome, reader = made.outcome, reader_of(language)
    first, second = pages(owner_pdf(made, language=language))
    assert plain(to_words(outcome.sentence, language)) in first
    assert digits(outcome.simulation.inputs.loads.daily_kwh, reader) in first
    for hours in (outcome.autonomy.dark_median_h, outcome.autonomy.dark_1_in_20_h):
        assert plain(duration(hours, reader)) in first
    usual = " ".join(told(made, "usual", language))
    lowest = percent(float(outcome.simulation.trace.columns["soc_frac"].min()), reader)
    assert plain(lowest) in plain(usual)
    totals = outcome.simulation.metrics
    if outcome.reliability.judged.unserved_h > 0:
        assert plain(f"{digits(outcome.reliability.judged.unserved_h, reader)} h") in plain(usual)
    if outcome.sketch.generator is not None:
        assert plain(f"{digits(totals.generator_h, reader)} h") in plain(usual)
    if outcome.sketch.grid.kind != "none":
        assert plain(f"{digits(totals.grid_import_kwh, reader)} kWh") in plain(usual)
    life = " ".join(told(made, "life", language))
    assert digits(outcome.ageing.life_y, reader) in life
    assert plain(percent(outcome.sketch.equipment.battery.end_of_life_frac, reader)) in plain(life)
    assert digits(outcome.ageing.life_y, reader) in second


def test_written_numbers_of_the_farmhouse(lived):
    first, second = pages(owner_pdf(lived("farmhouse")))
    for words in FARMHOUSE_FIRST:
        assert words in first
    for words in FARMHOUSE_SECOND:
        assert words in second


FARMHOUSE_FIRST = (
    "Most sun: April, when the array can give 25.3 kWh a day and the home uses 7.18. Least: "
    "November, 17 kWh a day, and the home uses 5.71.",
    "Lowest state of charge in this typical year: 13.6 %, in Jan, Feb, Nov.",
    "Some load is unserved in Jan, Feb, Nov: 22 h in this typical year.",
    "Use around midday, one after the other: Well pump, Washing machine.",
    "supplies the home for 2.04 days (median); whatever hour of the year this begins, 19 times out "
    "of 20 for at least 40 h.",
    "Well pump 1.12 Microwave oven 0.551 Laptops 0.5 Television 0.3 Washing machine 0.229",
)
FARMHOUSE_SECOND = (
    "With this use the bank is calculated to fall to 80 % of its capacity after 9.7 years; replace "
    "it then.",
)


def test_levels_stand_only_where_the_sketch_has_them(lived):
    shown = {
        "farmhouse": [(0.1, "floor")],
        "town_house": [(0.55, "reserve"), (0.1, "floor")],
        "shop": [(0.25, "generator"), (0.1, "floor")],
    }
    for home, wanted in shown.items():
        made = lived(home)
        assert [(round(level, 9), key) for level, key, _ in levels(made.outcome)] == wanted
        table, _ = owner_data(made)["sections"]["short"]["blocks"]
        cells = [plain(row[0]) for row in table["rows"]]
        assert cells == [f"{100 * level:.0f} %" for level, _ in wanted]
    shed = lived(with_home("farmhouse", strategy={"shed_soc_frac": 0.4}))
    assert [(round(one[0], 9), one[1]) for one in levels(shed.outcome)] == [
        (0.4, "shed"), (0.1, "floor")
    ]  # fmt: skip
    rows = owner_data(shed)["sections"]["short"]["blocks"][0]["rows"]
    assert "no longer draw on the bank: Well pump, Washing machine," in rows[0][1]
    assert "Refrigerator" not in rows[0][1]


def test_a_shed_level_under_the_limit_of_discharge_never_comes(lived):
    made = lived(with_home("farmhouse", strategy={"shed_soc_frac": 0.05}))
    assert [key for _, key, _ in levels(made.outcome)] == ["floor"]


def test_a_generator_set_to_start_under_the_limit_of_discharge_is_named(lived):
    made = lived(with_home("shop", equipment={"battery": {"usable_dod_frac": 0.7}}))
    assert [(round(level, 9), key) for level, key, _ in levels(made.outcome)] == [
        (0.3, "floor"), (0.3, "generator_late")
    ]  # fmt: skip
    text = plain(" ".join(told(made, "short")))
    assert "set to start at 25 %, no higher than this" in text
    assert "Ask the installer to set its start higher." in text
    assert "no higher than this" not in " ".join(told(lived("shop"), "short"))


@pytest.mark.parametrize(
    ("home", "parts", "comes"),
    [
        ("shop", {}, True),  # in its quiet hours
        ("shop", {"generator": {"quiet_hours": []}}, False),
        ("town_house", {}, True),
        ("town_house", {"grid": {"kind": "steady"}}, False),
    ],
)
def test_nothing_is_shed_where_another_source_is_always_there(home, parts, comes, lived):
    made = lived(with_home(home, strategy={"shed_soc_frac": 0.4}, **parts))
    keys = [key for _, key, _ in levels(made.outcome)]
    assert ("shed" in keys) == comes
    quiet = "in the generator's quiet hours, these no longer draw"
    assert (quiet in " ".join(told(made, "short"))) == (comes and home == "shop")


def test_a_reserve_no_higher_than_the_limit_of_discharge_is_none(lived):
    made = lived(with_home("town_house", strategy={"kind": "grid_first"}))
    assert [key for _, key, _ in levels(made.outcome)] == ["floor"]


def test_an_outage_is_spoken_of_where_a_ride_through_is_asked_for(lived):
    asked = lived(with_home("town_house", targets={"ride_through_h": 12.0}))
    reached = asked.outcome.ride_through_h
    assert reached > 0
    text = plain(" ".join(told(asked, "short")))
    assert plain(f"stays supplied for at least {duration(reached)}, 19 times out of 20.") in text
    not_asked = lived(with_home("town_house", targets={"ride_through_h": 0}))
    assert "stays supplied" not in " ".join(told(not_asked, "short"))


def test_quiet_hours_of_a_generator_are_said(lived):
    quiet = "but not in its quiet hours; it stops at 60"
    assert quiet in plain(" ".join(told(lived("shop"), "short")))
    loud = lived(with_home("shop", generator={"quiet_hours": []}))
    text = plain(" ".join(told(loud, "short")))
    assert "quiet" not in text
    assert "The generator starts; it stops at 60" in text


@pytest.mark.parametrize("home", ["farmhouse", "town_house"])
def test_without_a_generator_none_has_a_line_of_its_own(home, lived):
    made = lived(home)
    for key in ("usual", "upkeep", "fails"):
        assert "generator" not in " ".join(told(made, key)).lower()
    assert not any("exhaust" in one for one in told(made, "cautions"))
    with_one = lived("shop")
    for key in ("usual", "upkeep", "fails"):
        assert "generator" in " ".join(told(with_one, key)).lower()
    assert any("exhaust" in one for one in told(with_one, "cautions"))
    service = tasks(with_one)["Generator: oil and filters, as its maker says"]
    assert service == ("every 250 h of running, at least yearly", "licensed electrician")


def test_a_generator_that_never_runs_is_kept_ready(lived):
    made = lived("shop")
    outcome = made.outcome
    columns = dict(outcome.simulation.trace.columns)
    columns["generator_w"] = np.zeros_like(columns["generator_w"])
    run = replace(outcome.simulation, trace=replace(outcome.simulation.trace, columns=columns))
    idle = replace(outcome, priced=replace(outcome.priced, simulation=run))
    text = " ".join(told(replace(made, outcome=idle), "usual"))
    assert "In the median year the generator is not needed; a test run" in text
    assert "The generator runs" not in text


def test_months_in_which_others_help_are_those_of_the_judged_year(lived):
    assert "186 h in the median year, in every month." in " ".join(told(lived("shop"), "usual"))
    made = lived("town_house")
    outcome = made.outcome
    trace = outcome.simulation.trace
    columns = dict(trace.columns)
    bought = np.zeros_like(columns["grid_import_w"])
    bought[: 31 * 24] = 100.0  # January alone
    columns["grid_import_w"] = bought
    run = replace(outcome.simulation, trace=replace(trace, columns=columns))
    winter = replace(outcome, priced=replace(outcome.priced, simulation=run))
    assert "kWh in the median year, in Jan." in " ".join(
        told(replace(made, outcome=winter), "usual")
    )


ROWS = {
    "lead_acid_flooded": ("electrolyte level", "equalising charge", "terminals clean"),
    "lead_acid_sealed": ("not topped up", "terminals clean"),
    "lifepo4": ("nothing inside to maintain", "alarm log and firmware"),
    "sodium_ion": ("nothing inside to maintain", "alarm log and firmware"),
}


@pytest.mark.parametrize("chemistry", ROWS)
def test_upkeep_is_that_of_the_chemistry(chemistry, lived):
    assert set(ROWS) == set(CHEMISTRIES)
    battery = {"chemistry": chemistry, "equalise_v": 58.0, "usable_dod_frac": 0.5}
    made = lived(with_home("farmhouse", equipment={"battery": battery}))
    text = " ".join(tasks(made))
    for words in {one for rows in ROWS.values() for one in rows}:
        assert (words in text) == (words in ROWS[chemistry]), words
    assert f"Bank ({text_of(CHEMISTRIES[chemistry].short_key, 'en')}): " in text


def test_acid_and_gas_stand_with_their_protection(lived):
    battery = {"chemistry": "lead_acid_flooded", "equalise_v": 58.0, "usable_dod_frac": 0.5}
    found = tasks(lived(with_home("farmhouse", equipment={"battery": battery})))
    (level,) = [what for what in found if "electrolyte level" in what]
    assert "room ventilated, no flame or spark" in level
    assert "Face shield, acid-proof gloves and apron" in level
    assert found[level][1].startswith(
        "household, once shown how and with that protective gear; else licensed"
    )
    (gas,) = [what for what in found if "equalising charge" in what]
    assert "the bank gives off hydrogen; no flame, no spark" in gas
    assert found[gas][1] == "licensed electrician"


@pytest.mark.parametrize(
    ("kind", "words", "often"),
    [
        ("indoor", "Place of the bank: dry", "monthly"),
        ("outdoor", "Place of the bank, outdoors", "monthly"),
        ("cupboard", "Cabinet of the bank: air openings free, door closes tight, no", "monthly"),
        ("heated", "its heating works", "monthly; heating before winter"),
    ],
)
def test_upkeep_is_that_of_the_place(kind, words, often, lived):
    found = tasks(lived(with_home("farmhouse", equipment={"bank_place": {"kind": kind}})))
    (place,) = [what for what in found if "of the bank" in what and "Bank" not in what]
    assert words in place
    assert found[place] == (often, "household")


@pytest.mark.parametrize("home", DEMOS)
def test_only_electricians_touch_terminals_and_intervals_say_what_they_are(home, lived):
    made = lived(home)
    found = tasks(made)
    for what, (_, who) in found.items():
        if "erminals" in what or "connectors" in what or "firmware" in what:
            assert who == "licensed electrician", what
    (table,) = owner_data(made)["sections"]["upkeep"]["blocks"]
    assert table["note"].startswith("Intervals are common practice, no source")
    assert " ".join(pages(owner_pdf(made))).count("no source") == 1


def test_what_is_switched_off_first_is_large_and_not_critical(lived):
    for home in DEMOS:
        made = lived(home)
        sketch = made.outcome.sketch
        critical = {one.name for one in sketch.loads.appliances if one.critical}
        _, table = owner_data(made)["sections"]["short"]["blocks"]
        names = [row[0] for row in table["rows"]]
        known = {row[0]: row[3] for row in appliances_table(made.outcome.simulation).rows}
        rest = sorted((kwh for name, kwh in known.items() if name not in critical), reverse=True)
        assert not critical & set(names)
        assert [known[name] for name in names] == rest[:5]


def test_what_waits_for_surplus_is_left_waiting(lived):
    usual = " ".join(told(lived("town_house"), "usual"))
    assert "so let them: Washing machine." in usual
    assert "one after the other: Clothes iron." in usual
    assert "so let them" not in " ".join(told(lived("farmhouse"), "usual"))


def test_where_nothing_can_be_moved_the_largest_uses_are_named(lived):
    raw = demo("farmhouse").model_dump(mode="json")
    kept = ("LED lights", "Refrigerator", "Chest freezer", "Television")
    raw["loads"]["appliances"] = [a for a in raw["loads"]["appliances"] if a["name"] in kept]
    usual = " ".join(told(lived(Sketch.model_validate(raw)), "usual"))
    assert "Nothing listed can wait for midday." in usual
    assert "Refrigerator" in usual
    assert "one after the other" not in usual


def test_one_weather_year_is_never_called_bad(lived):
    made = lived("farmhouse")
    assert made.outcome.reliability.bad is None
    for language, bad in (("en", ("bad year", "median year")), ("es", ("año malo", "año mediano"))):
        text = " ".join(pages(owner_pdf(made, language=language)))
        for words in bad:
            assert words not in text.lower()
    assert "1-in-10 bad year" in " ".join(pages(owner_pdf(lived("shop"))))


@pytest.mark.parametrize("language", LANGUAGES)
def test_cautions_stand_on_it_in_full_and_the_first_page_sends_there(language, lived):
    made = lived("town_house", language)
    first, second = pages(owner_pdf(made, language=language))
    words = code_of(made.outcome.sketch.wiring.rule_book).words
    for caution in all_to_words(spoken((LICENSED, CAN_KILL, *KILLS), words), language):
        assert plain(caution) in second
    assert {"en": "Page 2 says what to do when supply fails", "es": "La página 2 dice"}[
        language
    ] in first
    assert {"en": "local code and a licensed electrician decide", "es": "la norma local"}[
        language
    ] in first
    for page in (first, second):
        assert {"en": "licensed electrician", "es": "electricista autorizado"}[language] in page


def test_a_high_voltage_has_its_caution(lived):
    made = lived("shop")
    bank = made.outcome.design.bank
    high = replace(bank, charging=replace(bank.charging, highest_v=448.0))
    outcome = replace(made.outcome, design=replace(made.outcome.design, bank=high))
    assert any("448 V DC" in one for one in told(replace(made, outcome=outcome), "cautions"))
    assert not any("extra-low voltage" in one for one in told(made, "cautions"))


def test_smoke_and_gas_send_everybody_out(lived):
    text = " ".join(told(lived("farmhouse"), "fails"))
    for words in (
        "everybody out without touching a switch, call the fire service from outside",
        "do not go back in",
        "Put water on an electrical fire",
        "Open a cover, touch a terminal",
        "press nothing else, call the installer",
    ):
        assert words in text


def test_a_bank_that_wears_fast_says_so(lived):
    made = lived("farmhouse")
    ageing = made.outcome.ageing
    assert any("No figure here is a promise." in one for one in told(made, "life"))
    short = replace(ageing, life_y=2.5, beyond=(Beyond("short", 2.5, SHORT_LIFE_Y),))
    outcome = replace(made.outcome, priced=replace(made.outcome.priced, ageing=short))
    text = " ".join(told(replace(made, outcome=outcome), "life"))
    assert "after 2.5 years" in text
    assert "The bank lasts only 2.5 years" in text


def test_a_home_without_a_bank_has_no_levels_and_no_replacement(lived):
    made = lived(with_home("town_house", drawn={"units_in_parallel": 0}))
    assert made.outcome.system.units == 0
    first, second = pages(owner_pdf(made))
    assert "There is no battery bank" in first
    assert "a full bank" not in first
    assert "State of charge, as the display shows it" not in first
    assert "falls to 80" not in second
    assert not any(what.startswith("Bank") for what in tasks(made))
    assert "Wait for sun or for another source" in second


def test_a_metered_load_has_no_names(lived):
    made = lived("farmhouse")
    outcome = made.outcome
    inputs = outcome.simulation.inputs
    meter = replace(inputs.loads, appliance_names=(), appliance_w=inputs.loads.appliance_w[:0])
    run = replace(outcome.simulation, inputs=replace(inputs, loads=meter))
    outcome = replace(outcome, priced=replace(outcome.priced, simulation=run))
    first, _ = pages(owner_pdf(replace(made, outcome=outcome)))
    assert "It supplies the load that was metered: 6.3 kWh a day." in first
    assert "no appliances are known here" in first


def test_what_the_grid_alone_feeds_is_named(lived):
    raw = demo("town_house").model_dump(mode="json")
    raw["loads"]["appliances"][2]["board"] = "unprotected"
    have = " ".join(told(lived(Sketch.model_validate(raw)), "have"))
    assert "in every grid outage: Bedroom air conditioner." in have
    assert "in every grid outage" not in " ".join(told(lived("town_house"), "have"))


def test_a_broken_rule_is_said_first(lived):
    made = lived(with_home("farmhouse", equipment={"inverter": {"rated_va": 600, "surge_va": 700}}))
    for language, words in (("en", "Do not use it as it is."), ("es", "No lo use tal como está.")):
        first, _ = pages(owner_pdf(made, language=language))
        assert first.index(words) < first.index(plain(to_words(made.outcome.sentence, language)))
    assert owner_data(lived("farmhouse"))["alert"] == []


def test_blanks_are_left_and_nothing_is_invented_for_them(lived):
    data = owner_data(lived("farmhouse"))
    assert data["blanks"] == ["Installer", "Telephone", "Commissioned on"]
    first, second = pages(owner_pdf(lived("farmhouse")))
    assert "Installer Telephone Commissioned on" in first
    assert "Message on the display, date, hour Installer's telephone Fire service" in second


def test_the_code_of_the_home_speaks(lived):
    assert "Ground-fault protection: press its test button" in " ".join(tasks(lived("farmhouse")))
    assert "Residual-current protection: press its test button" in " ".join(tasks(lived("shop")))


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("home", DEMOS)
def test_no_field_or_key_is_named(home, language, lived):
    texts = _texts(owner_data(lived(home, language), language=language))
    assert len(texts) > 60
    assert {found for text in texts for found in _RAW.findall(text)} == set()


@pytest.mark.parametrize("home", DEMOS)
def test_in_a_third_language_no_english_is_left(home, lived, monkeypatch):
    made = lived(home)
    speak_marked(monkeypatch)
    texts = _texts(owner_data(made, language=LANGUAGE))
    assert len(texts) > 60
    assert unmarked(texts, typed(made.outcome.sketch) | NAMES) == {}


def test_an_unknown_paper_is_refused(lived, tmp_path):
    with pytest.raises(BadInput, match="there is no paper size 'a0' here"):
        write_owner(lived("farmhouse"), tmp_path / "x.pdf", paper="a0")
    assert not (tmp_path / "x.pdf").exists()


def test_it_is_tagged_and_dated(lived):
    data = owner_pdf(lived("farmhouse"))
    root = pypdf.PdfReader(io.BytesIO(data)).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"].value is True
    assert DATE in " ".join(pages(data))
