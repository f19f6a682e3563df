"""One look for every chart, light and dark, readable at phone width."""

from functools import cache

import plotly.graph_objects as go

from offgrid_sizing.palette import INK, LOOKS

FONT = "'Source Sans', 'Source Sans 3', 'DejaVu Sans', sans-serif"
FAINT = {False: "rgba(34,34,34,0.14)", True: "rgba(238,238,238,0.18)"}


@cache
def template(dark: bool) -> go.layout.Template:
    """Fonts, grid and margins; the page's own background shows through."""
    axis = {
        "gridcolor": FAINT[dark],
        "linecolor": FAINT[dark],
        "zerolinecolor": FAINT[dark],
        "automargin": True,
        "title": {"standoff": 8},
        "ticks": "",
    }
    return go.layout.Template(
        layout={
            "font": {"family": FONT, "size": 14, "color": INK.colour(dark)},
            "title": {"x": 0, "xanchor": "left", "font": {"size": 17}, "automargin": True},
            "paper_bgcolor": "rgba(0,0,0,0)",
            "plot_bgcolor": "rgba(0,0,0,0)",
            "colorway": [look.colour(dark) for look in LOOKS.values()],
            "xaxis": axis,
            "yaxis": axis,
            "margin": {"l": 8, "r": 8, "t": 48, "b": 8},
            "legend": {"orientation": "h", "y": -0.18, "x": 0},
            "hoverlabel": {"align": "left", "font": {"family": FONT}},
            "hovermode": "closest",
            "dragmode": False,
        }
    )


def figure(dark: bool, title: str = "", height: int = 360) -> go.Figure:
    """An empty figure with the look on."""
    return go.Figure(
        layout={"template": template(dark), "title": {"text": title}, "height": height}
    )
