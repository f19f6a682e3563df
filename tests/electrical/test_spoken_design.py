"""An electrical design put into Spanish leaves no English behind: faults, reasons, names, notes."""

import dataclasses
from collections.abc import Iterator, Mapping

import pytest
from english_kit import english
from systems_kit import SUPPLIES, systems, varied

from offgrid_sizing.commissioning import sheet_of
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.verdict import verdict_of
from offgrid_sizing.report.model import Notes, Section, Table
from offgrid_sizing.report.sections.electrical import refused_section, wires_section
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.system import drawn_system
from offgrid_sizing.words import Said, Sentence, to_words


def _broken(book, wiring, **drawn):
    """A home whose wires, strings, machines and bank break limits of all kinds."""
    return varied(
        drawn={"units_in_parallel": 1, "units_in_series": 3, "inverters": 2, **drawn},
        wiring={"rule_book": book, "ambient_c": 45, **wiring},
        roof_planes=[{"name": "techo", "modules_in_series": 1, "strings": 9}],
        **SUPPLIES["generator"],
    )


LEADS = {
    "string": {"length_m": 40, "size": "2.5 mm2", "method": "free_air"},
    "unit_lead": {"length_m": 5, "size": "6 mm2", "method": "free_air"},
    "bank_to_inverter": {"length_m": 5, "size": "2 x 10 mm2", "method": "free_air"},
    "earth": {"length_m": 5, "size": "4 mm2"},
}
CASES = {
    **{name: sketch for n, (name, sketch) in enumerate(systems().items()) if n % 5 == 0},
    "thin wires, IEC": _broken("iec60364", LEADS, arrangement="split_phase"),
    "thin wires, NFPA": _broken("nfpa70", LEADS, arrangement="split_phase"),
    "too many": varied(
        drawn={"units_in_parallel": 20, "inverters": 9, "arrangement": "three_phase"},
        wiring={"rule_book": "iec60364"},
        roof_planes=[
            {"name": f"techo {n}", "modules_in_series": 20, "strings": 30} for n in range(3)
        ],
        **SUPPLIES["both"],
    ),
}


def texts(value) -> Iterator[str | Said]:
    """Every text of a result, however deep it lies."""
    if isinstance(value, str | Said):
        yield value
    elif dataclasses.is_dataclass(value):
        for part in dataclasses.fields(value):
            # the counts and the sketch's own run are the user's; the bill is drawn elsewhere
            if part.name not in ("system", "run", "bill_of_materials"):
                yield from texts(getattr(value, part.name))
    elif isinstance(value, Mapping):
        yield from texts(tuple(value.values()))
    elif isinstance(value, tuple | list):
        for one in value:
            yield from texts(one)


@pytest.fixture(scope="module")
def designs():
    return {
        name: electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
        for name, sketch in CASES.items()
    }


@pytest.mark.parametrize("name", CASES)
def test_a_design_in_spanish_holds_no_english(name, designs):
    design, sketch = designs[name], CASES[name]
    own = {appliance.name for appliance in sketch.loads.appliances}
    left = [
        words
        for text in texts(design)
        if text not in own and english(words := to_words(text, "es"))
    ]
    assert left == []


@pytest.mark.parametrize("name", CASES)
def test_paper_and_sheet_in_spanish_hold_no_english(name, designs):
    design, sketch = designs[name], CASES[name]
    blocks = (*texts(wires_section(design, None, "es")), *texts(sheet_of(sketch, design).to("es")))
    assert [words for words in map(str, blocks) if english(words)] == []


def test_the_cases_break_what_they_should(designs):
    # a test of words that were never said would pass: these keys have to be among them
    said = {
        text.origin.key
        for design in designs.values()
        for text in texts(design.faults)
        if isinstance(text, Sentence) and isinstance(text.origin, Said)
    }
    assert {
        "arrangement.too_many", "arrangement.uneven", "bank.charged_too_high", "bank.too_many",
        "bank.wrong_voltage", "runs.broken.ampacity", "runs.broken.device", "runs.broken.drop",
        "runs.broken.terminal", "runs.earth_too_small", "runs.not_parallel", "strings.array",
        "strings.controller", "strings.hot", "strings.input", "strings.module", "strings.parallel",
        "strings.power", "strings.working",
    } <= said  # fmt: skip


@pytest.mark.parametrize(
    ("wiring", "series", "words"),
    [
        ({"bank_to_inverter": {"length_m": 900}}, 4, "superan 6 conductores en paralelo"),
        ({"earth": {"length_m": 5, "size": "thick"}}, 4, "no es una sección de conductor"),
        ({}, 40, "supera los dispositivos corrientes"),
    ],
)
def test_a_refusal_is_said_in_spanish(wiring, series, words):
    sketch = varied(
        wiring={"rule_book": "iec60364", **wiring},
        roof_planes=[{"name": "techo", "modules_in_series": series, "strings": 1}],
    )
    with pytest.raises(BadInput) as caught:
        electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
    section = refused_section(verdict_of("iec60364", None, caught.value.sentences), "es")
    (notes,) = section.blocks
    assert isinstance(notes, Notes)
    assert words in " ".join(notes.items)
    assert not any(map(english, (section.title, section.sentence, *notes.items)))


def test_a_conductor_table_in_both_languages(designs):
    design = designs["thin wires, IEC"]
    english, spanish = (wires_section(design, None, language) for language in ("en", "es"))
    assert isinstance(english, Section)
    tables = [
        [one for one in section.blocks if isinstance(one, Table)] for section in (english, spanish)
    ]
    for one, other in zip(*tables, strict=True):
        assert len(one.rows) == len(other.rows)
        numbers = [[c for c in row if isinstance(c, int | float)] for row in one.rows]
        assert numbers == [[c for c in row if isinstance(c, int | float)] for row in other.rows]
    assert tables[1][0].head[0] == "Tramo"
    assert tables[1][0].rows[0][0] == "Cadena"
