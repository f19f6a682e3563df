"""The guide: Markdown that travels with the package, cut into chapters for whoever shows it.

`tour.md` and `theory.md` are written by hand, `validation.md` by the tests of `tests/published`,
the pictures by `tests/browser/guide_pictures.py`. Equations are plain text with Unicode signs, so
that every reader has them: screen, HTML, terminal, screen reader.
"""

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parent
PICTURES = FOLDER / "pictures"
PARTS = ("tour", "theory", "validation")
_PICTURE = re.compile(r"^!\[([^\]]+)\]\(pictures/([\w-]+\.webp)\)$", re.MULTILINE)
_LINK = re.compile(r"(?<!!)\[([^\]]+)\]\(((?:\w+\.md)?(?:#[\w-]+)?)\)")


@dataclass(frozen=True)
class Picture:
    """A picture of the guide: its file, and what it shows in words."""

    path: Path
    words: str


@dataclass(frozen=True)
class Chapter:
    """A chapter: its title, and its blocks in order, Markdown or pictures."""

    title: str
    blocks: tuple[str | Picture, ...]


def text_of(part: str) -> str:
    """The Markdown of a part.

    >>> text_of("tour").splitlines()[0]
    '# A tour'
    """
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
    words = _LINK.sub(r"*\1*", body)
    parts = _PICTURE.split(words)  # text, then description, file and text of each picture
    blocks: list[str | Picture] = [parts[0].strip()]
    for said, name, text in zip(parts[1::3], parts[2::3], parts[3::3], strict=True):
        blocks += [Picture(PICTURES / name, said), text.strip()]
    return Chapter(title, tuple(block for block in blocks if block))
