"""Hostile meter files, odd hours and pasted rows are told in Spanish with no English left."""

import re
from types import SimpleNamespace

import meter_samples as samples
import numpy as np
import pytest
from paste_kit import taken_from
from test_meter_hostile import HEAD, IMPORTED, REFUSED, ROWS
from two_languages import assert_both_languages, english_in

from offgrid_sizing.loads import meter_espi, meter_text
from offgrid_sizing.loads.appliance_year import appliance_year
from offgrid_sizing.loads.calendar import civil_index
from offgrid_sizing.loads.catalogue import kind_named
from offgrid_sizing.loads.compare import compare_loads, scale_appliances
from offgrid_sizing.loads.efficiency import SWAPS, efficiency_first
from offgrid_sizing.loads.hours import paint, parse_windows
from offgrid_sizing.loads.meter import clean_meter_file, metered_load, metered_year, read_meter
from offgrid_sizing.loads.meter_columns import parse_column_map
from offgrid_sizing.loads.peak_story import at_a_calm_hour, peak_story, with_soft_starter
from offgrid_sizing.loads.presets import preset_named
from offgrid_sizing.sketch import Appliance, BadInput, MeteredLoad, TimeWindow, Variability
from offgrid_sizing.ui import hour_words, words
from offgrid_sizing.weather.climate import Spot, climate_weather
from offgrid_sizing.words import sentence, to_words


def _said_of(content: bytes, **options) -> tuple:
    try:
        return tuple(clean_meter_file(content, **options)[1]["sentences"])
    except BadInput as refused:
        return refused.sentences


@pytest.mark.parametrize("name", REFUSED)
def test_a_refused_meter_file(name):
    content, _ = REFUSED[name]
    options = {} if REFUSED[name][1] else {"quantity": "register_kwh"}
    assert_both_languages(_said_of(content, **options), content)


@pytest.mark.parametrize("name", [n for n in IMPORTED if n not in ("cut in half",)])
def test_what_was_done_to_a_meter_file(name):
    content, left_out = IMPORTED[name]
    said = _said_of(content)
    if left_out:
        assert said
    if said:
        assert_both_languages(said, content)


ODD = {
    "no unit": (samples.lines("time,value\n", ROWS), {}),
    "one gap": (samples.lines(HEAD, [*ROWS[:100], *ROWS[102:]]), {}),
    "long gaps": (samples.lines(HEAD, [*ROWS[:100], *ROWS[110:200], *ROWS[240:]]), {}),
    "an outlier": (samples.lines(HEAD, [*ROWS[:100], "2023-01-05 04:00,999", *ROWS[101:]]), {}),
    "two values": (samples.lines(HEAD, [*ROWS[:99], ROWS[98] + "5", *ROWS[99:]]), {}),
    "some negative": (samples.lines(HEAD, [*ROWS[:9], "2023-01-01 09:00,-1", *ROWS[10:]]), {}),
    "ends": (samples.lines(HEAD, ROWS), {"labels": "end"}),
    "far apart": (samples.lines(HEAD, ROWS[::6]), {}),
    "UTC": (samples.lines(HEAD, [row.replace(",", "Z,") for row in ROWS]), {}),
    "some offsets": (
        samples.lines(HEAD, [*ROWS[:9], *(r.replace(",", "+01:00,") for r in ROWS[9:])]), {},
    ),
    "a day a row": (samples.lines(
        "date," + ",".join(f"{n // 2:02d}:{n % 2 * 30:02d}" for n in range(48)) + "\n",
        samples.wide_rows()), {}),
    "a register": (samples.lines("Zeit;Zählerstand\n", samples.register_rows()), {}),
    "much": (samples.lines(HEAD, [row.replace(",", ",999") for row in ROWS]),
             {"quantity": "energy_kwh"}),
    "no such column": (samples.lines(HEAD, ROWS), {"value_column": "nowhere"}),
    "labels": (samples.lines(HEAD, ROWS), {"labels": "sometimes"}),
    "quantity": (samples.lines(HEAD, ROWS), {"quantity": "apples"}),
    "no zone": (samples.lines(HEAD, ROWS), {"civil_zone": "Middle/Earth"}),
    "no offset": (samples.lines(HEAD, ROWS), {"utc_offset_h": 30.0}),
    "espi": (samples.espi(samples.espi_meter(1, 1), *(
        samples.espi_block(flow, [samples.espi_reading(1672549200 + n * 3600, 500)
                                  for n in range(48)]) for flow in (1, 2))), {}),
}  # fmt: skip


