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
table { border-collapse: collapse; display: block; overflow-x: auto; font-size: 0.92rem; }
th, td { border: 1px solid #8886; padding: 0.25em 0.6em; text-align: left; vertical-align: top; }
pre { background: #8882; padding: 0.7em 1em; overflow-x: auto; line-height: 1.45; }
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
    marks = MarkdownIt("commonmark", {"html": False}).enable("table")
    tokens = marks.parse(text)
    for token, content in itertools.pairwise(tokens):
        if token.type == "heading_open":
            token.attrSet("id", slug(content.content))
    body = marks.renderer.render(tokens, marks.options, {})
    links = "".join(
        f'<a href="{_file_of(other)}">{escape(title_of(text_of(other)))}</a>' for other in PARTS
    )
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title_of(text))}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        f"<nav>{links}</nav>\n<main>\n{_linked(body)}</main>\n</body>\n</html>\n"
    )


def _linked(body: str) -> str:
    """Links to Markdown files as links to the pages made of them."""
    return re.sub(
        r'href="(\w+)\.md(#[\w-]+)?"',
        lambda found: f'href="{_file_of(found[1])}{found[2] or ""}"',
        body,
    )
