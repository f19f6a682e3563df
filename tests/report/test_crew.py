"""The crew's pack: what stands in it, in which language, on which paper, from one design."""

import io
from dataclasses import replace

import pypdf
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.report.crew import Built, crew_pdf, crew_summary, write_crew
from offgrid_sizing.report.model import Table, in_words
from offgrid_sizing.report.sections.crew import BLANK
from offgrid_sizing.sketch import BadInput

DAY = "2026-12-01"
ORDER = [
    "crew", "cautions", "drawings", "cables", "devices", "bill", "labels", "settings",
    "commissioning", "signed",
]  # fmt: skip


@pytest.fixture(scope="module", params=["farmhouse", "town_house", "shop"])
def outcome(request):
    return drawn_outcome(demo(request.param))


@pytest.fixture(scope="module")
def town_house():
    return drawn_outcome(demo("town_house"))


def section(built: Built, key: str, language: str = "en"):
    whole = in_words(crew_summary(built, language), language)
    return next(one for one in whole.sections if one.key == key)


def table(one, place: int = 0) -> Table:
    return [block for block in one.blocks if isinstance(block, Table)][place]


def test_its_parts_stand_in_the_order_of_the_work(outcome):
    assert [one.key for one in crew_summary(Built(outcome)).sections] == ORDER


@pytest.mark.parametrize(("paper", "size"), [("a4", (595, 842)), ("us-letter", (612, 792))])
@pytest.mark.parametrize("language", ["en", "es"])
def test_it_is_set_on_both_papers_in_both_languages(town_house, paper, size, language):
    read = pypdf.PdfReader(
        io.BytesIO(crew_pdf(Built(town_house, date=DAY), paper=paper, language=language))
    )
    first = read.pages[0]
    assert (round(first.mediabox.width), round(first.mediabox.height)) == size
    text = "\n".join(page.extract_text() for page in read.pages)
    words = {
        "en": ("Cable schedule", "What nobody does", "Signatures", "licensed electrician"),
        "es": ("Tabla de cables", "Qué no hace nadie", "Firmas", "electricista autorizado"),
    }
    for one in words[language]:
        assert one in " ".join(text.split())
    wide = [page for page in read.pages if page.mediabox.width > page.mediabox.height]
    assert len(wide) == 4  # single line, one roof plane, wall, connections


def test_the_first_page_says_what_is_built(town_house):
    found = table(section(Built(town_house), "crew"))
    assert [row[1:] for row in found.rows] == [
        (7, "-G1"), (3, "-G2.1…3"), (2, "-T1.1…2"),
    ]  # fmt: skip


def test_acid_is_spoken_of_only_where_the_bank_gives_off_gas(town_house):
    assert "Acid" not in str(section(Built(town_house), "crew"))
    equipment = town_house.sketch.equipment
    unit = equipment.battery.model_copy(update={"chemistry": "lead_acid_flooded"})
    wet = town_house.sketch.model_copy(
        update={"equipment": equipment.model_copy(update={"battery": unit})}
    )
    assert "Acid-proof gloves" in str(section(Built(drawn_outcome(wet)), "crew"))


def test_ends_are_those_of_the_bill(outcome):
    """Each lug, ferrule and connector of the bill, with room for the torque that was set."""
    found = table(section(Built(outcome), "cables"), 2)
    kinds = ("lug", "ferrule", "earth_end", "connector")
    bill = [
        (str(one.item), one.quantity)
        for one in outcome.design.bill_of_materials
        if one.group == "small" and one.item.origin.key.rpartition(".")[2] in kinds
    ]
    assert [row[:2] for row in found.rows] == bill
    assert {row[-1] for row in found.rows} == {BLANK}
    assert {name.partition(" for ")[0] for name, _ in bill} >= {"cable lug"}


def test_settings_have_room_for_the_machines_own_menu(town_house):
    found = table(section(Built(town_house), "settings"))
    assert all(row[2:] == (BLANK, BLANK, BLANK) for row in found.rows)
    values = {row[0]: row[1] for row in found.rows}
    assert values["float voltage"] == "as both manuals agree"
    assert values["bank protocol and cable"] == "as both manuals agree"
    assert len(values) == len(found.rows)


def test_settings_order_and_labels_stand_once(outcome):
    built = Built(outcome)
    tests = {block.title for block in section(built, "commissioning").blocks if block.title}
    assert not tests & {"Settings", "Order of work", "Labels in place"}
    assert "Dead tests: polarity" in tests


def test_a_fault_of_the_wiring_stands_first(town_house):
    broken = replace(town_house.design, faults=("The lead is too thin.",))
    first = section(Built(replace(town_house, design=broken)), "crew").blocks[0]
    assert first.title == "Not ready to be built: mend these first"
    assert first.items == ("The lead is too thin.",)


def test_what_cannot_be_wired_has_no_pack(town_house):
    with pytest.raises(BadInput) as fault:
        crew_summary(Built(replace(town_house, design=None, warnings=("No room.",))))
    assert fault.value.sentences == ("No room.",)


def test_it_is_written_where_it_is_asked_for(town_house, tmp_path):
    path = write_crew(Built(town_house, date=DAY), tmp_path / "new" / "crew.pdf")
    assert path.read_bytes().startswith(b"%PDF")
