"""Text somebody typed, made safe to stand in markdown, labels and chart titles.

What the engine says (`words.Sentence`, `words.said`) is put into this session's language first.
"""

import html

from offgrid_sizing.printable import one_line, plain_markdown
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.words import Saying

__all__ = ["chart_text", "chart_words", "plain"]

# Charts put values in where they read %{; an invisible joiner parts the two.
_OPENS_VALUE, _PARTED = "%{", "%\u2060{"


def plain(text: Saying | str) -> str:
    """Markdown that shows exactly this text, in this session's language."""
    return plain_markdown(here(text))


def chart_text(text: Saying | str) -> str:
    """The same for chart titles and hover labels, which read a little HTML and put values in."""
    return html.escape(one_line(here(text)), quote=False).replace(_OPENS_VALUE, _PARTED)


def chart_words(text: str) -> str:
    """What a reader sees of a chart's text."""
    return html.unescape(text.replace(_PARTED, _OPENS_VALUE))
