"""Charts of the result pages: the title is the answer, units stand on axes, zoom stays exact."""

import numpy as np
import pytest

from offgrid_sizing.sizing.result import FrontierPoint, UnservedMap
from offgrid_sizing.ui.charts import (
    assumptions,
    bank,
    climate,
    endurance,
    energy_flow,
    followup,
    money,
    sizing,
    strategies,
    year,
)
from offgrid_sizing.ui.charts.marks import TITLE_COLUMNS
from offgrid_sizing.units import METRIC

HOURS = np.arange(8760)
SOC = 0.5 + 0.4 * np.sin(HOURS / 24)
GAPS = np.where(HOURS % 1000 < 3, 200.0, 0.0)
FLOWS = dict.fromkeys(
    ("pv_to_load_w", "bank_to_load_w", "grid_to_load_w", "generator_to_load_w", "unserved_w",
     "pv_to_bank_w", "grid_to_bank_w", "generator_to_bank_w", "curtailed_w", "grid_import_w"),
    np.full(24, 100.0),
) | {"load_w": np.full(24, 500.0), "soc_frac": SOC[:24], "grid_up": np.zeros(24)}  # fmt: skip
SHORT = GAPS > 0
UNITS, MODULES = np.arange(4), np.array([0, 6, 12])
SHARE = np.array([[1, 0.9, 0.8], [1, 0.3, 0.2], [1, 0.05, 0.005], [1, 0.02, 0.001]])
MACHINES = np.array([[1, 1, 2], [1, 1, 2], [1, 1, 2], [1, 2, 2]])
GRID = UnservedMap(
    units=UNITS, modules=MODULES, inverters=MACHINES, unserved_frac=SHARE, met=SHARE <= 0.01
)
POINTS = (
    FrontierPoint(2, 12, 2, 0.005, 30.0, 900.0),
    FrontierPoint(3, 12, 1, 0.001, 8.0, 950.5),
)


def _week(dark):
    row = strategies.WeekRow("a", "b", SOC[:168], GAPS[:168], SHORT[:168])
    return strategies.week([row, row], np.zeros(168), list("abcdefg"), 1.0, answer="w", dark=dark)


CHARTS = {
    "strip": lambda dark: year.year_strip(SOC, SHORT, 1.0, answer="x", chosen_day=3, dark=dark),
    "day": lambda dark: year.day_flows(np.arange(24.0), FLOWS, answer="x", dark=dark),
    "stretch": lambda dark: endurance.stretch(
        endurance.Run(["a", "b"], np.ones(2), np.ones(2), SOC[:48], SHORT[:48], 1.0), answer="x",
        floor_frac=0.1, ghost=endurance.Ghost(SOC[:48] + 0.1, "one more"), dark=dark,
    ),
    "endure": lambda dark: endurance.autonomy(
        np.full((12, 2), 40.0), np.full((12, 2), np.inf), 2, answer="x", dark=dark
    ),
    "flow": lambda dark: energy_flow.energy_flow(
        [("sun", "machine", 5), ("machine", "house", 4), ("machine", "losses", 1)], answer="x",
        dark=dark,
    ),
    "empty": lambda dark: year.empty_strip(answer="x", dark=dark),
    "map": lambda dark: sizing.unserved_map(GRID, POINTS, (3, 6), answer="x", dark=dark),
    "frontier": lambda dark: sizing.frontier(POINTS, (2, 900.0), answer="x", dark=dark),
    "relax": lambda dark: assumptions.relaxations(
        ["<b>a", "b"], [3.0, -2.0], ["c", "d"], dark=dark
    ),
    "bars": lambda dark: assumptions.assumption_bars(
        [assumptions.Swing("a", 1.0, 3.0, "-", "+"), assumptions.Swing("b", 2.0, 2.5, "-", "+")],
        2.0, "kW", answer="x", dark=dark,
    ),
    "week": _week,
    "comparison": lambda dark: strategies.comparison(
        ["a", "b"], [strategies.Measure("m", (1.0, 2.0), ("1", "2"), "grid")], answer="x",
        dark=dark,
    ),
    "regret": lambda dark: strategies.regret(["a", "b"], [1.0, 2.0], 10.0, answer="x", dark=dark),
    "sharing": lambda dark: bank.sharing(np.array([50.0, 40.0]), 100.0, answer="x", dark=dark),
    "paid": lambda dark: money.paid_so_far(
        np.array([100.0, 1]), np.array([0.0, 90]), answer="x", alternative_words="a",
        payback_y=1.1, dark=dark,
    ),
    "kinds": lambda dark: money.by_kind(["a", "b"], [3.0, -1.0], answer="x", dark=dark),
    "health": lambda dark: money.health(
        np.array([1, 0.9, 0.8]), 0.8, (2.0,), answer="x", dark=dark
    ),
    "cycles": lambda dark: money.cycles(
        np.linspace(0.1, 1, 10), np.ones(10), answer="x", dark=dark
    ),
    "by_day": lambda dark: followup.by_day(
        np.arange("2025-01-01", "2025-01-04", dtype="datetime64[D]"), np.ones(3), np.ones(3), "pv",
        answer="x", dark=dark,
    ),
    "by_month": lambda dark: followup.by_month(["a"], np.array([0.9]), answer="x", dark=dark),
}  # fmt: skip


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("name", CHARTS)
def test_the_title_is_the_answer_and_fits_a_phone(name, dark):
    figure = CHARTS[name](dark)
    title = figure.layout.title.text
    assert title.split("<br>")[0].strip()
    assert figure.layout.meta["answer"]
    plain = [line for line in title.split("<br>") if "<span" not in line]
    assert all(len(line) <= TITLE_COLUMNS for line in plain)
    assert figure.layout.showlegend is False  # no legend hunt: marks stand under the title
    figure.to_json()


