"""Grid, generator, their changeover and the bars of the single-line diagram."""

from __future__ import annotations

from offgrid_sizing.electrical.diagram_machine import DASHED, bond_answer, bond_words
from offgrid_sizing.electrical.diagram_pen import (
    BOX_W,
    EARTH,
    GRID,
    NORMAL,
    RIGHT,
    SMALL,
    Y_EARTH,
    Y_IN,
    Y_OUT,
    Picture,
)
from offgrid_sizing.electrical.symbols import (
    CircuitBreaker,
    GeneratorSet,
    Isolator,
    ResidualDevice,
    SurgeDevice,
)
from offgrid_sizing.words import said

FEEDS, Y_FEED = ("grid", "generator"), (18.0, 16.45)
JOINT_X, PIVOT_X, COMMON_X = 4.55, 5.2, 5.9
Y_BOARD_EARTH = 17.5


def draw_supply(picture: Picture) -> None:
    """Sources with their own devices, the changeover, and the way to the input terminals."""
    pen, design = picture.pen, picture.design
    feeds = [name for name in FEEDS if design.run(f"{name}_in")]
    if not feeds:
        return
    pen.wire((0, Y_IN), (picture.bar_end, Y_IN), color=GRID, width=4)
    fault_ka = picture.sketch.wiring.prospective_ac_fault_a / 1000
    lines = " ".join(design.arrangement.lines)
    words = said("diagram.input", mark=picture.mark("input_bar"), lines=lines, fault_ka=fault_ka)
    pen.text((0.05, Y_IN + 0.35), words)
    heights = dict(zip(feeds, Y_FEED, strict=False))
    for name, y in heights.items():
        _draw_feed(picture, name, y)
    pivot = (PIVOT_X, sum(heights.values()) / len(feeds))
    if len(feeds) == 2:
        _draw_changeover(picture, pivot)
    else:
        pen.wire((JOINT_X, pivot[1]), pivot, color=GRID)
    pen.wire(pivot, (COMMON_X, pivot[1]), color=GRID)
    _draw_common(picture, pivot[1])


def _draw_feed(picture: Picture, name: str, y: float) -> None:
    """One source, its means of disconnection and its own devices, from left to right."""
    pen, run = picture.pen, f"{name}_in"
    if name == "grid":
        pen.text((0.0, y + 0.3), said("diagram.grid"))
        pen.wire((0.0, y), (0.55, y), color=GRID)
        pen.part(Isolator(), (0.55, y), (1.45, y), GRID)
        _words_over(picture, (1.0, y), [picture.mark("grid_switch"), picture.plate("grid_switch")])
    else:
        pen.box(GeneratorSet(), (0.0, y), GRID)
        pen.text((0.75, y + 0.5), picture.mark("generator"))
        pen.wire((0.8, y), (1.45, y), color=GRID)
        pen.wire((0.0, y), (-0.35, y), (-0.35, Y_EARTH), color=EARTH, style=DASHED)
    pen.part(CircuitBreaker(), (1.6, y), (2.5, y), GRID)
    pen.wire((1.45, y), (1.6, y), color=GRID)
    _words_over(picture, (2.05, y), picture.device(run))
    if residual := picture.residual(run):
        pen.part(ResidualDevice(), (2.6, y), (3.5, y), GRID)
        pen.wire((2.5, y), (2.6, y), color=GRID)
        pen.wire((3.5, y), (JOINT_X, y), color=GRID)
        _words_over(picture, (3.05, y), residual)
    else:
        pen.wire((2.5, y), (JOINT_X, y), color=GRID)
    mark, *size = picture.size(run)
    pen.text((4.1, y + 0.6), mark, SMALL, "center")
    if not size[0]:  # one conductor a line; more of them stand in the table only
        pen.text((4.0, y + 0.22), size[1], SMALL, "center")
    _draw_bond(picture, name, (0.3 if name == "grid" else 1.15, y), y - 0.4)


def _words_over(picture: Picture, place: tuple[float, float], words: list[str]) -> None:
    """Designation above and rating below a symbol that lies."""
    x, y = place
    picture.pen.text((x, y + 0.6), words[0], SMALL, "center")
    picture.pen.text((x, y - 0.3), words[1], SMALL, "center")


def _draw_bond(picture: Picture, name: str, top: tuple[float, float], bottom: float) -> None:
    """Where neutral and earth are joined, or may be."""
    answer, pen, x = bond_answer(picture, name), picture.pen, top[0]
    if answer == "no":
        return
    pen.dot(top)
    pen.wire(top, (x, bottom), style="-" if answer == "yes" else DASHED)
    pen.earth((x, bottom), EARTH)
    pen.text((x + 0.33, bottom - 0.25), bond_words(answer))


