"""The guide as static HTML: one page a part, readable from a disk, nothing fetched from elsewhere.

markdown-it-py (CommonMark with tables) makes the HTML; the style stands in the page itself.
"""

import itertools
import re
import shutil
from html import escape
from pathlib import Path

from markdown_it import MarkdownIt

from offgrid_sizing.guide import PARTS, PICTURES, slug, text_of, title_of

_STYLE = """
:root { color-scheme: light dark; }
body { font: 1rem/1.55 system-ui, sans-serif; max-width: 56rem; margin: 0 auto; padding: 1rem; }
nav a { margin-right: 1.2em; }
img { max-width: 100%; height: auto; border: 1px solid #8886; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; font-size: 0.92rem; }
th, td { border: 1px solid #8886; padding: 0.25em 0.6em; text-align: left; vertical-align: top; }
pre { background: #8882; padding: 0.7em 1em; white-space: pre-wrap; line-height: 1.45; }
"""


def build_guide(folder: Path) -> tuple[Path, ...]:
    """Write the guide into a folder; its pages, the first to open first.

    Raises
    ------
    OSError
        When the folder cannot be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    pages = []
    for part in PARTS:
        page = folder / _file_of(part)
        page.write_text(page_of(part), encoding="utf-8", newline="\n")
        pages.append(page)
    (folder / PICTURES.name).mkdir(exist_ok=True)
    for picture in sorted(PICTURES.glob("*.webp")):
        shutil.copyfile(picture, folder / PICTURES.name / picture.name)
    return tuple(pages)


def _file_of(part: str) -> str:
    return "index.html" if part == PARTS[0] else f"{part}.html"


def page_of(part: str) -> str:
    """The HTML of one part."""
    text = text_of(part)
    marks = _marks()
    tokens = marks.parse(text)
    for token, content in itertools.pairwise(tokens):
        if token.type == "heading_open":
            token.attrSet("id", slug(content.content))
    body = in_regions(marks.renderer.render(tokens, marks.options, {}), title_of(text))
    links = "".join(
        f'<a href="{_file_of(other)}">{escape(title_of(text_of(other)))}</a>' for other in PARTS
    )
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title_of(text))}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        f"<nav>{links}</nav>\n<main>\n{_linked(body)}</main>\n</body>\n</html>\n"
    )


def _marks() -> MarkdownIt:
    return MarkdownIt("commonmark", {"html": False}).enable("table")


def table_html(markdown: str, name: str) -> str:
    """A Markdown table as HTML that scrolls by itself, also by keyboard, under a name."""
    return in_regions(_marks().render(markdown), name)


def in_regions(body: str, name: str) -> str:
    """Each table of an HTML text in a region of its own that can be scrolled by keyboard."""
    start = f'<div class="wide" role="region" tabindex="0" aria-label="{escape(name)}">\n<table>'
    return body.replace("<table>", start).replace("</table>", "</table>\n</div>")


def _linked(body: str) -> str:
    """Links to Markdown files as links to the pages made of them."""
    return re.sub(
        r'href="(\w+)\.md(#[\w-]+)?"',
        lambda found: f'href="{_file_of(found[1])}{found[2] or ""}"',
        body,
    )
