"""Text somebody typed, made safe to stand in markdown, labels and chart titles."""

import html
import re

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


def plain(text: str) -> str:
    """Markdown that shows exactly this text: no emphasis, link, HTML, formula, icon or colour.

    >>> print(plain("<b>*x*</b>"), plain("12.5 kWh/m²"))
    \\<b\\>\\*x\\*\\<\\/b\\> 12.5 kWh/m²
    """
    one_line = _BREAKS.sub(" ", text).strip()
    if _HARMLESS.fullmatch(one_line):
        return one_line
    return _MARKS.sub(r"\\\1", _SEAMS.sub(rf"\g<0>{_JOINER}", one_line))


def chart_text(text: str) -> str:
    """The same for chart titles and hover labels, which read a little HTML."""
    return html.escape(_BREAKS.sub(" ", text).strip(), quote=False)
