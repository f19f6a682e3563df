"""Text that any medium can hold: what steers a terminal, a page or a table is left out or marked.

A name is only a name, whoever typed it. Each medium has one way to say so: `printable` alone for
plain text, `plain_markdown` for Markdown; `report/csv_text.py` for tables, `report/svg.py` for
drawings, `report/pdf.py` for paper, `report/workbook.py` and `ui/plain.py` for theirs.
"""

import re
import unicodedata

_MARKS = re.compile(r"([!-/:-@\[-`{-~])")
_BREAKS = re.compile(r"[ \t\r\n\f\v\x85\u2028\u2029]+")  # thin spaces stay
# Colours, icons and bare addresses are looked for after escapes are resolved, so they are parted.
_SEAMS = re.compile(r":(?=[\w/])|@(?=\w)|\bwww(?=\.)", re.IGNORECASE)
_JOINER = "\u2060"  # invisible, of no width


# Letters, figures, units and the marks of a sentence mean nothing to markdown, unless they open a
# list or make an address.
_HARMLESS = re.compile(
    r"(?!\s*(?:[-+]|\d+[.)])\s)(?:(?!(?i:www\.))[^\W_]|[\s.,;%°²³·/Ω€£−–'“”?-])*"
)


def printable(text: str) -> str:
    """Text without control characters, each made a space; spaces of any width stay.

    Escape sequences, line ends, marks that turn the direction of writing and halves of letters
    mean something to terminals, tables, XML or paper. Nobody types them into a name.
    """
    words = str(text)
    if words.isprintable():
        return words
    return "".join(c if c.isprintable() or _sets_words(c) else " " for c in words)


def _sets_words(character: str) -> bool:
    return character in "\u200c\u200d" or unicodedata.category(character) == "Zs"


def one_line(text: str) -> str:
    """Printable text with its white space made single spaces."""
    return _BREAKS.sub(" ", printable(text)).strip()


def plain_markdown(text: str) -> str:
    """Markdown that shows exactly this text: no emphasis, link, HTML, formula, icon or colour.

    >>> print(plain_markdown("<b>*x*</b>"), plain_markdown("12.5 kWh/m²"))
    \\<b\\>\\*x\\*\\<\\/b\\> 12.5 kWh/m²
    """
    words = one_line(text)
    if _HARMLESS.fullmatch(words):
        return words
    return _MARKS.sub(r"\\\1", _SEAMS.sub(rf"\g<0>{_JOINER}", words))
