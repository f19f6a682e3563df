"""One flow picture for the year: sources left, uses and losses right, widths true."""

from collections.abc import Sequence

import plotly.graph_objects as go

from offgrid_sizing.ui.charts.marks import chart_t, colour, finish, ink, rgba
from offgrid_sizing.units import METRIC, Reader, kwh

_DRAWN_PX, _PAD_PX = 392, 22  # height of the picture, least gap between nodes of a column

_THING = {
    "sun": "pv",
    "grid": "grid",
    "generator": "generator",
    "bank": "bank",
    "machine": "load",
    "house": "load",
    "electronics": "load",
    "losses": "load",
    "curtailed": "curtailed",
    "export": "grid",
    "dump": "generator",
    "bank_before": "bank",
    "bank_after": "bank",
}

# Column (0 left, 1 right) and order from the top within it
_PLACE = {
    "sun": (0.001, 0),
    "grid": (0.001, 1),
    "generator": (0.001, 2),
    "bank_before": (0.001, 3),
    "bank": (0.22, 1),
    "machine": (0.47, 0),
    "curtailed": (0.999, 0),
    "export": (0.999, 1),
    "house": (0.999, 2),
    "electronics": (0.999, 3),
    "losses": (0.999, 4),
    "dump": (0.999, 5),
    "bank_after": (0.999, 6),
}


def energy_flow(
    links: Sequence[tuple[str, str, float]],
    *,
    answer: str,
    reader: Reader = METRIC,
    dark: bool = False,
) -> go.Figure:
    """Where the year's energy came from and went.

    Parameters
    ----------
    links : (from, to, kWh)
        Names are those of `_THING`; every inner node gives out what it takes in.
    """
    names = list(dict.fromkeys([name for link in links for name in link[:2]]))
    at = {name: index for index, name in enumerate(names)}
    through = {
        name: max(
            sum(size for origin, _, size in links if origin == name),
            sum(size for _, end, size in links if end == name),
        )
        for name in names
    }
    figure = go.Figure(
        go.Sankey(
            arrangement="snap",
            node={
                "label": [
                    f"{chart_t(f'year.flow.{name}')}<br>{kwh(1000 * through[name], reader)}"
                    for name in names
                ],
                "color": [colour(_THING[name], dark) for name in names],
                "x": [_PLACE[name][0] for name in names],
                "y": _heights(names, through),
                "pad": _PAD_PX,
                "thickness": 14,
                "line": {"width": 0},
                "hovertemplate": "%{label}<extra></extra>",
            },
            link={
                "source": [at[origin] for origin, _, _ in links],
                "target": [at[end] for _, end, _ in links],
                "value": [size for _, _, size in links],
                "color": [_link_colour(origin, end, dark) for origin, end, _ in links],
                "customdata": [kwh(1000 * size, reader) for _, _, size in links],
                "hovertemplate": "%{source.label} → %{target.label}<br>%{customdata}"
                "<extra></extra>",
            },
            textfont={"size": 11, "color": ink(dark)},
        )
    )
    return finish(figure, answer, dark=dark, height=_DRAWN_PX + 8)


def _heights(names: list[str], through: dict[str, float]) -> list[float]:
    """Middle of each node from the top (0) to the bottom (1), columns filled in their order.

    Nodes are as high as plotly will draw them, so that none is placed beyond the edge.
    """
    columns: dict[float, list[str]] = {}
    for name in sorted(names, key=lambda name: _PLACE[name][1]):
        columns.setdefault(_PLACE[name][0], []).append(name)
    gap, middle = _PAD_PX / _DRAWN_PX, {}
    scale = min(
        (1 - gap * (len(column) - 1)) / (sum(through[name] for name in column) or 1.0)
        for column in columns.values()
    )
    for at, column in columns.items():
        size = sum(through[name] for name in column) * scale + gap * (len(column) - 1)
        lowest = 1 - size
        top = {0.22: lowest, 0.47: min(max(0.35, 0.8 - size), lowest)}.get(at, 0.0)
        for name in column:
            height = through[name] * scale
            middle[name] = min(max(top + height / 2, 0.001), 0.999)
            top += height + gap
    return [middle[name] for name in names]


def _link_colour(origin: str, end: str, dark: bool) -> str:
    """See-through; ink more so, or the words on it could not be read."""
    thing = _link_thing(origin, end)
    return rgba(thing, dark, 0.22 if thing == "load" else 0.45)


def _link_thing(origin: str, end: str) -> str:
    if end == "curtailed":
        return "curtailed"
    return _THING[origin]
