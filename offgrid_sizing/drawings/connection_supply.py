"""Grid, generator, transfer switch, bars and board of the connection drawing."""

from __future__ import annotations

from offgrid_sizing.drawings.connection_pen import (
    PITCH,
    SYMBOL,
    X_COLUMNS_END,
    X_LEFT,
    X_RIGHT,
    Y_FRAMES,
    Y_IN,
    Y_OUT,
    Y_PE,
    Pen,
)
from offgrid_sizing.electrical.bonds import answer_at
from offgrid_sizing.words import said

Bars = dict[str, float]
SUPPLY_W = 68.0  # from the left edge to where the input bars begin
_TOP = {"grid": 266.0, "generator": 196.0}  # of the topmost conductor of a source
_BOX_X, _BOX_W = 45.0, 12.0  # the transfer switch, from the left edge
_COMMON_X = 59.5


def bars_of(pen: Pen, top: float) -> Bars:
    """Height of a bar for each line, the neutral and earth, from the top down."""
    kinds = [line.lower() for line in pen.design.arrangement.lines]
    return {kind: top - PITCH * row for row, kind in enumerate((*kinds, "n", "pe"))}


def draw_supply(pen: Pen) -> Bars:
    """Sources, their devices, the transfer switch; the input bars' heights, none without one."""
    feeds = [name for name in ("grid", "generator") if pen.design.run(f"{name}_in")]
    if not feeds:
        return {}
    bars = bars_of(pen, Y_IN)
    for name in feeds:
        _draw_feed(pen, name)
    join = X_LEFT + _BOX_X
    if len(feeds) == 2:
        _draw_changeover(pen, bars)
    else:
        _join_straight(pen, feeds[0], join, bars)
    _draw_common(pen, join + (_BOX_W if len(feeds) == 2 else 10), bars)
    return bars


def _live(pen: Pen) -> tuple[str, ...]:
    """Lines and neutral."""
    return (*(line.lower() for line in pen.design.arrangement.lines), "n")


def _feed_bars(pen: Pen, name: str) -> Bars:
    """Heights of a source's conductors; earth outermost, so that it passes the transfer switch."""
    live, top = _live(pen), _TOP[name]
    heights = {kind: top - PITCH * row for row, kind in enumerate(live)}
    heights["pe"] = top + PITCH if name == "grid" else top - PITCH * len(live)
    return heights


def _draw_feed(pen: Pen, name: str) -> None:
    """One source with its switch, breaker and residual-current device, from left to right."""
    heights, live = _feed_bars(pen, name), _live(pen)
    low, high = heights[live[-1]], heights[live[0]]
    middle, run = (low + high) / 2, f"{name}_in"
    bottom = min(heights.values()) - 2
    pen.box((X_LEFT - 2, bottom), 8.0, max(heights.values()) + 2 - bottom)
    mark = said("diagram.grid") if name == "grid" else pen.mark("generator")
    pen.text((X_LEFT + 1.0, middle), mark, "middle", turned=True)
    for kind, y in heights.items():
        pen.terminal((X_LEFT + 6, y))
        pen.text((X_LEFT + 7.6, y + 1.6), pen.name(kind), height=1.6)
    switch, breaker, residual = X_LEFT + 11, X_LEFT + 21, X_LEFT + 32
    for kind in live:
        y = heights[kind]
        begin = X_LEFT + 6
        if name == "grid" and kind != "n":
            pen.wire(kind, (begin, y), (switch, y))
            pen.isolator((switch, y), lying=True)
            begin = switch + SYMBOL
        if kind != "n":
            pen.wire(kind, (begin, y), (breaker, y))
            pen.breaker((breaker, y), lying=True)
            begin = breaker + SYMBOL
        pen.wire(kind, (begin, y), (X_LEFT + _BOX_X, y), sets=pen.sets(run))
    above = high + 4 if name == "generator" else high + PITCH + 3
    if name == "grid":
        pen.text((switch + 4, above), pen.mark("grid_switch"), "middle")
    pen.text((breaker + 4, above), pen.mark(f"{name}_breaker"), "middle")
    if found := pen.mark(f"residual.{run}"):
        pen.residual((residual, low - 1.6), 6.0, high - low + 3.2)
        pen.text((residual + 3, above), found, "middle")
    pen.text((X_LEFT + 44, above), pen.mark(f"run.{run}"), "end", room=7.0) if not found else None
    if found:
        pen.text((X_LEFT + 44.5, low - 3.6), pen.mark(f"run.{run}"), "end")
    _draw_bond(pen, name, heights)


