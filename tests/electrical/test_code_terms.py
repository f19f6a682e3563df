"""What a home is told is in the terms of its own wiring code: ground or earth, never both."""

import re

import pytest
from iec_kit import iec_home

from offgrid_sizing.commissioning import sheet_of, sheet_to_text
from offgrid_sizing.demos import demo
from offgrid_sizing.electrical.cautions import cautions
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.diagram import single_line_svg
from offgrid_sizing.electrical.labels import labels_of
from offgrid_sizing.system import drawn_system
from offgrid_sizing.wiring_code import CODE_TERMS, WIRING_CODES, words_of
from offgrid_sizing.words import catalogue, filled, said, sentence, to_words, together
from offgrid_sizing.words.spoken import spoken

# Words of one code that have no place where the other holds.
IEC_ONLY = {
    "en": r"\bearth(ed|ing)?\b|\bisolators?\b|protective conductor|\bboard\b",
    "es": r"seccionador(es)?\b|conductor(es)? de protección|\bcuadros?\b|borne principal de tierra",
}
NFPA_ONLY = {
    "en": r"\bground(ed|ing)?\b|disconnects\b|panelboard",
    "es": r"medios? de desconexión|puesta a tierra de equipos|\btableros?\b",
}
HOMES = {"nfpa70": lambda: demo("farmhouse"), "iec60364": iec_home}
FORBIDDEN = {"nfpa70": IEC_ONLY, "iec60364": NFPA_ONLY}


def _told(book: str, language: str) -> str:
    """Sheet, labels, drawing, inspection, bill and sources of a home, as one text."""
    sketch = HOMES[book]()
    system = drawn_system(sketch)
    design = electrical_design(sketch, system, record_low_c=-15)
    parts = [sheet_to_text(sheet_of(sketch, design), language)]
    parts.append(single_line_svg(sketch, system, design, language))
    for label in labels_of(sketch, design):
        parts += [to_words(one, language) for one in (label.title, label.place, *label.lines)]
    for row in design.inspection.rows:
        parts += [to_words(one, language) for one in (row.title, row.said)]
    for item in design.bill_of_materials:
        parts += [to_words(item.item, language), to_words(item.must_bear, language)]
    parts += [to_words(one.disconnect, language) for one in design.sources]
    return "\n".join(parts)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("book", sorted(HOMES))
def test_a_home_is_told_in_the_terms_of_its_code(book, language):
    text = _told(book, language)
    other = next(one for one in FORBIDDEN if one != book)
    assert re.search(FORBIDDEN[other][language], text)  # its own terms are there
    found = [text[max(0, m.start() - 40) : m.end() + 20].replace("\n", " ")
             for m in re.finditer(FORBIDDEN[book][language], text)]  # fmt: skip
    assert found == []


def test_the_caution_of_the_array_names_what_is_opened():
    array = {book: cautions(book)[2] for book in ("nfpa70", "iec60364")}
    assert "Opening a disconnect stops current" in array["nfpa70"].to("en")
    assert "Abrir un medio de desconexión corta" in array["nfpa70"].to("es")
    assert "Opening an isolator stops current" in array["iec60364"].to("en")
    assert "Abrir un interruptor-seccionador corta" in array["iec60364"].to("es")


def test_a_sentence_without_a_code_speaks_as_the_international_one():
    assert str(said("earthing.drawn.islanded", place="X")) == "N to earth, island: X"
    assert filled("earthing.drawn.islanded", "es", {"place": "X"}) == "N a tierra, en isla: X"
    with pytest.raises(KeyError):
        filled("earthing.drawn.islanded", "en", {})


def test_words_of_a_code_reach_sayings_within_sayings():
    inner = sentence("earthing.drawn_at.board")
    whole = together(said("earthing.drawn.grid", place=inner), "as drawn", by=" / ")
    told = spoken({"rows": (whole, 4)}, words_of("nfpa"))["rows"]
    assert told[0] == "N to ground, grid on: in the panelboard / as drawn"
    assert to_words(told[0], "es") == "N a tierra, con red: en el tablero / as drawn"
    assert told[1] == 4
    plain = ("no saying here", 2.5)
    assert spoken(plain, words_of("nfpa")) is plain


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_set_names_every_term(language):
    known = catalogue(language)
    for code in WIRING_CODES.values():
        assert [t for t in CODE_TERMS if f"code_words.{code.terms}.{t}" not in known] == []
    named = {key.split(".")[2] for key in known if key.startswith("code_words.")}
    assert named == set(CODE_TERMS)
