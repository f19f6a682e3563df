"""The guide as HTML: whole, linked within itself, and nothing fetched from elsewhere."""

import re
from html.parser import HTMLParser

import pytest
from click.testing import CliRunner

from offgrid_sizing.cli import main
from offgrid_sizing.guide.build import build_guide, page_of


class Seen(HTMLParser):
    """What a page refers to, its anchors, and its elements left open."""

    VOID = ("meta", "img", "br", "hr")

    def __init__(self, text: str):
        super().__init__()
        self.refers, self.anchors, self.alts, self.open = [], [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        self.refers += [found[name] for name in ("href", "src") if name in found]
        self.anchors += [found["id"]] if "id" in found else []
        self.alts += [found.get("alt")] if tag == "img" else []
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert tag in self.VOID or self.open.pop() == tag


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """The folder of the built guide."""
    folder = tmp_path_factory.mktemp("guide") / "deep" / "down"
    pages = build_guide(folder)
    assert [page.name for page in pages] == [
        "index.html", "theory.html", "vocabulary.html", "validation.html",
    ]  # fmt: skip
    return folder


def test_every_reference_stays_in_the_folder_and_is_there(built):
    pages = {page.name: Seen(page.read_text("utf-8")) for page in built.glob("*.html")}
    assert len(pages) == 4
    for name, page in pages.items():
        assert len(page.refers) > 3
        assert page.open == []
        for target in page.refers:
            assert ":" not in target
            assert not target.startswith(("/", ".."))
            file, _, anchor = target.partition("#")
            assert (built / (file or name)).is_file(), target
            assert not anchor or anchor in pages[file or name].anchors, target


def test_nothing_comes_from_elsewhere(built):
    for page in built.glob("*.html"):
        text = page.read_text("utf-8")
        assert "://" not in text
        assert not re.search(r"<(script|link|iframe|object)|@import|url\(", text)


def test_pictures_are_described_and_tables_and_equations_are_drawn(built):
    index = Seen((built / "index.html").read_text("utf-8"))
    assert len(index.alts) == 7
    assert all(index.alts)
    theory = (built / "theory.html").read_text("utf-8")
    assert theory.count("<table>") == 4
    assert "<pre><code>Tm = Ta + G·exp(a + b·v)" in theory
    assert '<h2 id="cell-temperature-and-module-power">' in theory


def test_what_looks_like_markup_is_shown_as_text(monkeypatch):
    monkeypatch.setattr("offgrid_sizing.guide.build.text_of", lambda part: "# A <b>\n\n<i>x</i>\n")
    page = page_of("tour")
    assert "<i>" not in page
    assert "<title>A &lt;b&gt;</title>" in page


def test_the_command_writes_it(tmp_path):
    result = CliRunner().invoke(main, ["guide", "-o", str(tmp_path / "out")])
    assert result.exit_code == 0
    assert result.stdout == ""
    assert result.stderr.count("wrote ") == 4
    assert (tmp_path / "out" / "pictures" / "start.webp").is_file()


def test_a_folder_that_cannot_be_made_is_one_sentence(tmp_path):
    (tmp_path / "file").write_text("x")
    result = CliRunner().invoke(main, ["guide", "-o", str(tmp_path / "file")])
    assert result.exit_code == 2
    assert "cannot read or write" in result.stderr
    assert "Traceback" not in result.stderr
