"""What the engine says is a key with values; each language puts it into its own words."""

import pytest

from offgrid_sizing.words import LANGUAGES, all_to_words, catalogue, said, text_of, to_words


def test_values_stand_in_the_sentence_of_each_language():
    one = said("wiring.answer_well", **dict.fromkeys(_names("wiring.answer_well"), "x"))
    assert one.to("en") != one.to("es")
    assert str(one) == one.to("en")


def _names(key: str):
    from offgrid_sizing.words import placeholders

    return placeholders(catalogue("en")[key])


@pytest.fixture
def phrase(monkeypatch):
    """Gives a key its texts for the time of a test."""

    def put(key: str, **texts: str) -> None:
        for language in LANGUAGES:
            monkeypatch.setitem(catalogue(language), key, texts.get(language, texts["en"]))

    return put


def test_numbers_take_the_decimal_mark_of_the_language(phrase):
    phrase("t.x", en="{volts:.1f} V of {limit}", es="{volts:.1f} V de {limit}")
    one = said("t.x", volts=612.44, limit=600.5)
    assert one.to("en") == "612.4 V of 600.5"
    assert one.to("es") == "612,4 V de 600,5"


def test_a_saying_within_a_saying_is_worded_in_the_same_language(phrase):
    phrase("t.inner", en="grid", es="red")
    phrase("t.outer", en="from the {source}", es="de la {source}")
    assert said("t.outer", source=said("t.inner")).to("es") == "de la red"
    assert said("t.outer", source=(said("t.inner"), "x")).to("en") == "from the grid, x"


def test_a_noun_after_one_stands_in_the_singular(phrase):
    phrase("t.count", en="{n} units", es="{n} unidades")
    assert said("t.count", n=1).to("en") == "1 unit"
    assert said("t.count", n=2).to("es") == "2 unidades"


def test_a_missing_key_or_value_is_a_fault_of_the_program(phrase):
    with pytest.raises(KeyError):
        said("t.never_written").to("en")
    phrase("t.needs", en="{this}")
    with pytest.raises(KeyError):
        said("t.needs").to("en")


def test_what_a_language_lacks_is_said_in_english(monkeypatch):
    monkeypatch.setitem(catalogue("en"), "t.only", "only here")
    assert text_of("t.only", "es") == "only here"


def test_words_stay_words():
    assert to_words("as it is", "es") == "as it is"
    assert all_to_words(["a", "b"], "es") == ("a", "b")
