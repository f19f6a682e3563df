"""Both catalogues are complete: same keys, same placeholders, every field and choice named."""

import re
import typing
from pathlib import Path

import pytest
from pydantic import BaseModel

from offgrid_sizing import words as engine_words
from offgrid_sizing.electrical.cautions import cautions
from offgrid_sizing.loads.catalogue import all_kinds, categories
from offgrid_sizing.loads.presets import presets
from offgrid_sizing.sketch import Run, Sketch
from offgrid_sizing.sketch.base import TimeWindow
from offgrid_sizing.ui import fields, hour_words, words
from offgrid_sizing.ui.navigation import STEPS

OTHERS = [language for language in words.LANGUAGES if language != words.DEFAULT]
PACKAGE = Path(engine_words.FOLDER).parent


@pytest.mark.parametrize("rule_book", ["nfpa70", "iec60364"])
def test_the_first_electrical_caution_says_on_screen_what_it_says_on_paper(rule_book):
    assert cautions(rule_book)[0].to("es") == words.catalogue("es")["cautions.licensed"]
    assert cautions(rule_book)[0].to("en") == words.catalogue("en")["cautions.licensed"]


@pytest.mark.parametrize("language", words.LANGUAGES)
@pytest.mark.parametrize("told", ["search.limit.targets", "search.no_array.targets"])
def test_a_limit_of_the_search_is_called_as_its_field_on_screen(told, language):
    known = words.catalogue(language)
    assert known[told][1:].startswith(known["fields.targets.max_modules"])


@pytest.mark.parametrize("language", OTHERS)
def test_the_other_language_has_the_same_keys(language):
    english, other = words.catalogue("en"), words.catalogue(language)
    assert sorted(set(english) - set(other)) == [], "not translated"
    assert sorted(set(other) - set(english)) == [], "left over"


@pytest.mark.parametrize("language", OTHERS)
def test_placeholders_agree(language):
    english, other = words.catalogue("en"), words.catalogue(language)
    differing = {
        key: (text, other[key])
        for key, text in english.items()
        if key in other and words.placeholders(text) != words.placeholders(other[key])
    }
    assert differing == {}


@pytest.mark.parametrize("language", words.LANGUAGES)
def test_no_text_is_empty_or_broken(language):
    for key, text in words.catalogue(language).items():
        assert text.strip(), key
        assert text == text.strip(), key
        words.placeholders(text)  # a lone brace raises


def _models(annotation) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for part in typing.get_args(annotation) for model in _models(part)]


def _leaves(model: type[BaseModel] = Sketch, prefix: str = ""):
    """Every path that holds a value a person may set, with its model and field."""
    for name, field in model.model_fields.items():
        path = prefix + name
        inner = _models(field.annotation)
        if not inner:
            yield path, model, name
        elif inner[0] is not TimeWindow:
            yield from _leaves(inner[0], path + ".")


LEAVES = [leaf for leaf in _leaves() if leaf[0] != "schema_version"]


def test_the_walk_finds_the_fields():
    paths = [path for path, _, _ in LEAVES]
    assert len(paths) > 200
    assert {"site.latitude_deg", "wiring.string.length_m", "grid.tariff.bands.to_h"} <= set(paths)


@pytest.mark.parametrize("language", words.LANGUAGES)
def test_every_field_has_a_label_and_every_described_one_a_help(language):
    known = words.catalogue(language)
    missing = {path for path, _, _ in LEAVES if f"fields.{fields.key_path(path)}" not in known} | {
        f"help of {path}"
        for path, model, name in LEAVES
        if model.model_fields[name].description and f"help.{fields.key_path(path)}" not in known
    }
    assert missing == set()


@pytest.mark.parametrize("language", words.LANGUAGES)
def test_no_label_or_help_names_a_field_that_is_gone(language):
    alive = {fields.key_path(path) for path, _, _ in LEAVES}
    groups = {path.rsplit(".", n)[0] for path in alive for n in (1, 2, 3)}
    groups |= {f"wiring.{name}" for name, f in _run_fields()}
    windows = {f"{path}.{end}" for path in _window_paths() for end in ("from_h", "to_h")}
    windows |= set(_window_paths())
    for section in ("fields", "help"):
        named = {
            key.removeprefix(f"{section}.")
            for key in words.catalogue(language)
            if key.startswith(f"{section}.")
        }
        assert named - alive - groups - windows == set()


