"""One colour per thing, on screen, on paper and in the wiring diagram.

Okabe and Ito, "Color Universal Design", 2008: the set made for colour-vision deficiency. Each
thing also differs by dash or hatch.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Look:
    """How one thing is drawn: colour in light and dark, line dash, fill hatch."""

    light: str
    dark: str
    dash: str = "solid"
    hatch: str = ""

    def colour(self, dark: bool) -> str:
        """The colour on this background."""
        return self.dark if dark else self.light


LOOKS = {
    "pv": Look("#E69F00", "#E69F00"),
    "bank": Look("#0072B2", "#4BA3DB", "solid", "/"),
    "grid": Look("#CC79A7", "#CC79A7", "dash", "\\"),
    "generator": Look("#8A6D1B", "#C9A63C", "dashdot", "x"),
    "load": Look("#222222", "#EEEEEE"),
    "curtailed": Look("#F0E442", "#F0E442", "dot", "/"),
    "unserved": Look("#D55E00", "#E8762B", "solid", "x"),
    "good": Look("#009E73", "#2FBF95"),
}
INK = LOOKS["load"]  # text and axes as well
PAPER = Look("#FFFFFF", "#16181D")  # what stands for nothing
COLD = "#56B4E9"
FAINT, GREY = "#D9D9D9", "#6B6B6B"
CUT = "#E4E4E4"  # hours without grid
DANGER = "#B84A00"
CHANGED = "#FFF2CC"  # a cell one may write in
# The array and the grid as thin lines and letters on white: darker, or they would be hard to read.
ARRAY_LINE, GRID_LINE = "#B87900", "#A8578A"

# Insulation of conductors, as lines on white: what is white there is drawn light grey.
CONDUCTORS = {
    "black": LOOKS["load"].light,
    "blue": LOOKS["bank"].light,
    "brown": "#8A4B14",
    "green": LOOKS["good"].light,
    "green_yellow": LOOKS["good"].light,
    "grey": "#7F7F7F",
    "orange": "#E07B00",
    "red": "#C4161C",
    "white": "#B8B8B8",
}

# Slate for appliances, neighbours far apart in lightness: no colour here means a thing.
APPLIANCES = ("#2F4858", "#A9BFCB", "#587A8E", "#D3DEE4", "#45647A", "#86A3B3", "#E4EAED")
OTHERS = "#9A9A9A"

# Steps of a picture on paper: a bank from empty to full, energy of an array from least to most,
# load unserved from nearly none to most.
CHARGE_STEPS = (
    "#FBE3D0",
    "#C9DDEE",
    "#9CC3E2",
    "#6AA6D2",
    "#3687BF",
    LOOKS["bank"].light,
    "#00588A",
    "#003E61",
)
SUN_STEPS = (
    "#FFFDF6",
    "#FDF3D8",
    "#FBE7B6",
    "#F8D98F",
    "#F4C966",
    "#EFB73C",
    LOOKS["pv"].light,
    "#B87900",
)
UNSERVED_STEPS = ("#E8F4FA", "#FFF3D6", "#FFE0A3", "#F9C27A", "#F09A5B", "#E0703A", DANGER)


def charge_scale(dark: bool) -> tuple[str, str, str]:
    """Empty, half and full: what is empty stands out on either background."""
    return ("#E4F3FF", "#4BA3DB", "#0B2A40") if dark else ("#00263F", "#3E8DC0", "#E3F0F9")


def sun_scale(dark: bool) -> tuple[str, str, str]:
    """Least, middling and most energy of the array."""
    return ("#20242C", "#7A5A12", "#E69F00") if dark else ("#FFFDF6", "#F8D98F", "#D08C00")


def load_scale(dark: bool) -> tuple[str, str, str]:
    """No load, half of the largest, the largest."""
    low, high = ("#23272E", "#F4F4F4") if dark else ("#F2F2F2", "#16202A")
    return low, "#7A93A3", high


def price_scale(dark: bool) -> tuple[str, str]:
    """The lowest and the highest price of the grid."""
    return ("#2A2230", "#E9B8D2") if dark else ("#F7E9F1", "#9C3F72")


def unserved_scale(dark: bool) -> tuple[str, str, str]:
    """Load unserved: none, some, all."""
    unserved = LOOKS["unserved"].colour(dark)
    return ("#20242C", "#7A4A2B", unserved) if dark else ("#FFFFFF", "#F6CFB4", unserved)
