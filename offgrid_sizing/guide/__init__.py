"""The guide: Markdown that travels with the package, cut into chapters for whoever shows it.

`tour.md` and `theory.md` are written by hand, `validation.md` by the tests of `tests/published`,
the vocabulary is made from `words/vocabulary.toml`,
the pictures by `tests/browser/guide_pictures.py`. Equations are plain text with Unicode signs, so
that every reader has them: screen, HTML, terminal, screen reader.
"""

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from offgrid_sizing.words import vocabulary

FOLDER = Path(__file__).parent
PICTURES = FOLDER / "pictures"
PARTS = ("tour", "theory", "vocabulary", "validation")
_APART = re.compile(
    r"^!\[(?P<words>[^\]]+)\]\(pictures/(?P<file>[\w-]+\.webp)\)$"
    r"|^```\n(?P<equations>.*?)\n```$"
    r"|(?P<table>(?:^\|[^\n]*\n?)+)",
    re.MULTILINE | re.DOTALL,
)
_LINK = re.compile(r"(?<!!)\[([^\]]+)\]\(((?:\w+\.md)?(?:#[\w-]+)?)\)")


@dataclass(frozen=True)
class Picture:
    """A picture of the guide: its file, and what it shows in words."""

    path: Path
    words: str


@dataclass(frozen=True)
class Equations:
    """Lines of plain text that keep their spaces."""

    lines: str


@dataclass(frozen=True)
class Table:
    """A table, as Markdown."""

    markdown: str


@dataclass(frozen=True)
class Chapter:
    """A chapter: its title, and its blocks in order; a string is Markdown."""

    title: str
    blocks: tuple[str | Picture | Equations | Table, ...]


def text_of(part: str) -> str:
    """The Markdown of a part.

    >>> text_of("tour").splitlines()[0]
    '# A tour'
    """
    if part == "vocabulary":
        return vocabulary.as_markdown()
    return (FOLDER / f"{part}.md").read_text(encoding="utf-8")


def title_of(text: str) -> str:
    """What stands in a part's first heading."""
    return text.split("\n", 1)[0].removeprefix("# ")


def slug(title: str) -> str:
    """The address of a heading within its page.

    >>> slug("Light on the plane, and what enters")
    'light-on-the-plane-and-what-enters'
    """
    return re.sub(r"\W+", "-", title.lower()).strip("-")


def links_of(text: str) -> tuple[str, ...]:
    """Where a part's own links lead: `other.md`, `#heading`, or both in one."""
    return tuple(target for _, target in _LINK.findall(text))


@cache
def chapters_of(part: str) -> tuple[Chapter, ...]:
    """The chapters of a part, as its `##` headings cut it; links inside the guide become words."""
    _, *pieces = re.split(r"^## ", text_of(part), flags=re.MULTILINE)
    return tuple(_chapter(*piece.split("\n", 1)) for piece in pieces)


def _chapter(title: str, body: str) -> Chapter:
    text = _LINK.sub(r"*\1*", body)
    blocks: list[str | Picture | Equations | Table] = []
    at = 0
    for found in _APART.finditer(text):
        blocks += [text[at : found.start()].strip(), _block(found)]
        at = found.end()
    blocks.append(text[at:].strip())
    return Chapter(title, tuple(block for block in blocks if block))


def _block(found: re.Match[str]) -> Picture | Equations | Table:
    if found["file"]:
        return Picture(PICTURES / found["file"], found["words"])
    if found["equations"]:
        return Equations(found["equations"])
    return Table(found["table"].strip())