def test_the_strip_shows_hours_and_carries_the_day():
    quarter = np.repeat(SOC, 4) + np.tile([0.01, -0.01, 0.02, -0.02], 8760)
    figure = year.year_strip(quarter, np.zeros(4 * 8760, bool), 0.25, answer="x", chosen_day=0)
    shown = np.array(figure.data[0].z)
    assert shown.shape == (24, 365)
    assert shown[5, 7] == pytest.approx(100 * SOC[7 * 24 + 5])
    dots = figure.data[-1]
    assert set(np.asarray(dots.customdata).tolist()) == set(range(365))


@pytest.mark.parametrize(("sun", "to_bank"), [(1270.0, 60.0), (9000.0, 4000.0), (30.0, 29.0)])
def test_no_part_of_the_flow_picture_lies_beyond_its_edge(sun, to_bank):
    direct = 0.6 * (sun - to_bank)
    links = [
        ("sun", "bank", to_bank), ("sun", "machine", direct),
        ("sun", "curtailed", sun - to_bank - direct), ("bank", "machine", 0.9 * to_bank),
        ("bank", "losses", 0.1 * to_bank), ("machine", "house", 0.7 * (direct + 0.9 * to_bank)),
        ("machine", "losses", 0.3 * (direct + 0.9 * to_bank)),
    ]  # fmt: skip
    flow = energy_flow.energy_flow(links, answer="x").data[0]
    names = list(dict.fromkeys(name for link in links for name in link[:2]))
    through = {
        name: max(sum(link[2] for link in links if name == link[end]) for end in (0, 1))
        for name in names
    }
    columns = {}
    for name, x in zip(names, flow.node.x, strict=True):
        columns.setdefault(x, []).append(name)
    # plotly's rule: the column that fills the height with its pads sets the scale of all
    drawn, pad = 392, flow.node.pad
    scale = min(
        (drawn - pad * (len(column) - 1)) / sum(map(through.get, column))
        for column in columns.values()
    )
    for name, y in zip(names, flow.node.y, strict=True):
        half = through[name] * scale / 2
        assert y * drawn - half >= -1, name
        assert y * drawn + half <= drawn + 1, name


def test_marks_at_chosen_values_carry_their_unit():
    axis = CHARTS["week"](False).layout.yaxis
    assert axis.ticktext == ("0 %", "50 %", "100 %")


def test_a_long_stretch_names_as_many_days_as_fit_a_phone():
    days = [f"{number} Dec" for number in range(1, 16)]
    run = endurance.Run(days, np.ones(15), np.ones(15), SOC[:360], SHORT[:360], 1.0)
    figure = endurance.stretch(run, answer="x", floor_frac=0.1)
    assert len(figure.layout.xaxis.ticktext) == 8


def test_the_sun_s_way_round_the_back_is_not_joined_across_the_picture():
    azimuth = np.array([100.0, 130, 170, 190, 230, 260])  # southern sun, picture looking north
    height = np.array([2.0, 40, 68, 68, 40, 2])
    figure = climate.sun_way(
        [("21 Dec", azimuth, height, np.arange(6.0))], None, [], [], answer="x", north_centred=True
    )
    x = np.array(figure.data[0].x, dtype=float)
    assert np.isnan(x).sum() == 1
    jumps = np.abs(np.diff(x))
    assert np.nanmax(jumps) < 90


def test_a_sun_that_turns_back_on_its_way_is_drawn_in_the_order_of_time():
    azimuth = np.array([66.0, 70, 74, 70, 40, 320, 290, 286, 290, 294])  # June in the tropics
    height = np.array([5.0, 20, 40, 60, 84, 84, 60, 40, 20, 5])
    figure = climate.sun_way(
        [("21 Jun", azimuth, height, np.arange(10.0))], None, [], [], answer="x"
    )
    up = np.array(figure.data[0].y, dtype=float)
    morning, evening = up[:5], up[6:]
    assert np.isnan(up[5])
    assert (np.diff(morning) > 0).all()
    assert (np.diff(evening) < 0).all()


