"""Text somebody typed, made safe to stand in markdown, labels and chart titles."""

import html

from offgrid_sizing.printable import one_line
from offgrid_sizing.printable import plain_markdown as plain

__all__ = ["chart_text", "chart_words", "plain"]

# Charts put values in where they read %{; an invisible joiner parts the two.
_OPENS_VALUE, _PARTED = "%{", "%\u2060{"


def chart_text(text: str) -> str:
    """The same for chart titles and hover labels, which read a little HTML and put values in."""
    return html.escape(one_line(text), quote=False).replace(_OPENS_VALUE, _PARTED)


def chart_words(text: str) -> str:
    """What a reader sees of a chart's text."""
    return html.unescape(text.replace(_PARTED, _OPENS_VALUE))