def _draw_bond(pen: Pen, name: str, heights: Bars) -> None:
    """Where neutral and earth are joined at the source, or may be."""
    answer = answer_at(pen.design.earthing.states, name)
    if answer == "no":
        return
    x = X_LEFT + 3.5
    pen.bond((x, heights["n"]), (x, heights["pe"]), answer)
    for kind in ("n", "pe"):
        pen.bond((x, heights[kind]), (X_LEFT + 6, heights[kind]), answer)
    low = min(heights.values()) - 4
    pen.text((X_LEFT - 2, low), said(f"diagram.bond_{answer}"), height=1.6)


def _draw_changeover(pen: Pen, bars: Bars) -> None:
    """The transfer switch as a box with its terminals: both sources at the left, out at right."""
    switch = pen.design.earthing.changeover
    assert switch is not None  # there are two sources
    left, live = X_LEFT + _BOX_X, _live(pen)
    grid, generator = _feed_bars(pen, "grid"), _feed_bars(pen, "generator")
    bottom, top = min(generator[kind] for kind in live) - 2, grid[live[0]] + 2
    pen.box((left, bottom), _BOX_W, top - bottom)
    for heights, name in ((grid, "1"), (generator, "2")):
        for kind in live:
            pen.terminal((left, heights[kind]), f"{name}.{kind.upper()}", "start")
    for kind in live:
        pen.terminal((left + _BOX_W, bars[kind]), pen.name(kind), "end")
    poles = "open" if switch.poles is None else "known"
    words = said(f"diagram.poles_{poles}", poles=switch.poles or switch.lines)
    middle = left + _BOX_W / 2
    between = (grid[live[-1]] + bars[live[0]]) / 2
    pen.text((middle, between + 2), pen.mark("changeover"), "middle", room=_BOX_W - 1)
    pen.text((middle, between - 2), words, "middle", room=_BOX_W - 1, height=1.6)
    at = X_LEFT + _BOX_X + _BOX_W + 1.4
    for heights in (grid, generator):
        begin = (X_LEFT + 6, heights["pe"])
        pen.wire("pe", begin, (at, heights["pe"]), (at, bars["pe"]))
    pen.joint("pe", (at, bars["pe"]))
    pen.wire("pe", (at, bars["pe"]), (X_LEFT + SUPPLY_W + 12, bars["pe"]))


def _join_straight(pen: Pen, name: str, x: float, bars: Bars) -> None:
    """Without a second source each conductor goes to its bar, no two of them crossing."""
    heights = _feed_bars(pen, name)
    order = sorted(bars, key=lambda kind: -heights[kind])
    for row, kind in enumerate(order):
        down = heights[kind] > bars[kind]
        step = row if down else len(order) - 1 - row
        at = x + 9 - 1.6 * step
        begin = (X_LEFT + 6 if kind == "pe" else x, heights[kind])
        pen.wire(kind, begin, (at, heights[kind]), (at, bars[kind]), (x + 10, bars[kind]))
    pen.wire("pe", (x + 10, bars["pe"]), (X_LEFT + SUPPLY_W + 12, bars["pe"]))


def _draw_common(pen: Pen, x: float, bars: Bars) -> None:
    """From the sources' joint through the common devices to where the bars begin."""
    end, live = X_LEFT + SUPPLY_W, _live(pen)
    device = pen.mark("ac_in_common_breaker")
    common, top, low = X_LEFT + _COMMON_X, bars[live[0]], bars["n"]
    for kind in live:
        y, begin = bars[kind], x
        if device and kind != "n":
            pen.wire(kind, (x, y), (common, y))
            pen.breaker((common, y), lying=True)
            begin = common + SYMBOL
        pen.wire(kind, (begin, y), (end + 12, y), sets=pen.sets("ac_in_common"))
    if device:
        pen.text((common + 5, top + 4), device, "middle")
        pen.text((end + 16, top + 2.2), pen.mark("run.ac_in_common"), "end", room=7.0)
    if found := pen.mark("residual.ac_in_common"):
        pen.residual((end + 2, low - 1.6), 6.0, top - low + 3.2)
        pen.text((end + 5, top + 4), found, "middle")


