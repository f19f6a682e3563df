"""Text somebody typed, made safe to stand in markdown, labels and chart titles."""

import html

from offgrid_sizing.printable import one_line
from offgrid_sizing.printable import plain_markdown as plain

__all__ = ["chart_text", "plain"]


def chart_text(text: str) -> str:
    """The same for chart titles and hover labels, which read a little HTML."""
    return html.escape(one_line(text), quote=False)
