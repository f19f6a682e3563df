"""What the charts of this folder share: words, colours, titles that wrap, labels at the line."""

from textwrap import wrap

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing.ui.plain import chart_text
from offgrid_sizing.ui.theme import LOOKS
from offgrid_sizing.ui.words import DEFAULT, catalogue, language

TITLE_COLUMNS = 46  # characters of a title line that fit 390 px


def told(key: str, **values) -> str:
    """The words for a key with its values put in, safe in a chart's text."""
    words = catalogue(language()).get(key)
    if words is None:
        words = catalogue(DEFAULT)[key]
    safe = {
        name: chart_text(value) if isinstance(value, str) else value
        for name, value in values.items()
    }
    return words.format(**safe)


def colour(thing: str, dark: bool) -> str:
    """The colour of a thing on this background."""
    return LOOKS[thing].colour(dark)


def ink(dark: bool) -> str:
    """Colour of text, axes and the load."""
    return colour("load", dark)


def paper(dark: bool) -> str:
    """Colour that stands for nothing."""
    return "#16181D" if dark else "#FFFFFF"


def faint(dark: bool) -> str:
    """Colour of what steps back: grids, cuts, yesterday's values."""
    return "rgba(200,200,200,0.25)" if dark else "rgba(90,90,90,0.16)"


def rgba(thing: str, dark: bool, opacity: float) -> str:
    """A thing's colour, see-through."""
    code = colour(thing, dark).lstrip("#")
    red, green, blue = (int(code[at : at + 2], 16) for at in (0, 2, 4))
    return f"rgba({red},{green},{blue},{opacity:g})"


def wrapped(text: str, columns: int = TITLE_COLUMNS) -> str:
    """Lines short enough for a phone; entities are never cut, words stay whole."""
    return "<br>".join(wrap(text, columns, break_long_words=False, break_on_hyphens=False))


def finish(
    figure: go.Figure, answer: str, *, dark: bool, height: int, legend: bool = False
) -> go.Figure:
    """Title (the answer), margins and type, the same for every chart."""
    lines = wrapped(answer)
    top = 22 + 19 * (lines.count("<br>") + 1) + (26 if legend else 0)
    figure.update_layout(
        title={
            "text": lines, "x": 0, "xref": "container", "xanchor": "left", "y": 1,
            "yref": "container", "yanchor": "top", "pad": {"t": 8, "l": 4},
            "font": {"size": 15, "color": ink(dark)},
        },
        height=height + top,
        margin={"l": 8, "r": 8, "t": top, "b": 8},
        font={"color": ink(dark), "size": 12},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        showlegend=legend,
        legend={
            "orientation": "h", "x": 0, "xanchor": "left", "y": 1.0, "yanchor": "bottom",
            "traceorder": "normal", "font": {"size": 11},
        },
        hoverlabel={"align": "left"},
        bargap=0.25,
        dragmode=False,
        meta={"answer": answer},
    )  # fmt: skip
    figure.update_xaxes(
        gridcolor=faint(dark), zerolinecolor=faint(dark), automargin=True, title_standoff=6
    )
    figure.update_yaxes(
        gridcolor=faint(dark), zerolinecolor=faint(dark), automargin=True, title_standoff=6
    )
    return figure


def label(
    figure: go.Figure,
    x,
    y,
    text: str,
    *,
    dark: bool,
    thing: str = "load",
    row=None,
    col=None,
    **more,
) -> None:
    """Words right at a line or a dot, so that nobody hunts through a legend."""
    placed = {"xanchor": "left", "yanchor": "bottom"} | more
    where = {} if row is None else {"row": row, "col": col or 1}
    figure.add_annotation(
        x=x, y=y, text=text, showarrow=False, font={"color": colour(thing, dark), "size": 12},
        bgcolor="rgba(0,0,0,0)", **placed, **where,
    )  # fmt: skip


def bar_look(thing: str, dark: bool) -> dict:
    """Fill of a bar: colour and, as second cue, the thing's hatch."""
    look = LOOKS[thing]
    marker: dict = {"color": look.colour(dark), "line": {"width": 0}}
    if look.hatch:
        marker["pattern"] = {
            "shape": look.hatch, "size": 5, "solidity": 0.25, "fgcolor": paper(dark),
            "fgopacity": 0.55,
        }  # fmt: skip
    return marker


def line_look(thing: str, dark: bool, width: float = 2) -> dict:
    """Stroke of a line: colour and, as second cue, the thing's dash."""
    look = LOOKS[thing]
    return {"color": look.colour(dark), "dash": look.dash, "width": width}


def hourly(values: np.ndarray, step_h: float) -> np.ndarray:
    """Means over whole hours, for pictures that show a whole year. Shape (hours,)."""
    steps = round(1 / step_h)
    return values if steps == 1 else values.reshape(-1, steps).mean(axis=1)


def month_starts() -> np.ndarray:
    """Day of the (365-day) year on which each month begins, from 0."""
    return np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30])


def month_names() -> list[str]:
    """Twelve short names in this language."""
    return told("common.months").split()
