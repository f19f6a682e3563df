"""Pictures of the equipment: efficiency, what cold takes, how long cycles last, losses."""

import numpy as np
import plotly.graph_objects as go

from offgrid_sizing.ui.charts.marks import bar_look, chart_t, colour, ink, line_look, rgba, shown
from offgrid_sizing.ui.charts.plates import framed, plate
from offgrid_sizing.ui.plain import chart_text


def efficiency(
    load_w: np.ndarray,
    efficiency_frac: np.ndarray,
    usual_w: float | None,
    *,
    answer: str,
    dark: bool = False,
) -> go.Figure:
    """Inverter efficiency against its load, with the home's mean load marked."""
    figure = go.Figure(
        go.Scatter(
            x=load_w / 1000,
            y=efficiency_frac * 100,
            mode="lines+markers",
            line={"color": ink(dark), "width": 2.5},
            hovertemplate="%{x:.3g} kW: %{y:.3g} %<extra></extra>",
        )
    )
    if usual_w is not None:
        figure.add_vline(x=usual_w / 1000, line={"color": ink(dark), "dash": "dot"})
        foot = float(efficiency_frac.min()) * 100
        plate(
            figure,
            usual_w / 1000,
            foot,
            chart_t("pictures.usual"),
            dark=dark,
            xanchor="left",
            xshift=6,
        )
    return framed(
        figure,
        answer,
        x=chart_t("pictures.load"),
        y=chart_t("pictures.efficiency"),
        dark=dark,
        height=280,
    )


def curve(
    x_values: np.ndarray,
    y_values: np.ndarray,
    *,
    answer: str,
    x: str,
    y: str,
    thing="bank",
    marks: tuple[tuple[float, str], ...] = (),
    dark: bool = False,
) -> go.Figure:
    """A data-sheet curve through its points, with named values of x marked."""
    figure = go.Figure(
        go.Scatter(
            x=x_values,
            y=y_values,
            mode="lines+markers",
            line=line_look(thing, dark, 2.5),
            hovertemplate="%{x:.4g}: %{y:.4g}<extra></extra>",
        )
    )
    for at, name in marks:
        figure.add_vline(x=at, line={"color": ink(dark), "dash": "dot"})
        plate(figure, at, float(y_values.min()), name, dark=dark, xanchor="left", xshift=5)
    framed(figure, answer, x=x, y=y, dark=dark, height=280)
    figure.update_yaxes(rangemode="tozero")
    return figure


def losses(names: list[str], left_frac: np.ndarray, *, answer: str, dark=False) -> go.Figure:
    """Share of the light's worth left after each stage, stage under stage, what each took named."""
    rows = list(range(len(names)))
    took = -np.diff(left_frac, prepend=left_frac[:1])
    figure = go.Figure()
    figure.add_bar(
        x=left_frac * 100,
        y=rows,
        orientation="h",
        width=0.34,
        marker=bar_look("pv", dark),
        customdata=names,
        hovertemplate="%{customdata}<br>%{x:.3g} %<extra></extra>",
    )
    for row, name in enumerate(names):
        change = "" if row == 0 or abs(took[row]) < 5e-5 else f"  −{shown(took[row] * 100, 2)}"
        figure.add_annotation(
            x=0,
            y=row - 0.38,
            text=f"{name}  <b>{shown(left_frac[row] * 100)} %</b>{change}",
            showarrow=False,
            xanchor="left",
            font={"size": 12, "color": ink(dark)},
        )
    framed(figure, answer, x=chart_t("pictures.left"), dark=dark, height=60 + 36 * len(names))
    figure.update_yaxes(visible=False, range=[len(rows) - 0.4, -0.8])
    figure.update_xaxes(range=[0, max(float(left_frac.max()) * 100, 100)])
    return figure


def voltages(
    rows: list[tuple[str, float, float]],
    track_low: float,
    track_high: float,
    limit: float,
    *,
    answer: str,
    dark: bool = False,
) -> go.Figure:
    """Each plane's string from its hot working voltage to its cold open-circuit voltage.

    Parameters
    ----------
    rows : list of (plane, hot voltage at maximum power, cold open-circuit voltage)
        [V]
    track_low, track_high, limit : float
        The controller's tracking window and its highest allowed voltage. [V]
    """
    figure = go.Figure()
    figure.add_vrect(
        x0=track_low,
        x1=track_high,
        fillcolor=rgba("good", dark, 0.14),
        line_width=0,
        layer="below",
    )
    for row, (name, low, high) in enumerate(rows):
        thing = "pv" if high <= limit else "unserved"
        figure.add_bar(
            x=[high - low],
            base=[low],
            y=[row],
            orientation="h",
            width=0.36,
            marker=bar_look(thing, dark),
            hovertemplate=f"{low:.0f}–{high:.0f} V<extra></extra>",
        )
        words = f"{chart_text(name)}  <b>{low:.0f}–{high:.0f} V</b>"
        plate(figure, 0, row + 0.36, words, dark=dark, xanchor="left")
    figure.add_vline(x=limit, line={"color": colour("unserved", dark), "width": 3})
    top = len(rows) - 0.05
    plate(figure, limit, top, chart_t("pictures.highest"), dark=dark, xanchor="right", xshift=-5)
    plate(figure, (track_low + track_high) / 2, -0.55, chart_t("pictures.window"), dark=dark)
    most = max([limit, *(high for _, _, high in rows)])
    framed(figure, answer, x=chart_t("pictures.volts"), dark=dark, height=120 + 60 * len(rows))
    figure.update_yaxes(visible=False, range=[-0.8, len(rows) + 0.2])
    figure.update_xaxes(range=[0, most * 1.06])
    return figure.update_layout(barmode="overlay")