@pytest.mark.parametrize("name", ODD)
def test_an_odd_meter_file(name):
    content, options = ODD[name]
    assert_both_languages(_said_of(content, **options), content)


def test_a_nameless_column_is_found_by_its_name_in_either_language():
    content = samples.lines("", [row.replace(",", ";7;") for row in ROWS])
    kept = [
        clean_meter_file(content, value_column=name, quantity="energy_kwh")[1]["daily_kwh"]
        for name in ("3", "column 3", "columna 3")
    ]
    assert kept[0] == kept[1] == kept[2] != 7 * 24
    assert _said_of(content, value_column="columna 9") != ()


def test_limits_of_size(monkeypatch, tmp_path):
    content = samples.lines(HEAD, ROWS)
    monkeypatch.setattr(meter_text, "MAX_ROWS", 99)
    assert_both_languages(_said_of(content), content)
    monkeypatch.setattr(meter_text, "MAX_METER_BYTES", 999)
    assert_both_languages(_said_of(content), content)
    monkeypatch.setattr(meter_text, "MAX_METER_BYTES", 999_999)
    monkeypatch.setattr(meter_espi, "MAX_ROWS", 9)
    blocks = [samples.espi_reading(1672549200 + n * 3600, 500) for n in range(48)]
    many = samples.espi(samples.espi_meter(1, 1), samples.espi_block(1, blocks))
    assert_both_languages(_said_of(many), many)
    for path in (tmp_path, tmp_path / "gone.csv"):
        with pytest.raises(BadInput) as refused:
            read_meter(path)
        assert_both_languages(refused.value.sentences)
    with pytest.raises(BadInput) as refused:
        metered_load(MeteredLoad(file=" "))
    assert_both_languages(refused.value.sentences)


@pytest.mark.parametrize("shape", [None, np.ones(12)])
def test_what_was_not_metered(shape):
    _, said = metered_year(read_meter(samples.lines(HEAD, ROWS)), 1.0, shape)
    assert_both_languages(said)
    spanish = to_words(said[0], "es")
    assert spanish.startswith("Días sin medir: 297 de 365 (abril, mayo")


def test_meter_and_table_side_by_side(make_sketch):
    day, flat = np.tile(np.arange(24.0), 365), np.full(8760, 9.0)
    for pair in ((day, day * 2), (day * 2, day), (flat, day)):
        assert_both_languages([compare_loads(*pair, 1.0).sentence])
    with pytest.raises(BadInput) as refused:
        scale_appliances(make_sketch(), 1e6)
    assert_both_languages(refused.value.sentences)


@pytest.mark.parametrize(
    "text",
    ["soon", "25 to 26", "06:70 to 9", "13 pm to 14 pm", "06–09, 1 h, 2 h", "06–08, 9 h in total",
     ", ".join(f"{hour:02d}–{hour:02d}" for hour in range(25))],
)  # fmt: skip
def test_hours_that_are_none(text):
    with pytest.raises(BadInput) as refused:
        parse_windows(text)
    assert_both_languages(refused.value.sentences, text)


@pytest.mark.parametrize("text", ["de 6 hasta tarde", "a las 6:70 a 9", "06–09, 1 hora, 2 horas"])
def test_hours_typed_in_spanish_are_quoted_in_spanish(monkeypatch, text):
    monkeypatch.setattr(words, "language", lambda: "es")
    with pytest.raises(BadInput) as refused:
        hour_words.heard(text)
    spanish = to_words(refused.value.sentences[0], "es")
    assert not {"from", "to", "hour", "hours", "h"} & set(spanish.split("'")[1].split())


@pytest.mark.parametrize("painted", [(-1, 5, 1.0), (1, 5, 2.0)])
def test_hours_that_cannot_be_painted(painted):
    with pytest.raises(BadInput) as refused:
        paint(None, *painted)
    assert_both_languages(refused.value.sentences)


PASTED = (
    "", "x" * 200_001, "\n".join(f"Lamp {n},1,9,3" for n in range(501)),
    "Drill,two,700,1", "Drill,1,700,25", "Drill,1,700,whenever", "Nameless machine,1,,3",
    "name,count,W,hours\n,1,700,3",
)  # fmt: skip


@pytest.mark.parametrize("text", PASTED, ids=range(len(PASTED)))
def test_pasted_rows_that_cannot_be_read(text):
    _, said = taken_from(text)
    assert_both_languages(said, text)