def _draw_changeover(picture: Picture, pivot: tuple[float, float]) -> None:
    """A switch with two fixed contacts, one for each source."""
    pen, switch = picture.pen, picture.design.earthing.changeover
    assert switch is not None  # there are two sources
    tips = (pivot[1] + 0.3, pivot[1] - 0.3)
    for y, tip in zip(Y_FEED, tips, strict=True):
        pen.wire((JOINT_X, y), (JOINT_X, tip), color=GRID)
        pen.dot((JOINT_X, tip), GRID)
    pen.wire(pivot, (JOINT_X + 0.1, tips[0] - 0.04), color=GRID)
    pen.dot(pivot, GRID)
    poles = "open" if switch.poles is None else "known"
    words = said(f"diagram.poles_{poles}", poles=switch.poles or switch.lines)
    plate = picture.plate("changeover")
    lines = (picture.mark("changeover"), words, f"{switch.rating_a:g} A", plate)
    pen.rows((PIVOT_X + 0.1, pivot[1] + 1.55), lines)


def _draw_common(picture: Picture, top: float) -> None:
    """From the joint of the sources down to the input terminals."""
    pen, x = picture.pen, COMMON_X
    y = top
    if device := picture.device("ac_in_common"):
        y = Y_IN + 1.0
        pen.wire((x, top), (x, y + 0.9), color=GRID)
        pen.part(CircuitBreaker(), (x, y), (x, y + 0.9), GRID)
        pen.rows((x - 0.42, y + 0.55), device, "right")
        pen.rows((x + 0.15, y - 0.3), picture.size("ac_in_common")[:1])
        if residual := picture.residual("ac_in_common"):
            pen.part(ResidualDevice(), (x, Y_IN + 0.1), (x, y), GRID)
            pen.rows((x - 0.42, y - 0.35), residual, "right")
            y = Y_IN + 0.1
    pen.wire((x, y), (x, Y_IN), color=GRID)
    pen.dot((x, Y_IN), GRID)


def draw_board(picture: Picture) -> None:
    """Output bar and board with its surge device, its joint of neutral and earth, its feed."""
    pen, design = picture.pen, picture.design
    plan = design.arrangement
    pen.wire((0, Y_OUT), (max(picture.bar_end, RIGHT - 1.2), Y_OUT), width=4)
    lines = " ".join(plan.lines)
    key = "board_protected" if picture.sketch.loads.unprotected else "board"
    words = said(f"diagram.{key}", mark=picture.mark("board"), lines=lines, **picture.code_words)
    pen.text((0, Y_OUT + 0.9), words, NORMAL)
    pen.text((0, Y_OUT + 0.42), _board_words(picture))
    x = picture.box_x(0) + BOX_W + 1.4
    pen.dot((x, Y_OUT))
    pen.wire((x, Y_OUT), (x, Y_OUT - 0.2))
    pen.part(SurgeDevice(), (x, Y_OUT - 0.2), (x, Y_OUT - 1.1))
    pen.text((x + 0.3, Y_OUT - 0.65), picture.mark("surge_ac"))
    pen.wire((x, Y_OUT - 1.1), (x, Y_BOARD_EARTH), color=EARTH)
    pen.wire(
        (x, Y_BOARD_EARTH), (RIGHT, Y_BOARD_EARTH), (RIGHT, Y_EARTH), color=EARTH, style=DASHED
    )
    pen.text(
        (x + 0.05, Y_BOARD_EARTH - 0.3),
        said("diagram.earth_bar", **picture.code_words),
        SMALL,
        "right",
    )
    answer = bond_answer(picture, "board")
    if answer != "no":
        at, style = x + 1.3, "-" if answer == "yes" else DASHED
        pen.dot((at, Y_OUT))
        pen.wire((at, Y_OUT), (at, Y_BOARD_EARTH), style=style)
        pen.dot((at, Y_BOARD_EARTH), EARTH)
        pen.text((at + 0.15, Y_OUT - 0.65), bond_words(answer))
    _draw_sub_board(picture)


def _board_words(picture: Picture):
    """Power, voltage and load of the output bar."""
    plan = picture.design.arrangement
    values: dict[str, object] = {"kva": plan.total_va / 1000, "volts": plan.line_v}
    words = said("diagram.output", **values)
    if plan.between_lines_v:
        words = said("diagram.output_lines", **values, between_v=plan.between_lines_v)
    if len(plan.lines) > 1:
        loads = tuple(
            said("diagram.line_load", line=k, kva=v / 1000) for k, v in plan.legs.va.items()
        )
        words = said("diagram.loads", first=words, loads=loads, neutral_a=plan.legs.neutral_a)
    return words


def _draw_sub_board(picture: Picture) -> None:
    """The common feed of several machines, up from the output bar to the sub-board."""
    device, pen = picture.device("ac_out_common"), picture.pen
    if not device:
        return
    x, y = RIGHT - 1.6, Y_OUT + 0.15
    pen.wire((x, Y_OUT), (x, y))
    pen.part(CircuitBreaker(), (x, y), (x, y + 0.9))
    pen.rows((x - 0.42, y + 0.75), device, "right")
    y += 0.9
    if residual := picture.residual("ac_out_common"):
        pen.part(ResidualDevice(), (x, y), (x, y + 0.9))
        pen.rows((x - 0.42, y + 0.75), residual, "right")
        y += 0.9
    pen.wire((x, y), (x, 21.3))
    pen.wire((x - 1.0, 21.3), (x + 1.0, 21.3), width=3)
    pen.rows((x + 0.2, Y_OUT + 0.75), picture.size("ac_out_common"))
    pen.text((x + 1.0, 21.65), said("diagram.sub_board", **picture.code_words), SMALL, "right")
