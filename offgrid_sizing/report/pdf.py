"""The summary as a PDF: set by Typst, every word of the user's handed over as data."""

import datetime
import json
from functools import cache
from pathlib import Path
from typing import Literal

from offgrid_sizing.paths import data_dir
from offgrid_sizing.printable import printable
from offgrid_sizing.report.charts_svg import Figure
from offgrid_sizing.report.model import Block, Cell, Notes, Section, Summary, Table, in_words
from offgrid_sizing.report.spoken import yes_no
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.units import digits
from offgrid_sizing.words import DEFAULT, filled, reader_of, sentence, text_of, to_words

PAPERS = {"a4": "a4", "us-letter": "us-letter", "letter": "us-letter"}
LONGEST_WORD = 28
MOST_WORDY = 10  # of more columns one of words is left a sliver: they share the page evenly


def breakable(text: str) -> str:
    """Text that paper can set: no control characters, and places to break in endless words."""
    words = []
    for word in printable(text).split(" "):
        pieces = [word[i : i + LONGEST_WORD] for i in range(0, len(word), LONGEST_WORD)]
        words.append("\u200b".join(pieces))
    return " ".join(words).replace("\u2009", "\u202f")  # a figure stays with its unit


def cell_text(cell: Cell, language: str = DEFAULT) -> str:
    """A cell as paper shows it: three significant digits, whole numbers in full."""
    if cell is None:
        return "–"
    if isinstance(cell, bool):
        return to_words(yes_no(cell), language)
    if isinstance(cell, int | float):
        return digits(float(cell), reader_of(language))
    return breakable(cell)


def _table(table: Table, language: str) -> dict:
    columns = []
    for index in range(len(table.head)):
        cells = [row[index] for row in table.rows if row[index] is not None]
        numeric = bool(cells) and all(
            isinstance(cell, int | float) and not isinstance(cell, bool) for cell in cells
        )
        longest = max((len(str(cell)) for cell in cells), default=0)
        wordy = longest > 44 and len(table.head) <= MOST_WORDY
        columns.append("number" if numeric else "words" if wordy else "short")
    return {
        "kind": "table",
        "title": breakable(table.title),
        "head": [breakable(head) for head in table.head],
        "rows": [[cell_text(cell, language) for cell in row] for row in table.rows],
        "note": breakable(table.note),
        "lead": breakable(table.lead),
        "columns": list(table.widths) or columns,
        "numbers": [kind == "number" for kind in columns],
    }


def figure_data(figure: Figure) -> dict:
    """A chart as a template takes it."""
    return {
        "kind": "figure",
        "title": breakable(figure.title),
        "alt": printable(figure.alt),
        "svg": figure.svg,
        "wide": figure.key == "diagram" or figure.key.startswith("drawing_"),
    }


def _block(block: Block, language: str) -> dict:
    if isinstance(block, Table):
        return _table(block, language)
    if isinstance(block, Notes):
        items = [breakable(item) for item in block.items]
        return {"kind": "notes", "title": breakable(block.title), "items": items}
    return figure_data(block)


def section_data(section: Section, language: str) -> dict:
    """A section in words as a template takes it."""
    return {
        "title": breakable(section.title),
        "own_page": section.key == "commissioning",
        "sentence": breakable(section.sentence),
        "blocks": [_block(block, language) for block in section.blocks],
    }


def pairs_data(pairs) -> list[list[str]]:
    """Labels and values as a template takes them."""
    return [[breakable(label), breakable(value)] for label, value in pairs]


def as_data(summary: Summary, paper: str, language: str = DEFAULT) -> dict:
    """The summary in a language as the template takes it: strings, lists and nothing else."""
    summary = in_words(summary, language)
    invented = text_of("paper.invented", language) if summary.sketch.invented else ""
    where = "paper.caution" if summary.front else "paper.caution_below"
    values = {"id": printable(summary.sketch_id), "date": summary.date, "version": summary.version}
    return {
        "paper": paper,
        "title": breakable(summary.title),
        "place": breakable(summary.place),
        "invented_note": invented,
        "alert": breakable(to_words(summary.wiring.alert if summary.wiring else "", language)),
        "sentence": breakable(summary.sentence),
        "facts": pairs_data(summary.facts),
        "year": breakable(summary.year),
        "front": [figure_data(figure) for figure in summary.front],
        "price": pairs_data(summary.price),
        "caution": breakable(f"{summary.cautions[0]} {text_of(where, language)}"),
        "sections": [section_data(section, language) for section in summary.sections],
        "sketch_id": printable(summary.sketch_id),
        "footer": filled("paper.footer", language, values),
        "page_word": text_of("paper.page", language),
        "lang": language,
    }


@cache
def fonts():
    """The typefaces paper is set in."""
    import typst

    return typst.Fonts(include_system_fonts=True, font_paths=[str(data_dir() / "fonts")])


def typeset(template: str | tuple[str, ...], data: dict[str, str], date: str) -> bytes:
    """A PDF of a template of this folder: tagged, searchable, fonts embedded, charts as vectors.

    Parameters
    ----------
    template : str, or tuple of str
        Name of the file, or of several that are read as one.
    data : dict of str to str
        What it reads, as JSON.
    date : str
        ISO date kept in the file.

    Notes
    -----
    PDF/UA-1 is written where it can be. Where a name uses a script that no font here holds, its
    rules forbid the empty boxes such letters become; then an ordinary tagged PDF is written.
    """
    import typst

    names = (template,) if isinstance(template, str) else template
    source = b"\n".join((Path(__file__).parent / name).read_bytes() for name in names)
    stamp = datetime.datetime.fromisoformat(date).replace(tzinfo=datetime.UTC)

    def compiled(*standards: Literal["ua-1"]) -> bytes:
        return typst.compile(
            source,
            format="pdf",
            font_paths=fonts(),
            sys_inputs=data,
            pdf_standards=[*standards],
            timestamp=stamp,
        )

    try:
        return compiled("ua-1")
    except typst.TypstError:
        return compiled()


def pdf_bytes(summary: Summary, *, paper: str = "a4", language: str = DEFAULT) -> bytes:
    """The summary as PDF; see `typeset`.

    Raises
    ------
    BadInput
        When the paper is not known.
    """
    if paper not in PAPERS:
        raise BadInput(sentence("paper.unknown_paper", paper=paper))
    data = {"summary": json.dumps(as_data(summary, PAPERS[paper], language), ensure_ascii=False)}
    return typeset("template.typ", data, summary.date)


def write_pdf(
    summary: Summary, path: str | Path, *, paper: str = "a4", language: str = DEFAULT
) -> Path:
    """Write the PDF and return its path. `paper` is "a4" or "us-letter"."""
    path = Path(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(pdf_bytes(summary, paper=paper, language=language))
    return path