def draw_input_bars(pen: Pen, bars: Bars, begin: float, end: float) -> None:
    """The input bars from the supply to the last machine."""
    for kind, y in bars.items():
        pen.wire(kind, (begin, y), (end, y))
        pen.text((end + 1, y), pen.name(kind), height=1.6)
    if bars:
        pen.text((end + 5, max(bars.values())), pen.mark("input_bar"))


def draw_board(pen: Pen, bars: Bars, begin: float) -> None:
    """Output bars, surge device, joint of neutral and earth, and the feed to the board."""
    live = _live(pen)
    common = pen.mark("ac_out_common_breaker")
    start = X_COLUMNS_END + 20
    for kind, y in bars.items():
        pen.text((begin - 1.5, y), pen.name(kind), "end", height=1.6)
        if common and kind in live[:-1]:
            pen.wire(kind, (begin, y), (start, y))
            pen.breaker((start, y), lying=True)
            pen.wire(kind, (start + SYMBOL, y), (X_RIGHT, y), sets=pen.sets("ac_out_common"))
        else:
            pen.wire(kind, (begin, y), (X_RIGHT, y))
        pen.terminal((X_RIGHT, y))
    pen.text((begin, Y_OUT + 3), pen.mark("board"))
    top, low = bars[live[0]], bars["n"]
    if common:
        pen.text((start + 4, top + 4), common, "middle")
        pen.text((X_RIGHT - 4, low - PITCH - 3), pen.mark("run.ac_out_common"), "end")
    if found := pen.mark("residual.ac_out_common"):
        pen.residual((start + 12, low - 1.6), 6.0, top - low + 3.2)
        pen.text((start + 17, top + 4), found, "middle")
    words = said("drawings.connection.to_board", **pen.code.words)
    pen.text((X_RIGHT - 4, low - PITCH - 6.5), words, "end", room=28.0, height=1.6)
    _draw_board_surge(pen, bars)
    _draw_board_bond(pen, bars)
    pen.wire("pe", (X_RIGHT - 2, bars["pe"]), (X_RIGHT - 2, Y_PE))
    pen.joint("pe", (X_RIGHT - 2, bars["pe"]))
    pen.joint("pe", (X_RIGHT - 2, Y_PE))


def _draw_board_surge(pen: Pen, bars: Bars) -> None:
    """The surge device between every conductor and earth."""
    live = _live(pen)
    x, y = X_COLUMNS_END + 1, bars["pe"] - 9
    width = 3.0 * len(live) + 3
    pen.surge((x, y), width)
    for place, kind in enumerate(live):
        at = x + 2 + 3.0 * place
        pen.joint(kind, (at, bars[kind]))
        pen.wire(kind, (at, bars[kind]), (at, y + 4))
    at = x + width + 1.5
    pen.wire("pe", (x + width, y + 2), (at, y + 2), (at, bars["pe"]))
    pen.joint("pe", (at, bars["pe"]))
    pen.text((x, y - 2.4), pen.mark("surge_ac"))


def _draw_board_bond(pen: Pen, bars: Bars) -> None:
    """The joint of neutral and earth in the board, or where it may be."""
    answer = answer_at(pen.design.earthing.states, "board")
    if answer == "no":
        return
    x = X_RIGHT - 6
    pen.bond((x, bars["n"]), (x, bars["pe"]), answer)
    pen.joint("n", (x, bars["n"]))
    pen.joint("pe", (x, bars["pe"]))
    pen.text(
        (x - 1, (bars["n"] + bars["pe"]) / 2), said(f"diagram.bond_{answer}"), "end", height=1.6
    )


def draw_earth(pen: Pen) -> None:
    """The main earthing terminal along the foot, its conductor and the electrode."""
    left, right = X_LEFT - 2, X_RIGHT
    pen.wire("pe", (right, Y_PE), (left, Y_PE), (left, Y_FRAMES), (X_COLUMNS_END, Y_FRAMES))
    pen.text((left + 1.5, Y_PE + 2.4), pen.mark("earth_terminal"))
    x = X_LEFT + 4
    pen.wire("pe", (x, Y_PE), (x, Y_PE - 4.5))
    pen.joint("pe", (x, Y_PE))
    pen.earth((x, Y_PE - 4.5))
    pen.text((x + 3.5, Y_PE - 3.5), pen.mark("run.earth"))
    pen.text((x + 13, Y_PE - 3.5), pen.mark("electrode"))
