"""What the charts of this folder share: words, colours, titles that wrap, labels at the line."""

from collections.abc import Sequence
from textwrap import wrap

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing.palette import LOOKS, PAPER
from offgrid_sizing.ui.charts.template import template
from offgrid_sizing.ui.plain import chart_text, chart_words
from offgrid_sizing.ui.words import t_raw
from offgrid_sizing.units import Reader, money

TITLE_COLUMNS = 42  # characters of a title line that fit 390 px


def chart_t(key: str, **values) -> str:
    """The words for a key with its values put in, safe in a chart's text."""
    safe = {
        name: chart_text(value) if isinstance(value, str) else value
        for name, value in values.items()
    }
    return t_raw(key, **safe)


def amount(value: float, reader: Reader) -> str:
    """An amount of money, safe in a chart's text: people type what their currency is called."""
    return chart_text(money(value, reader))


def colour(thing: str, dark: bool) -> str:
    """The colour of a thing on this background."""
    return LOOKS[thing].colour(dark)


def ink(dark: bool) -> str:
    """Colour of text, axes and the load."""
    return colour("load", dark)


def paper(dark: bool) -> str:
    """Colour that stands for nothing."""
    return PAPER.colour(dark)


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


def shown(value: float, significant: int = 3) -> str:
    """A figure written into a picture, with the decimal mark of the reader's language."""
    return f"{value:.{significant}g}".replace(".", t_raw("common.decimal_mark"))


def separators() -> str:
    """Decimal mark and gap between thousands, for axes and under the pointer."""
    return t_raw("common.decimal_mark") + "\u202f"


def finish(
    figure: go.Figure, answer: str, *, dark: bool, height: int, legend: bool = False, above: int = 0
) -> go.Figure:
    """Title (the answer), margins and type, the same for every chart.

    `above` keeps room (px) between title and picture. With `legend` the named traces are explained
    in a line right beneath the title, each with its own mark: it wraps on a phone, where a legend
    would cover the picture.
    """
    lines = wrapped(answer).split("<br>")
    marks = _mark_lines(figure, dark) if legend else []
    top = 26 + 19 * len(lines) + 17 * len(marks) + above
    text = "<br>".join([*lines, *(f'<span style="font-size:12px">{line}</span>' for line in marks)])
    figure.update_layout(
        template=template(dark),
        title={
            "text": text,
            "x": 0,
            "xref": "container",
            "xanchor": "left",
            "automargin": False,
            "y": 1 - 16 / (height + top),
            "yref": "container",
            "yanchor": "top",
            "pad": {"l": 4},
            "font": {"size": 15, "color": ink(dark)},
        },
        height=height + top,
        margin={"l": 8, "r": 8, "t": top, "b": 8},
        font={"color": ink(dark), "size": 12},
        showlegend=False,
        hoverlabel={"align": "left"},
        bargap=0.25 if figure.layout.bargap is None else figure.layout.bargap,
        dragmode=False,
        separators=separators(),
        meta={"answer": answer, "answer_lines": len(lines)},
    )
    figure.update_xaxes(
        gridcolor=faint(dark), zerolinecolor=faint(dark), automargin=True, title_standoff=6
    )
    figure.update_yaxes(
        gridcolor=faint(dark), zerolinecolor=faint(dark), automargin=True, title_standoff=6
    )
    return figure


def without_answer(figure: go.Figure) -> str | None:
    """Take the answer out of a finished chart's title, where a page says it above the chart.

    There it wraps by the width of the screen; a title has the lines it was given. The marks stay.
    None for a chart that carries no answer.
    """
    meta = figure.layout.meta or {}
    lines = meta.get("answer_lines", 0)
    if not lines:
        return None
    height, top = figure.layout.height - 19 * lines, figure.layout.margin.t - 19 * lines
    marks = figure.layout.title.text.split("<br>")[lines:]
    figure.update_layout(
        title={"text": "<br>".join(marks), "y": 1 - 8 / height},
        height=height,
        margin={"t": top},
        meta=meta | {"answer_lines": 0},
    )
    return chart_words(meta["answer"])


def _mark_lines(figure: go.Figure, dark: bool) -> list[str]:
    """What each named trace is, a coloured mark before each name, in lines that fit a phone."""
    lines: list[str] = []
    used = TITLE_COLUMNS
    for trace in figure.data:
        if trace.showlegend is False or not trace.name:
            continue
        shape, code = _mark(trace)
        word = f'<span style="color:{code or ink(dark)}">{shape}</span>\u00a0' + trace.name.replace(
            " ", "\u00a0"
        )
        if used + len(trace.name) + 4 > TITLE_COLUMNS:
            lines.append(word)
            used = 0
        else:
            lines[-1] += "   " + word
        used += len(trace.name) + 5
    return lines


_GLYPHS = {"dash": "╍", "dot": "┅", "dashdot": "╍", "solid": "━"}


def _mark(trace) -> tuple[str, str | None]:
    """The sign and colour that stand for a trace: a block, a line in its dash, a cross."""
    if trace.type == "bar":
        return "▨" if trace.marker.pattern.shape else "■", trace.marker.color
    if trace.mode and "lines" in trace.mode:
        return _GLYPHS.get(trace.line.dash or "solid", "━") * 2, trace.line.color
    return "✕" if trace.marker.symbol == "x" else "●", trace.marker.color


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
        x=x,
        y=y,
        text=text,
        showarrow=False,
        font={"color": colour(thing, dark), "size": 12},
        **placed,
        **where,
    )


def bar_look(thing: str, dark: bool) -> dict:
    """Fill of a bar: colour and, as second cue, the thing's hatch."""
    look = LOOKS[thing]
    marker: dict = {"color": look.colour(dark), "line": {"width": 0}}
    if look.hatch:
        marker["pattern"] = {
            "shape": look.hatch,
            "size": 6,
            "solidity": 0.2,
            "fgcolor": paper(dark),
            "fgopacity": 0.6,
            "fillmode": "overlay",
        }
    return marker


def line_look(thing: str, dark: bool, width: float = 2) -> dict:
    """Stroke of a line: colour and, as second cue, the thing's dash."""
    look = LOOKS[thing]
    return {"color": look.colour(dark), "dash": look.dash, "width": width}


def worded_bars(
    figure: go.Figure, words: Sequence[str], values: Sequence[float], thing: str, *, dark: bool
) -> None:
    """Bars one under another, each with its words on a line of its own above it.

    Readable at phone width, where labels beside the bars would leave no room for them.
    """
    rows = np.arange(len(words))
    figure.add_bar(
        x=list(values),
        y=rows,
        orientation="h",
        width=0.36,
        hoverinfo="skip",
        marker={"color": colour(thing, dark)},
    )
    for row, text in enumerate(words):
        figure.add_annotation(
            x=0,
            xref="paper",
            y=row - 0.4,
            text=text,
            showarrow=False,
            xanchor="left",
            font={"size": 12, "color": ink(dark)},
            bgcolor=paper(dark),
            opacity=0.9,
        )
    figure.update_yaxes(visible=False, range=[len(rows) - 0.5, -0.8])
    figure.add_vline(x=0, line={"color": ink(dark), "width": 1})


def month_names() -> list[str]:
    """Twelve short names in this language."""
    return chart_t("common.months").split()
