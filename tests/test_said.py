"""What the engine says is a key with values; each language puts it into its own words."""

import pickle

import pytest

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.units import THIN, percent
from offgrid_sizing.words import (
    LANGUAGES,
    Figure,
    all_to_words,
    capital,
    catalogue,
    said,
    sentence,
    text_of,
    to_words,
    together,
)
from offgrid_sizing.words.cited import cited


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


def test_english_words_that_know_what_they_say_pass_through_files_and_jobs(phrase):
    phrase("t.lasts", en="lasts {days} days", es="dura {days} días")
    one = pickle.loads(pickle.dumps(sentence("t.lasts", days=3)))
    assert one == "lasts 3 days"
    assert to_words(one, "es") == "dura 3 días"


def test_sayings_in_a_row_keep_each_of_them(phrase):
    phrase("t.a", en="one.", es="uno.")
    phrase("t.b", en="two.", es="dos.")
    one = together(sentence("t.a"), "", said("t.b"), "Ana")
    assert one == "one. two. Ana"
    assert to_words(one, "es") == "uno. dos. Ana"


def test_a_capital_stands_in_each_language(phrase):
    phrase("t.a", en="sun", es="ámbito")
    assert capital(sentence("t.a")) == "Sun"
    assert to_words(capital(said("t.a")), "es") == "Ámbito"
    assert capital("plain") == "Plain"


def test_a_figure_takes_the_mark_and_prefix_that_suit_it(phrase):
    phrase("t.share", en="{share} unserved", es="{share} sin servir")
    one = said("t.share", share=Figure(percent, 0.0315))
    assert one.to("en") == f"3.15{THIN}% unserved"
    assert one.to("es") == f"3,15{THIN}% sin servir"


def test_bad_input_keeps_what_it_says_and_is_harmless_in_each_language(phrase):
    phrase("t.bad", en="{name} is wrong.", es="{name} está mal.")
    fault = BadInput(sentence("t.bad", name="a\x1b[31mb"), "plain\x07.")
    assert fault.sentences == ("a [31mb is wrong.", "plain .")
    assert all_to_words(fault.sentences, "es") == ("a [31mb está mal.", "plain .")


@pytest.mark.parametrize(
    ("text", "spanish"),
    [
        ("NFPA 70, 690.9(A) (from memory)", "NFPA 70, 690.9(A) (de memoria)"),
        ("IEC 60364-4-41, Table 41.1 and 411.3.2", "IEC 60364-4-41, Tabla 41.1 y 411.3.2"),
        ("10 × rating: common practice, no source",
         "10 × corriente asignada: práctica común, sin fuente"),
        ("IEC 60364-4-41, 411.3 to 411.6", "IEC 60364-4-41, 411.3 a 411.6"),
        ("IEC 60364-7-712 and IEC 62548", "IEC 60364-7-712 e IEC 62548"),  # spoken "i-e-ce"
        ("Sandland rules, 7", "Sandland rules, 7"),  # no part of a word is a phrase
    ],
)  # fmt: skip
def test_a_citation_keeps_its_numbers_and_words_its_phrases(text, spanish):
    found = cited(text)
    assert found == text
    assert to_words(found, "es") == spanish
    assert to_words(pickle.loads(pickle.dumps(found)), "es") == spanish
