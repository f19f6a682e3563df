"""One vocabulary: no sentence anywhere uses a word it bans, and labels carry its terms."""

import re
import typing
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from pydantic import BaseModel
from vocabulary_kit import allowed, banned_in, banned_words

from offgrid_sizing import guide
from offgrid_sizing.cli import main
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import LANGUAGES, catalogue, said
from offgrid_sizing.words.vocabulary import as_markdown, vocabulary

ROOT = Path(__file__).parents[1]


def _told(text: str) -> str:
    """A catalogue's text without its placeholders and markup."""
    return re.sub(r"\{[^{}]*\}|<[^<>]*>", " · ", text)


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_sentence_of_the_catalogues_uses_a_banned_word(language):
    used = {
        key: banned
        for key, text in catalogue(language).items()
        if (banned := banned_words(_told(text), language, at=key))
    }
    assert used == {}


def _prose(markdown: str) -> str:
    """What a reader reads of a page: no code, no addresses of links and pictures."""
    text = re.sub(r"```.*?```|`[^`]*`", " · ", markdown, flags=re.DOTALL)
    return re.sub(r"\]\([^)]*\)", "]", text)


@pytest.mark.parametrize("part", ["tour", "theory", "vocabulary"])
def test_no_part_of_the_guide_uses_a_banned_word(part):
    assert banned_words(_prose(guide.text_of(part)), "en", at=f"guide/{part}.md") == ()


def test_the_readme_uses_no_banned_word():
    text = (ROOT / "README.md").read_text("utf-8")
    assert banned_words(_prose(text), "en", at="README.md") == ()


def _helps(command: click.Command, *names: str) -> dict[str, str]:
    shown = CliRunner().invoke(main, [*names, "--help"]).output
    more = command.commands if isinstance(command, click.Group) else {}
    inner = {k: v for name, one in more.items() for k, v in _helps(one, *names, name).items()}
    return {" ".join(names): shown} | inner


def test_no_help_of_the_command_line_uses_a_banned_word():
    helps = _helps(main)
    assert len(helps) > 5
    assert {name: w for name, text in helps.items() if (w := banned_words(text, "en"))} == {}


def _descriptions(model: type[BaseModel] = Sketch, prefix: str = "") -> dict[str, str]:
    told = {}
    for name, field in model.model_fields.items():
        told[prefix + name] = field.description or ""
        for inner in _models(field.annotation):
            told |= _descriptions(inner, f"{prefix}{name}.")
    return told


def _models(annotation) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for part in typing.get_args(annotation) for model in _models(part)]


def test_no_description_of_a_sketchs_field_uses_a_banned_word():
    told = _descriptions()
    assert len(told) > 200
    assert {path: w for path, text in told.items() if (w := banned_words(text, "en"))} == {}


def test_every_row_is_whole():
    keys = [one.key for one in vocabulary()]
    assert len(keys) == len(set(keys)) >= 35
    for one in vocabulary():
        assert all((one.term, one.short, one.plain, one.spanish, one.source)), one.key
        assert one.plain.endswith("."), one.key


def test_no_term_is_banned_and_no_ban_stands_twice():
    for language in LANGUAGES:
        banned = [word for one in vocabulary() for word in banned_in(one, language)]
        assert len(banned) == len(set(banned))
        for one in vocabulary():
            assert not banned_words({"en": one.term, "es": one.spanish}[language], language)


@pytest.mark.parametrize(
    ("term", "label"),
    [(one, f"fields.{one.field}") for one in vocabulary() if one.field],
    ids=[one.key for one in vocabulary() if one.field],
)
def test_labels_carry_the_terms(term, label):
    english, spanish = (said(label).to(language).lower() for language in ("en", "es"))
    assert term.term.lower() in english or term.short.lower() in english
    assert term.spanish.lower() in spanish or any(
        word in spanish for word in term.spanish.lower().split() if len(word) > 6
    )


def test_every_exception_has_its_reason_and_is_needed():
    for one in allowed():
        assert one.why
        places = [
            (language, key)
            for language in LANGUAGES
            for key in catalogue(language)
            if key.startswith(one.at)
        ]
        assert places, one.at
        told = " ".join(_told(catalogue(language)[key]) for language, key in places)
        for word in one.words:
            assert re.search(rf"(?<![\w-]){word}(?![\w-])", told, re.I), (one.at, word)


def test_the_glossary_shows_every_term():
    shown = as_markdown()
    assert all(f"| {one.term} |" in shown and one.source in shown for one in vocabulary())