def test_the_day_keeps_every_step():
    flows = {name: np.repeat(values, 4) for name, values in FLOWS.items()}
    figure = year.day_flows(np.arange(0, 24, 0.25), flows, answer="x")
    (asked,) = (
        trace for trace in figure.data if trace.type == "scatter" and trace.showlegend is None
    )
    others = [trace for trace in figure.data if trace is not asked and trace.x[0] is not None]
    assert len(others) >= len(figure.data) - 2  # one is only a mark
    assert all(len(trace.x) == 96 for trace in others)
    assert (asked.x[0], asked.x[-1], len(asked.x)) == (0, 24, 97)  # from midnight to midnight
    assert any("grid outage" in (trace.name or "") for trace in figure.data)


def test_the_map_offers_each_whole_choice_once():
    figure = CHARTS["map"](False)
    (dots,) = (
        trace for trace in figure.data
        if trace.type == "scatter" and trace.customdata is not None
        and len(trace.customdata) == UNITS.size * MODULES.size
    )  # fmt: skip
    offered = [sizing.choice_of(code) for code in dots.customdata]
    assert offered == [
        (units, modules, MACHINES[u, m])
        for u, units in enumerate(UNITS)
        for m, modules in enumerate(MODULES)
    ]
    said = "3 units in parallel, 6 modules, 2 inverter-chargers<br>2\u2009% unserved"
    assert dots.hovertext[offered.index((3, 6, 2))] == said


def test_the_map_s_dots_draw_the_cheapest_with_each_bank():
    figure = CHARTS["map"](False)
    (dots,) = (
        trace for trace in figure.data
        if trace.customdata is not None and len(trace.customdata) == len(POINTS)
    )  # fmt: skip
    assert [sizing.choice_of(code) for code in dots.customdata] == [(2, 12, 2), (3, 12, 1)]
    assert "12 modules, 1 inverter-charger<br>EUR 950 a year" in dots.hovertext[1]


@pytest.mark.parametrize(("met", "lines"), [(SHARE <= 0.01, 1), (SHARE < 0, 0), (SHARE >= 0, 0)])
def test_the_map_s_edge_parts_what_meets_every_target_from_the_rest(met, lines):
    grid = UnservedMap(
        units=UNITS, modules=MODULES, inverters=MACHINES, unserved_frac=SHARE, met=met
    )
    figure = sizing.unserved_map(grid, (), (9, 7), answer="x", reader=METRIC)
    edges = [trace for trace in figure.data if trace.type == "contour"]
    assert len(edges) == lines
    assert all((np.array(edge.z) == met.T).all() for edge in edges)


def test_the_frontier_names_the_machines_of_each_point():
    figure = sizing.frontier(POINTS, (2, 900.0), answer="x", drawn=(5, 990.0))
    assert list(figure.data[0].y) == [900.0, 950.5]
    assert "2 units in parallel, 12 modules, 2 inverter-chargers" in figure.data[0].hovertext[0]
    assert (figure.data[1].x[0], figure.data[1].y[0]) == (2, 900.0)
    assert (figure.data[2].x[0], figure.data[2].y[0]) == (5, 990.0)


def test_the_strip_marks_an_hour_with_any_short_step():
    short = np.zeros(4 * 8760, bool)
    short[4 * (24 * 9 + 6) + 3] = True  # the last quarter of an hour: 10 January, 6 to 7 o'clock
    figure = year.year_strip(np.repeat(SOC, 4), short, 0.25, answer="x")
    marked = np.argwhere(np.array(figure.data[1].z, dtype=float) == 1.0)
    assert marked.tolist() == [[6, 9]]
    assert list(figure.data[2].x) == [9]


def test_typed_names_stay_text_in_a_chart():
    figure = CHARTS["relax"](False)
    words = " ".join(note.text for note in figure.layout.annotations)
    assert "&lt;b&gt;a" in words


def test_spans_are_the_unbroken_runs():
    assert year.spans(np.array([False, True, True, False, True])) == [(1, 3), (4, 5)]
    assert year.spans(np.zeros(3, bool)) == []


@pytest.mark.parametrize(
    ("low", "high", "at", "anchors"),
    [
        (90.0, 130.0, (90.0, 130.0), ("right", "left")),
        (130.0, 90.0, (130.0, 90.0), ("left", "right")),
        (100.0, 80.0, (100.0, 80.0), ("left", "right")),  # one that moves nothing
        (110.0, 130.0, (100.0, 130.0), ("right", "left")),  # both dearer
        (70.0, 90.0, (70.0, 100.0), ("right", "left")),  # both cheaper
        (100.0, 100.0, (100.0, 100.0), ("right", "left")),
    ],
)
def test_the_words_of_both_ends_never_stand_on_one_side(low, high, at, anchors):
    swing = assumptions.Swing("load", low, high, "less", "more")
    figure = assumptions.assumption_bars([swing], 100.0, "money", answer="x")
    less, more = (note for note in figure.layout.annotations if note.text in ("less", "more"))
    assert (less.text, more.text) == ("less", "more")
    assert (less.x, more.x) == at
    assert (less.xanchor, more.xanchor) == anchors
    assert [bar.textposition for bar in figure.data] == ["none", "none"]
