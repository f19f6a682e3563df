"""Light or dark, the browser tab's picture, and the few lines of style that pages need."""

import streamlit as st

from offgrid_sizing.palette import LOOKS


def is_dark() -> bool:
    """Whether this reader's browser shows the dark theme."""
    return st.context.theme.type == "dark"


def icon():
    """The browser tab's picture, drawn here: a named symbol would be fetched from outside."""
    from PIL import Image, ImageDraw

    picture = Image.new("RGBA", (64, 64))
    pen = ImageDraw.Draw(picture)
    pen.ellipse((18, 2, 46, 30), fill=LOOKS["pv"].light)
    pen.rounded_rectangle((6, 36, 58, 62), 5, fill=LOOKS["bank"].light)
    pen.rectangle((14, 43, 30, 55), fill="white")
    return picture


_STYLE = """
<style>
:root { font-variant-numeric: tabular-nums; }
[data-testid="stCaptionContainer"] { opacity: 0.85; }
[data-testid="stCaptionContainer"] p { color: inherit; }
/* Parts that show nothing: their gap would come and go with them and move the page. */
[data-testid="stLayoutWrapper"]:has(> [class*="st-key-watch_"]) { display: none; }
[class*="st-key-stale"] { opacity: 0.45; filter: grayscale(0.8); }
[class*="st-key-stale"]:focus-within { opacity: 0.8; }
@media (max-width: 640px) {
  .stMainBlockContainer { padding: 3.5rem 0.8rem 2rem; }
  .modebar-container { display: none; }  /* it would cover the chart's words */
}
/* In a narrow column the buttons hid digits: 10000 read as 1000. Keys still empty and step it. */
[data-testid="stNumberInputContainer"] { container-type: inline-size; }
@container (max-width: 190px) { [data-testid="stNumberInputClearButton"] { display: none; } }
@container (max-width: 125px) {
  [data-testid="stNumberInputStepDown"], [data-testid="stNumberInputStepUp"] { display: none; }
}
@media (prefers-reduced-motion: reduce) { * { transition: none !important; } }
</style>
"""

# The accent is light on dark ground: white words on it would be too faint.
_DARK = """
<style>
[data-testid="stBaseButton-primary"]:not(:disabled),
[data-testid="stBaseButton-primary"]:not(:disabled) p { color: #111111; }
</style>
"""


def apply() -> None:
    """Put the few own style rules on the page; they hold no text of any user."""
    st.html(_STYLE)
    if is_dark():
        st.html(_DARK)