def _run_fields():
    wiring = Sketch.model_fields["wiring"].annotation
    return [(n, f) for n, f in wiring.model_fields.items() if f.annotation is Run]


def _window_paths(model: type[BaseModel] = Sketch, prefix: str = ""):
    for name, field in model.model_fields.items():
        for inner in _models(field.annotation)[:1]:
            if inner is TimeWindow:
                yield prefix + name
            else:
                yield from _window_paths(inner, f"{prefix}{name}.")


@pytest.mark.parametrize("language", words.LANGUAGES)
def test_every_choice_has_a_name(language):
    known = words.catalogue(language)
    missing = {
        f"choices.{name}.{option}"
        for _, model, name in LEAVES
        for option in fields.facts_of(model, name).options
        if isinstance(option, str) and f"choices.{name}.{option}" not in known
    }
    assert missing == set()


def test_every_page_is_named():
    for step in STEPS:
        assert f"{step.name}.nav" in words.catalogue("en")


def test_every_key_the_code_asks_for_exists():
    """Keys written out in the code; those put together are held by the tests above."""
    call = re.compile(r"\b(?:t|t_raw|said|Said|sentence)\(\s*\"([a-z0-9_]+\.[a-z0-9_.]+)\"")
    asked = {
        (key, file.name)
        for file in PACKAGE.rglob("*.py")
        for key in call.findall(file.read_text("utf-8"))
        if file.parent != engine_words.FOLDER
    }
    assert len(asked) > 30
    unknown = {pair for pair in asked if pair[0] not in words.catalogue("en")}
    assert unknown == set()


def test_values_from_a_person_are_shown_not_read():
    text = words.t("saved.copy_title", title="<img src=x onerror=alert(1)> **bold** :red[x] $x$")
    assert "\\<img" in text
    assert "\\*\\*bold" in text
    assert ":red" not in text
    assert words.t_raw("saved.copy_title", title="**bold**") == "**bold** (copy)"


def test_a_noun_after_one_stands_in_the_singular(monkeypatch):
    def said(units, modules) -> str:
        return words.t_raw("sizing.swing.counts", units=units, modules=modules)

    assert said(1, "1") == "1 unit in parallel, 1 module"
    assert said(2, 11) == "2 units in parallel, 11 modules"
    assert words.t("common.days", days="1") == "1 day"
    assert words.t("common.days", days="1.1") == "1.1 days"
    monkeypatch.setattr(words, "language", lambda: "es")
    assert said(1, 2) == "1 unidad en paralelo, 2 módulos"


@pytest.mark.parametrize("language", list(words.LANGUAGES))
def test_every_noun_of_one_is_said_somewhere_after_a_number(language):
    said = " ".join(words.catalogue(language).values())
    for many, _ in engine_words._one_of(language):
        assert f"}} {many}" in said, many


def test_the_appliance_words_are_those_of_the_catalogue_and_the_presets():
    english = words.catalogue("en")

    def group(name: str) -> dict[str, str]:
        head = f"appliances.{name}."
        return {key.removeprefix(head): text for key, text in english.items() if head in key}

    assert group("kind") == {row.kind: row.name for row in all_kinds()}
    assert set(group("also")) == {row.kind for row in all_kinds()}
    assert list(group("category").values()) == list(categories())
    assert group("household") == {one.name: one.title for one in presets()}
    assert group("household_text") == {one.name: one.description for one in presets()}


@pytest.mark.parametrize("language", words.LANGUAGES)
def test_no_two_appliances_share_a_name(language):
    names = [
        text
        for key, text in words.catalogue(language).items()
        if key.startswith("appliances.kind.")
    ]
    assert len(set(names)) == len(names) > 100


@pytest.mark.parametrize(
    ("text", "again"),
    [
        ("de 6 a 9 y 17–22, 3 h en total", "06–09 y 17–22, 3 h en total"),
        ("22:30 hasta 6", "22:30–06"),
        ("Siempre", "siempre"),
        ("9 a.m. a 5 p.m.", "09–17"),
        ("06–09 and 17–22", "06–09 y 17–22"),
        ("desde las 9 hasta mediodía, 90 minutos al día", "09–12, 1.5 h en total"),
    ],
)
def test_hours_in_spanish_are_understood_and_said_back(monkeypatch, text, again):
    monkeypatch.setattr(words, "language", lambda: "es")
    assert hour_words.said(*hour_words.heard(text)) == again
    assert hour_words.heard(again) == hour_words.heard(text)
