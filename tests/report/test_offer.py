"""The offer: two pages whatever the sketch holds, its figures the outcome's, nothing hidden."""

import io
import re
from dataclasses import replace
from functools import cache

import pypdf
import pytest
from marked_language import LANGUAGE, speak_marked, typed, unmarked
from test_every_word_keyed_on_paper import NAMES, _texts
from test_no_raw_keys import _RAW
from test_pdf import HOSTILE

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.electrical.cautions import cautions
from offgrid_sizing.offers import Offers, offers_beside
from offgrid_sizing.report.assumed import ASSUMED, assumed
from offgrid_sizing.report.offer import Offered, offer_data, offer_pdf, write_offer
from offgrid_sizing.report.sections.offer_first import MOST_DEVICES
from offgrid_sizing.sizing.autonomy import ride_through_hours
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.units import digits, money, percent
from offgrid_sizing.words import all_to_words, reader_of, to_words

DATE = "2026-01-15"
LANGUAGES, PAPERS = ("en", "es"), {"a4": (595, 842), "us-letter": (612, 792)}


@pytest.fixture
def offered(work_out):
    """The offer of a demo as drawn; no figure beside it depends on the language of its names."""

    def made(home: str, language: str = "en") -> Offered:
        outcome = work_out(demo(home, language))
        return Offered(outcome, _beside(work_out, home), date=DATE)

    return made


@cache
def _beside(work_out, home: str) -> Offers:
    return offers_beside(work_out(demo(home)))


@pytest.fixture
def alone(work_out):
    """The same with no search: the drawn system stands there alone."""

    def made(sketch: Sketch) -> Offered:
        outcome = work_out(sketch)
        drawn = offers_beside(outcome, replace(_unmet(outcome), sentence="Nothing was found."))
        return Offered(outcome, drawn, date=DATE)

    return made


def _unmet(outcome):
    """A search that met nothing; only that and its sentence are read."""
    from offgrid_sizing.sizing.result import SizingResult

    empty = dict.fromkeys(SizingResult.__dataclass_fields__)
    return SizingResult(**empty | {"met": False, "system": outcome.system})


def pages(data: bytes) -> list[str]:
    """The text of each page, white space made one space."""
    reader = pypdf.PdfReader(io.BytesIO(data))
    return [" ".join(page.extract_text().split()).replace("\u200b", "") for page in reader.pages]


