"""The summary on paper: what a reader finds, and text that can do no harm."""

import io
import json
from dataclasses import replace

import pypdf
import pytest
import typst

from offgrid_sizing.demos import demo
from offgrid_sizing.report.pdf import as_data, breakable, fonts, pdf_bytes, write_pdf
from offgrid_sizing.report.summary import summary_of
from offgrid_sizing.simulation import simulate
from offgrid_sizing.sketch import BadInput, Sketch

MOST_BYTES = 2_000_000


def read(content: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(content))


def words(reader: pypdf.PdfReader) -> str:
    """All text, white space made one space."""
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def test_each_demo_says_everything_it_should(demo_summary):
    content = pdf_bytes(demo_summary)
    assert len(content) < MOST_BYTES
    reader = read(content)
    text = words(reader)
    for section in demo_summary.sections:
        assert section.title in text
    first = " ".join(reader.pages[0].extract_text().split())
    assert demo_summary.title in first
    assert "First cost" in first
    assert "licensed electrician decide" in first
    assert "An invented example" in first
    for page, sheet in enumerate(reader.pages, start=1):
        footer = sheet.extract_text()
        assert f"page {page} / {len(reader.pages)}" in footer
        assert "licensed electrician decide what is built" in footer
        assert demo_summary.sketch_id in footer
    assert "2026-01-15" in text
    titles = ("Single-line diagram", "Commissioning sheet", "Bill of materials", "Assumptions")
    assert all(title in text for title in titles)


def test_a_search_adds_frontier_and_map(sized_summary):
    text = words(read(pdf_bytes(sized_summary)))
    assert "Cheapest system found for each bank" in text
    assert "pairs of bank and array shown meet the target" in text
    assert "The two methods side by side" in text


def test_fonts_are_embedded_and_letters_can_be_copied(demo_summary):
    reader = read(pdf_bytes(demo_summary))
    fonts = {}
    for page in reader.pages:
        for font in (page["/Resources"].get("/Font") or {}).values():
            fonts[font.get_object()["/BaseFont"]] = font.get_object()
    assert fonts
    for name, font in fonts.items():
        inner = font["/DescendantFonts"][0].get_object()["/FontDescriptor"]
        assert {"/FontFile2", "/FontFile3"} & set(inner), name
        assert "/ToUnicode" in font, name
        assert "SourceSans" in name, name


def test_it_is_tagged_with_language_title_and_pictures_in_words(demo_summary):
    reader = read(pdf_bytes(demo_summary))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"].value is True
    assert root["/Lang"] == "en"
    assert reader.metadata.title == demo_summary.title
    assert b"pdfuaid" in root["/Metadata"].get_data()  # PDF/UA-1
    alts = json.dumps(_alts(root["/StructTreeRoot"]))
    assert "Stacked columns by month" in alts
    assert len(reader.outline[1]) > 5  # sections, below the title


def _alts(node, found=None) -> list[str]:
    found = [] if found is None else found
    node = node.get_object()
    if isinstance(node, list):
        for kid in node:
            _alts(kid, found)
    elif isinstance(node, dict):
        if "/Alt" in node:
            found.append(str(node["/Alt"]))
        if "/K" in node:
            _alts(node["/K"], found)
    return found


@pytest.mark.parametrize(("paper", "size"), [("a4", (595, 842)), ("us-letter", (612, 792))])
def test_both_papers_and_one_page_for_the_homeowner(demo_summary, paper, size):
    reader = read(pdf_bytes(demo_summary, paper=paper))
    box = reader.pages[0].mediabox
    assert (round(box.width), round(box.height)) == size
    assert "First cost" in reader.pages[0].extract_text()
    assert demo_summary.sections[0].title in reader.pages[1].extract_text()


def test_charts_are_vectors(demo_summary):
    reader = read(pdf_bytes(demo_summary))
    assert sum(len(page.images) for page in reader.pages) == 0
    assert all(figure.svg.startswith("<svg") for figure in demo_summary.front)


def test_an_unknown_paper_is_refused(farmhouse_summary, tmp_path):
    with pytest.raises(BadInput, match="there is no paper size 'a0' here"):
        write_pdf(farmhouse_summary, tmp_path / "x.pdf", paper="a0")
    assert not (tmp_path / "x.pdf").exists()


HOSTILE = (
    '#panic("no") *bold* $x^2$ @ref <label> \\ _under_ `raw` = heading',
    '"]; #import "@preview/x:1.0.0"; #read("/etc/passwd")',
    "</text></svg><script>alert(1)</script>&amp;<![CDATA[",
    "W" * 120,
    "Ünïcödé Ωμέγα Киев 北京 القاهرة नई दिल्ली 🏠",
    "tabs\tand\nlines\x00\x07\x1b",
)


@pytest.mark.parametrize("text", HOSTILE)
def test_whatever_people_write_stays_words(text, summarise):
    raw = demo("farmhouse").model_dump(mode="json")
    raw["title"] = raw["site"]["name"] = text[:120]
    raw["site"]["country"] = text[:80]
    raw["prices"]["currency"] = text[:8]
    raw["roof_planes"][0]["name"] = text[:120]
    for appliance in raw["loads"]["appliances"]:
        appliance["name"] = text[:120]
    summary = summarise(Sketch.model_validate(raw))
    reader = read(pdf_bytes(summary))
    assert len(reader.pages) > 5
    first = reader.pages[0].extract_text()
    kept = breakable(text[:120]).replace("\u200b", "")
    for piece in kept.split()[:3]:
        if piece.isascii():
            assert piece[:20] in first.replace("\n", "").replace("\u200b", "")
    assert "First cost" in first, "the homeowner's page ran over"


def test_endless_words_can_break():
    assert breakable("a" * 60).count("\u200b") == 2
    assert breakable("short words stay") == "short words stay"
    assert breakable("12\u2009kWh") == "12\u202fkWh"


def test_a_year_alone_is_enough_for_a_summary():
    simulation = simulate(demo("farmhouse"))
    summary = summary_of(simulation, date="2026-01-15")
    text = words(read(pdf_bytes(summary)))
    assert "in the year computed" in text
    assert "First cost" not in text
    assert summary.sketch_id in text


@pytest.mark.parametrize("without", ["bank", "array"])
def test_systems_that_lack_a_part_still_print(without, summarise):
    raw = demo("town_house").model_dump(mode="json")
    raw["weather"]["years"] = 2
    if without == "bank":
        raw["drawn"]["units_in_parallel"] = 0
    if without == "array":
        for plane in raw["roof_planes"]:
            plane["strings"] = 0
    summary = summarise(Sketch.model_validate(raw))
    reader = read(pdf_bytes(summary))
    assert summary.title in words(reader)
    assert "nan" not in words(reader).lower().split()


def test_the_template_reads_nothing_but_what_it_is_handed(farmhouse_summary):
    data = as_data(farmhouse_summary, "a4")
    assert set(data) >= {"title", "sections", "front", "caution"}
    with pytest.raises(typst.TypstError):
        typst.compile(b'#read("/etc/hostname")', font_paths=fonts())


def test_the_same_summary_gives_the_same_file(farmhouse_summary):
    assert pdf_bytes(farmhouse_summary) == pdf_bytes(replace(farmhouse_summary))