def test_rows_pasted_in_spanish(monkeypatch):
    monkeypatch.setattr(words, "language", lambda: "es")
    text = "Aparato\tCantidad\tPotencia (W)\tHoras\tCrítico\nBomba\t2\t750\t06–09 y 17–22, 1 h\tsí"
    found, said = taken_from(text, hour_words.heard)
    assert said == ()
    assert (found[0].name, found[0].count, found[0].running_w) == ("Bomba", 2, 750)
    assert (len(found[0].windows), found[0].run_time_h, found[0].critical) == (2, 1, True)
    assert taken_from(words.t_raw("loads.table.paste_example"), hour_words.heard)[1] == ()
    fridge, _ = taken_from("Bombilla LED;1\nFrigorífico;1")
    assert "refrigerator" in {one.kind for one in fridge}


def test_the_peak_and_its_remedies(make_sketch):
    evening = (TimeWindow(from_h=18, to_h=20),)
    home = [Appliance(name=name, running_w=900, windows=evening, starting_multiple=3, months=months)
            for name, months in (("Pump", (1, 2)), ("Iron", (1, 2, 3)), ("Saw", (3,)))]  # fmt: skip
    sketch = make_sketch(*home)
    story = peak_story(sketch)
    assert_both_languages([story.sentence, *(one.sentence for one in story.options)])
    assert_both_languages([with_soft_starter(sketch, home[0]).sentence])
    assert_both_languages([at_a_calm_hour(sketch, home[0]).sentence])
    assert " en " in to_words(story.when, "es")


@pytest.mark.parametrize("ask", [
    lambda: kind_named("refrigeratr"), lambda: kind_named("qqq"), lambda: preset_named("castle"),
    lambda: civil_index("Middle/Earth", 0, 1), lambda: parse_column_map("a=b"),
    lambda: parse_column_map("day_first=perhaps"),
])  # fmt: skip
def test_names_that_are_not_known(ask):
    with pytest.raises(BadInput) as refused:
        ask()
    assert_both_languages(refused.value.sentences, "refrigeratr qqq castle refrigerator a=b")


@pytest.mark.parametrize("swap", SWAPS, ids=lambda swap: swap.kind)
def test_why_another_appliance_does_with_less(swap):
    assert_both_languages([swap.why])


THEMES = ("calendar", "hours", "household", "logger", "meter", "paste", "peaks", "weather")


@pytest.mark.parametrize("theme", THEMES)
def test_no_english_is_left_in_the_spanish_texts(theme):
    spanish = {k: v for k, v in words.catalogue("es").items() if k.startswith(f"{theme}.")}
    assert spanish
    for key, text in spanish.items():
        assert not english_in(re.sub(r"{[^}]*}", "…", text)), key


def test_the_savings_and_where_the_load_year_is_from(make_sketch):
    now, then = SimpleNamespace(units=3, modules=5, price=900.0), None
    told = []
    for units, modules in ((3, 5), (2, 5), (3, 4), (1, 1)):
        then = SimpleNamespace(units=units, modules=modules, price=300.0)
        sizes = iter((now, then, then))
        home = make_sketch(typed("Old lamp", kind="halogen_lamp"), typed("Kettle"))
        told += efficiency_first(home, lambda _: next(sizes), names=("Old lamp",))  # noqa: B023
    assert_both_languages([one.sentence for one in told])
    assert_both_languages([one.change for one in told])
    assert {to_words(one.change, "es") for one in told} == {"sin él", "Lámpara LED"}
    weather = climate_weather(Spot(10.0, 10.0, 0, 1.0), 1)
    for spread in (Variability(), Variability(day_sd_frac=0.1, hour_sd_frac=0.1)):
        home = make_sketch(typed("Kettle"))
        loads = home.loads.model_copy(update={"variability": spread})
        year = appliance_year(home.model_copy(update={"loads": loads}), weather)
        assert_both_languages([year.provenance])


def typed(name: str, **more) -> Appliance:
    return Appliance(name=name, running_w=900, windows=(TimeWindow(from_h=18, to_h=20),), **more)


def test_a_text_without_its_key_is_noticed():
    for told in ("the file is empty.", sentence("meter.of_file", file="a", fault="it is empty")):
        with pytest.raises(AssertionError):
            assert_both_languages([told])


def test_a_single_one_stands_in_the_singular():
    said = _said_of(*ODD["some negative"][:1])
    assert "1 negative reading was set to zero." in said
    assert to_words(said[0], "es") == "Lecturas negativas puestas a cero: 1."