def plain(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("home", DEMOS)
def test_two_pages_on_both_papers(home, language, offered):
    made = offered(home, language)
    for paper, size in PAPERS.items():
        data = offer_pdf(made, paper=paper, language=language)
        sheets = pypdf.PdfReader(io.BytesIO(data)).pages
        assert [(round(p.mediabox.width), round(p.mediabox.height)) for p in sheets] == [size] * 2
        first, second = pages(data)
        for key in ("does", "lacks", "gets"):
            assert _title(made, key, language) in first
        for key in ("beside", "confirm", "steps", "cautions"):
            assert _title(made, key, language) in second


def _title(made: Offered, key: str, language: str) -> str:
    return offer_data(made, language=language)["sections"][key]["title"]


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("home", DEMOS)
def test_every_figure_is_the_outcomes(home, language, offered):
    made = offered(home, language)
    outcome, reader = made.outcome, reader_of(language)
    first, second = pages(offer_pdf(made, language=language))
    life, years = outcome.life_cycle, outcome.reliability
    price = plain(money(life.first.total, reader, life.currency))
    cost = plain(money(life.equivalent_annual, reader, life.currency))
    days = digits(outcome.autonomy.dark_median_h / 24, reader)
    assert plain(to_words(outcome.sentence, language)) in first
    assert price in first
    assert cost in first
    assert days in first
    assert price in second
    assert cost in second
    assert days in second
    for year in filter(None, (years.median, years.bad)):
        told = f"{digits(year.unserved_h, reader)} h, {percent(year.unserved_frac, reader)}"
        assert plain(told) in first
        assert plain(told) in second
    for one in made.offers.of:
        assert plain(money(one.price, reader, life.currency)) in second
        for run in filter(None, (one.with_more, one.with_fewer)):
            assert f"{digits(run.unserved_h, reader)} h," in second


def test_the_drawn_column_says_what_the_first_page_says(offered):
    made = offered("shop")
    drawn = next(one for one in made.offers.of if one.kind == "drawn")
    outcome = made.outcome
    assert drawn.price == outcome.life_cycle.first.total
    assert drawn.cost_per_year == outcome.life_cycle.equivalent_annual
    assert drawn.autonomy_h == outcome.autonomy.dark_median_h
    assert drawn.judged == outcome.reliability.judged
    assert drawn.bad == outcome.reliability.bad
    (table,) = offer_data(made)["sections"]["beside"]["blocks"]
    assert [head for head in table["head"] if "(this offer)" in head] == [
        "As drawn now (this offer)"
    ]


def test_the_title_of_the_found_system_says_that_it_is_drawn(work_out):
    """Once the answer is drawn it stands there once, and is the offer."""
    outcome = work_out(demo("shop"), sized=True)
    made = Offered(outcome, offers_beside(outcome, outcome.sizing), date=DATE)
    (table,) = offer_data(made)["sections"]["beside"]["blocks"]
    marked = [head for head in table["head"] if "(this offer)" in head]
    assert marked == ["The load as listed (this offer)"]


def test_one_weather_year_is_never_called_bad(offered):
    made = offered("farmhouse")
    assert made.outcome.reliability.bad is None
    for language, bad in (("en", ("bad year", "median year")), ("es", ("año malo", "año mediano"))):
        text = " ".join(pages(offer_pdf(made, language=language)))
        assert "22 h, 0" in text
        for words in bad:
            assert words not in text.lower()
    several = " ".join(pages(offer_pdf(offered("shop"))))
    assert "1-in-10 bad year" in several


@pytest.mark.parametrize("language", LANGUAGES)
def test_cautions_stand_on_it_and_the_first_page_sends_there(language, offered):
    made = offered("town_house", language)
    first, second = pages(offer_pdf(made, language=language))
    *on_second, unchecked = all_to_words(cautions(made.outcome.sketch.wiring.rule_book), language)
    assert plain(unchecked) in first
    for caution in on_second:
        assert plain(caution) in second
    assert {"en": "local code and a licensed electrician decide", "es": "la norma local"}[
        language
    ] in first


def test_a_high_voltage_has_its_caution(alone):
    raw = demo("shop").model_dump(mode="json")
    made = alone(Sketch.model_validate(raw))
    bank = made.outcome.design.bank
    high = replace(bank, charging=replace(bank.charging, highest_v=448.0))
    outcome = replace(made.outcome, design=replace(made.outcome.design, bank=high))
    _, second = pages(offer_pdf(replace(made, outcome=outcome)))
    assert "448 V DC, above extra-low voltage" in second
    assert "above extra-low voltage" not in pages(offer_pdf(made))[1]


def with_home(home: str, **parts) -> Sketch:
    """A demo with some parts given anew, merged into what is there."""
    raw = demo(home).model_dump(mode="json")

    def merged(old, new):
        if isinstance(old, dict) and isinstance(new, dict):
            return old | {key: merged(old.get(key), value) for key, value in new.items()}
        return new

    return Sketch.model_validate(merged(raw, parts))


def test_a_broken_rule_is_said_first(alone):
    made = alone(with_home("farmhouse", equipment={"inverter": {"rated_va": 600, "surge_va": 700}}))
    wiring = made.outcome.wiring
    assert wiring.faults
    for language, words in (("en", "Not ready to be offered."), ("es", "No está listo para")):
        first, second = pages(offer_pdf(made, language=language))
        assert words in first
        assert plain(to_words(wiring.headline, language)) in first
        assert plain(to_words(wiring.faults[0], language))[1:] in first
        assert first.index(words) < first.index(plain(to_words(made.outcome.sentence, language)))
        assert offer_data(made, language=language)["sections"]["steps"]["blocks"][0]["items"][
            0
        ] in (second)
    data = offer_data(made)
    assert data["sections"]["steps"]["blocks"][0]["items"][0].startswith("Correct what page 1")
    kept = min(len(wiring.faults), 3)
    assert len(data["alert"]) == 1 + kept + (len(wiring.faults) > 3)


def test_a_sound_one_bears_no_alert(offered):
    assert offer_data(offered("shop"))["alert"] == []


def test_what_cannot_be_wired_has_no_list_of_materials(alone):
    made = alone(demo("farmhouse"))
    refused = replace(made.outcome, design=None, warnings=("No fuse fits.",))
    data = offer_pdf(replace(made, outcome=refused))
    first, _ = pages(data)
    assert "Not ready to be offered. This system cannot be wired as drawn" in first
    assert "No fuse fits." in first
    assert "No bill of materials can be made" in first
    assert "circuit breaker" not in first


def test_where_nothing_meets_the_targets_the_drawn_one_stands_alone(work_out):
    sketch = with_home(
        "farmhouse",
        targets={"max_unserved_frac": 0.0, "max_units": 4, "max_modules": 12},
    )
    outcome = work_out(sketch)
    offers = offers_beside(outcome)
    assert offers.why_alone
    assert [one.kind for one in offers.of] == ["drawn"]
    made = Offered(outcome, offers, date=DATE)
    for language in LANGUAGES:
        data = offer_pdf(made, language=language)
        _, second = pages(data)
        assert plain(to_words(offers.why_alone, language))[1:] in second
        price = money(outcome.life_cycle.first.total, reader_of(language), "USD")
        assert plain(price) in second


LONG = "A very long name of a thing " * 5


def crowded(*texts: str) -> Sketch:
    """The town house with very many appliances of such names on both boards."""
    raw = demo("town_house").model_dump(mode="json")
    raw["title"] = texts[0][:120]
    raw["site"]["name"] = raw["site"]["country"] = texts[-1][:80]
    raw["prices"]["as_of"], raw["prices"]["currency"] = texts[0][:80], texts[-1][:8]
    for kind in ("module", "battery", "inverter"):
        raw["equipment"][kind]["name"] = texts[0][:120]
    first = raw["loads"]["appliances"][0] | {"running_w": 5, "critical": False}
    for number in range(60):
        name = f"{number} {texts[number % len(texts)]}"
        for board in ("protected", "unprotected"):
            named = {"name": f"{board} {name}"[:120], "board": board}
            raw["loads"]["appliances"].append(first | named)
    raw["strategy"]["shed_soc_frac"] = 0.4
    return Sketch.model_validate(raw)


@pytest.mark.parametrize("texts", [(LONG,), ("W" * 120,), HOSTILE], ids=["long", "wide", "hostile"])
def test_whatever_is_written_stays_two_pages_of_words(texts, alone):
    made = alone(crowded(*texts))
    for paper, language in zip(PAPERS, LANGUAGES, strict=True):
        first, _ = pages(offer_pdf(made, paper=paper, language=language))
        assert squeezed(texts[0][:100]) in squeezed(first)


def squeezed(text: str) -> str:
    """Letters alone: a line may break anywhere in an endless word."""
    return re.sub(r"\s", "", text)


def test_an_endless_source_of_weather_and_endless_faults_stay_two_pages(alone):
    made = alone(crowded(LONG))
    run = made.outcome.simulation
    named = replace(run.inputs.weather, provenance="file " * 400, caveats=("beware " * 300,) * 2)
    run = replace(run, inputs=replace(run.inputs, weather=named))
    design = replace(made.outcome.design, faults=tuple("broken " * 400 for _ in range(9)))
    outcome = replace(made.outcome, priced=replace(made.outcome.priced, simulation=run))
    told = replace(made, outcome=replace(outcome, design=design))
    for paper, language in zip(PAPERS, LANGUAGES, strict=True):
        assert len(pages(offer_pdf(told, paper=paper, language=language))) == 2
    assert offer_data(told)["alert"][-1] == "And 6 more, in full in the summary."


def test_long_lists_are_cut_and_counted(alone):
    made = alone(crowded(LONG))
    sections = offer_data(made)["sections"]
    loads = made.outcome.sketch.loads
    carried = sections["does"]["blocks"][0]["items"][0]
    assert _told_and_left(carried, "a day: ", ".") == len(loads.protected)
    (unprotected,) = [
        item for item in sections["lacks"]["blocks"][0]["items"] if "protected board" in item
    ]
    assert _told_and_left(unprotected, ": ", ".") == len(loads.unprotected)
    (shed,) = [item for item in sections["lacks"]["blocks"][0]["items"] if "40" in item]
    waiting = [one for one in loads.protected if not one.critical]
    assert _told_and_left(shed, "bank: ", ".") == len(waiting)
    (table,) = sections["gets"]["blocks"]
    bill = made.outcome.design.bill_of_materials
    left = len(bill) - len(table["rows"])
    assert left > 0
    assert f": {left}, in full in the summary" in table["note"]
    devices = sum(item.group == "device" for item in bill)
    assert len(table["rows"]) == min(devices, MOST_DEVICES) + sum(
        item.group in ("array", "bank", "machine") for item in bill
    )


def _told_and_left(text: str, begin: str, end: str) -> int:
    """How many names stand in a list and how many it says are left."""
    names, _, rest = text.partition(begin)[2].rpartition(" and ")
    return len(names.split(", ")) + int(rest.split(" ")[0])


def test_short_lists_stand_whole(offered):
    made = offered("farmhouse")
    carried = offer_data(made)["sections"]["does"]["blocks"][0]["items"][0]
    for one in made.outcome.sketch.loads.in_use:
        assert one.name in carried
    assert "more" not in carried


def test_a_metered_load_has_no_names(offered):
    made = offered("farmhouse")
    outcome = made.outcome
    inputs = outcome.simulation.inputs
    meter = replace(inputs.loads, appliance_names=(), appliance_w=inputs.loads.appliance_w[:0])
    run = replace(outcome.simulation, inputs=replace(inputs, loads=meter))
    outcome = replace(outcome, priced=replace(outcome.priced, simulation=run))
    first, _ = pages(offer_pdf(replace(made, outcome=outcome)))
    assert "It supplies the load that was metered: 6.3 kWh a day." in first
    assert "Appliances supplied" not in first


def test_a_home_without_a_bank_claims_no_autonomy_of_it(alone):
    made = alone(with_home("town_house", drawn={"units_in_parallel": 0}))
    assert made.outcome.system.units == 0
    first, second = pages(offer_pdf(made))
    assert "There is no battery bank" in first
    assert "a full bank" not in first
    assert "0 battery units" in second


def test_what_no_cost_stands_for_is_said(alone, offered):
    free = {"installation_frac": 0, "wiring_and_protection": 0}
    first, _ = pages(offer_pdf(alone(with_home("farmhouse", prices=free))))
    assert "Installation: the price contains no cost for it." in first
    assert "Conductors and protective devices: the price contains no cost" in first
    paid = pages(offer_pdf(offered("farmhouse")))[0]
    assert "Installation: the price" not in paid
    assert "Permits, inspections and licences: the price contains no cost" in paid


def test_motors_that_do_not_start_and_missed_targets_are_named(alone):
    made = alone(with_home("farmhouse", equipment={"inverter": {"rated_va": 600, "surge_va": 700}}))
    rows = made.outcome.design.starts.rows
    short = [row.event.name for row in rows if row.verdict == "trips"]
    assert short
    first, _ = pages(offer_pdf(made))
    assert f"Does not start: {', '.join(short)}." in first
    assert made.outcome.target_met == ("above the limit set for this home" not in first)


def test_a_target_missed_is_said(offered):
    first, _ = pages(offer_pdf(offered("shop")))
    assert "Unserved load in the median year is above the limit set for this home." in first
    assert "above the limit set" not in pages(offer_pdf(offered("farmhouse")))[0]


@pytest.mark.parametrize("language", LANGUAGES)
def test_days_without_sun_are_no_guarantee(language, offered):
    """Beside the median stands what nearly every beginning reaches; all of it is no promise."""
    made = offered("farmhouse", language)
    alone, reader = made.outcome.autonomy, reader_of(language)
    assert alone.dark_1_in_20_h < alone.dark_median_h
    lasts = offer_data(made, language=language)["sections"]["does"]["blocks"][0]["items"][1]
    for hours in (alone.dark_median_h, alone.dark_1_in_20_h):
        assert digits(hours / 24, reader) in lasts
    for home in DEMOS:
        promise = {"en": "No figure here is a promise.", "es": "Ninguna cifra es una promesa."}
        assert promise[language] in pages(offer_pdf(offered(home, language), language=language))[0]


def test_days_of_autonomy_that_miss_their_target_are_said(alone):
    told = "Without sun the bank lasts for less than the target of 3 days."
    for asked in (0, 3):
        made = alone(with_home("farmhouse", targets={"days_of_autonomy": asked}))
        assert 0 < made.outcome.autonomy.dark_median_h < 72
        assert (told in pages(offer_pdf(made))[0]) == (asked == 3)


def test_placeholder_prices_are_not_to_be_signed(alone, offered):
    told = "Prices: those below are still placeholders"
    assert told in pages(offer_pdf(offered("farmhouse")))[0]
    own = alone(with_home("farmhouse", prices={"as_of": "2026-03, our list"}))
    first, _ = pages(offer_pdf(own))
    assert told not in first
    assert "Prices as of: 2026-03, our list" in first


def test_each_default_still_held_is_to_be_confirmed(offered):
    made = offered("shop")
    sketch = made.outcome.sketch
    (notes,) = offer_data(made)["sections"]["confirm"]["blocks"]
    weather, *lines = notes["items"]
    assert plain(str(made.outcome.simulation.inputs.weather.provenance)) in weather
    count = sum(len(assumed(sketch, step)) for step in ASSUMED)
    assert count > 5
    assert sum(line.count("; ") + 1 for line in lines) == count
    assert any("Soiling" in line for line in lines)


def test_blanks_are_left_and_nothing_is_invented_for_them(offered):
    data = offer_data(offered("farmhouse"))
    assert data["blanks"] == ["For", "From", "Valid until"]
    first, second = pages(offer_pdf(offered("farmhouse")))
    assert "For From Valid until" in first
    assert second.count("Signature") == 2


def test_the_code_of_the_home_speaks(offered):
    american = " ".join(pages(offer_pdf(offered("farmhouse"))))
    assert "conductors, grounding, further devices" in american
    assert "earthing" not in american
    assert "conductors, earthing, further devices" in pages(offer_pdf(offered("shop")))[0]


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("home", DEMOS)
def test_no_field_or_key_is_named(home, language, offered):
    texts = _texts(offer_data(offered(home, language), language=language))
    assert len(texts) > 60
    assert {found for text in texts for found in _RAW.findall(text)} == set()


@pytest.mark.parametrize("home", DEMOS)
def test_in_a_third_language_no_english_is_left(home, offered, monkeypatch):
    made = offered(home)
    speak_marked(monkeypatch)
    texts = _texts(offer_data(made, language=LANGUAGE))
    assert len(texts) > 60
    assert unmarked(texts, typed(made.outcome.sketch) | NAMES) == {}


def test_an_unknown_paper_is_refused(offered, tmp_path):
    with pytest.raises(BadInput, match="there is no paper size 'a0' here"):
        write_offer(offered("farmhouse"), tmp_path / "x.pdf", paper="a0")
    assert not (tmp_path / "x.pdf").exists()


def test_it_is_tagged_and_dated(offered):
    data = offer_pdf(offered("farmhouse"))
    root = pypdf.PdfReader(io.BytesIO(data)).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"].value is True
    assert b"pdfuaid" in root["/Metadata"].get_data()
    assert DATE in " ".join(pages(data))


def lacking(made: Offered) -> list[str]:
    return offer_data(made)["sections"]["lacks"]["blocks"][0]["items"]


def test_an_outage_that_is_not_ridden_through_is_named(alone):
    """The hours are those that one in 20 outages, begun at any hour, does not outlast."""
    asked = alone(with_home("town_house", targets={"ride_through_h": 60.0}))
    outcome = asked.outcome
    run, year = outcome.simulation, outcome.reliability.judged.year
    hours = sorted(ride_through_hours(outcome.sketch, run.system, run.inputs, run.trace, year=year))
    reached = hours[int(0.05 * (len(hours) - 1))]
    assert 0 < reached < 60
    assert outcome.ride_through_h == reached
    (told,) = [one for one in lacking(asked) if "ride through" in one]
    assert "outage of 60 h" in told
    assert f"ridden through for {digits(reached, reader_of('en'))} h, which is less" in told
    for targets in ({"ride_through_h": reached}, {"ride_through_h": 0.0}):
        held = alone(with_home("town_house", targets=targets))
        assert not [one for one in lacking(held) if "ride through" in one]


def test_an_offer_without_a_bank_speaks_of_none(alone):
    told = lacking(alone(with_home("town_house", drawn={"units_in_parallel": 0})))
    assert any(one.startswith("There is no battery bank") for one in told)
    assert not [one for one in told if "aged bank" in one]
