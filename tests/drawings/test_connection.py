"""The connection drawing: every conductor, nothing dangling, the design's designations."""

import re
from itertools import pairwise

import pytest
from drawings_kit import HOMES, answer, varied

from offgrid_sizing.drawings.connection import connection_drawing
from offgrid_sizing.drawings.connection_array import entries_of
from offgrid_sizing.drawings.connection_pen import (
    Y_FRAMES,
    Y_IN,
    Y_MINUS,
    Y_OUT,
    Y_PE,
    Y_PLUS,
    some,
)
from offgrid_sizing.drawings.flat import flattened
from offgrid_sizing.drawings.model import Circle, Line, Polyline, Text
from offgrid_sizing.electrical.diagram_array import Branch, dealt
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.palette import CONDUCTORS
from offgrid_sizing.wiring_code import WIRING_CODES
from offgrid_sizing.words import LANGUAGES, catalogue

BARS = {Y_PLUS, Y_MINUS, Y_FRAMES, Y_PE, *(y - 5 * n for y in (Y_IN, Y_OUT) for n in range(5))}
MARK = re.compile(r"-[BFGQTWX]\d+(?:\.\d+)?(?:…\d+)?")


@pytest.fixture(scope="module", params=sorted(HOMES))
def found(request):
    """An answer and its drawing."""
    one = answer(HOMES[request.param])
    return one, connection_drawing(one.sketch, one.design)


def words(drawing, language="en"):
    return [one.words for one in flattened(drawing, language) if isinstance(one, Text)]


def marks(drawing):
    """Designations that stand alone, at symbols and conductors."""
    texts = [one.words for one in drawing.primitives if isinstance(one, Text)]
    return {one for one in texts if isinstance(one, str) and MARK.fullmatch(one)}


def wires(drawing, kind, book):
    colour = CONDUCTORS[getattr(code_of(book).conductor_colours, kind)]
    layers = ("CONDUCTORS_DC", "CONDUCTORS_AC", "PE")
    return [
        one
        for one in drawing.primitives
        if isinstance(one, Polyline) and one.layer in layers and one.colour == colour
    ]


def test_every_designation_is_one_of_the_design(found):
    one, drawing = found
    singles = {single for item in one.design.designations for single in item.singles}
    labels = singles | {item.label for item in one.design.designations}
    assert marks(drawing) <= labels


def test_every_device_and_run_stands_at_its_place(found):
    """The first and the last of each kind; arrays wherever one of their strings is drawn."""
    one, drawing = found
    shown = marks(drawing)
    last_machine = some(one.system.inverters, 3)
    assert [f for f in (1, one.system.inverters) if f not in last_machine] == []
    for item in one.design.designations:
        inner = item.key in (
            "string_fuse", "run.string", "array_isolator", "surge_array", "run.array_feeder",
        )  # fmt: skip
        if item.key.startswith("array."):
            continue
        wanted = {item.of(1)} if inner else {item.of(1), item.of(item.count)}
        if item.key == "unit" and one.system.units_in_series > 1:
            wanted = {item.of(1), item.of(item.count)}
        assert (wanted <= shown) or item.label in shown, (item.key, wanted - shown)


def test_all_of_them_are_listed_with_how_many(found):
    one, drawing = found
    text = " ".join(words(drawing))
    for item in one.design.designations:
        assert re.search(rf"(?<!\S){re.escape(item.label)}(?!\S)", text), item.label


def test_every_terminal_has_a_conductor(found):
    """Nothing dangles: at the middle of each terminal a conductor ends or passes."""
    _, drawing = found
    terminals = [
        one.centre
        for one in drawing.primitives
        if isinstance(one, Circle) and one.layer == "DEVICES" and one.radius == 0.7
    ]
    lines = [one.points for one in drawing.primitives if isinstance(one, Polyline)]
    assert terminals
    loose = [at for at in terminals if not any(_on(at, points, 1.1) for points in lines)]
    assert loose == []


def _on(at, points, within=0.01):
    for (x1, y1), (x2, y2) in pairwise(points):
        low_x, high_x = sorted((x1, x2))
        low_y, high_y = sorted((y1, y2))
        if (
            low_x - within <= at[0] <= high_x + within
            and low_y - within <= at[1] <= high_y + within
        ):
            return True
    return False


def test_every_conductor_ends_at_something(found):
    """Each end of a wire meets another wire, a symbol, a box or a terminal."""
    _, drawing = found
    conductors = [
        one
        for one in drawing.primitives
        if isinstance(one, Polyline) and one.layer in ("CONDUCTORS_DC", "CONDUCTORS_AC", "PE")
    ]
    others = [(one.start, one.end) for one in drawing.primitives if isinstance(one, Line)]
    for one in drawing.primitives:
        if hasattr(one, "width") and hasattr(one, "x"):
            x, y, right, top = one.x, one.y, one.x + one.width, one.y + one.height
            others.append(((x, y), (right, y), (right, top), (x, top), (x, y)))
        elif isinstance(one, Circle):
            x, y = one.centre
            others.append(((x - one.radius, y), (x + one.radius, y)))
    loose = []
    for wire in conductors:
        for end, before in ((wire.points[0], wire.points[1]), wire.points[:-3:-1]):
            met = any(_on(end, way, 1.1) for way in others) or any(
                _on(end, other.points, 1.1) for other in conductors if other is not wire
            )
            is_bar = before[1] == end[1] and end[1] in BARS  # a bar may end free
            if not met and not is_bar:
                loose.append((wire.layer, end))
    assert loose == []


def test_each_circuit_has_its_own_conductors_in_the_colours_of_the_code():
    one = answer(HOMES["three in parallel"])
    drawing = connection_drawing(one.sketch, one.design)
    bars = {"l1": 276.0, "n": 271.0, "pe": 266.0}
    for kind, y in bars.items():
        upright = [
            wire
            for wire in wires(drawing, kind, "iec60364")
            if wire.points[0][0] == wire.points[-1][0]
            and max(point[1] for point in wire.points) == y
        ]
        # three outputs and the surge device; earth: three, the surge device, the main terminal
        assert len(upright) == {"l1": 4, "n": 4, "pe": 4}[kind], kind


def test_lines_of_two_machines_in_split_phase_go_to_two_bars():
    one = answer(HOMES["split phase, NFPA 70"])
    drawing = connection_drawing(one.sketch, one.design)
    for kind, y in (("l1", 276.0), ("l2", 271.0)):
        tops = [
            wire for wire in wires(drawing, kind, "nfpa70") if wire.points[-1][1] == y
            and wire.points[0][0] == wire.points[-1][0]
        ]  # fmt: skip
        assert len(tops) == 1, kind  # one machine on each
    assert code_of("nfpa70").conductor_colours.n == "white"
    assert code_of("iec60364").conductor_colours.pe == "green_yellow"


def test_parallel_conductors_are_drawn_side_by_side():
    def leads(size):
        run = {"length_m": 1.5} if size is None else {"length_m": 1.5, "size": size}
        one = answer(varied(wiring={"bank_to_inverter": run}))
        drawing = connection_drawing(one.sketch, one.design)
        foot = [
            wire for wire in wires(drawing, "dc_plus", "iec60364") if wire.points[0][1] == 142.0
        ]
        return [round(wire.points[0][0] - foot[0].points[0][0], 3) for wire in foot]

    assert leads("70 mm2") == [0]
    assert leads("2 x 70 mm2") == [0, 1]
    assert leads("3 x 50 mm2") == [0, 1, 2]


def test_strings_of_an_input_by_hand():
    branch = Branch(plan=0, in_series=6, strings=7, inputs=3, first_string=4, first_input=2)
    found = entries_of([branch])
    assert [(one.place, one.strings) for one in found] == [
        (2, (4, 5, 6)), (3, (7, 8)), (4, (9, 10)),
    ]  # fmt: skip


def test_every_string_has_its_input_once(found):
    one, _ = found
    machines = dealt(one.sketch, one.design)
    strings = [s for branches in machines for e in entries_of(branches) for s in e.strings]
    assert sorted(strings) == list(range(1, sum(p.strings for p in one.design.input_plans) + 1))


@pytest.mark.parametrize(
    ("earthing", "bonds"),
    [({"board_bond": "no", "grid_system": "tn_s"}, 0), ({"board_bond": "yes"}, 1)],
)
def test_a_bond_is_drawn_where_it_is(earthing, bonds):
    one = answer(
        varied(
            earthing=earthing,
            equipment={"inverter": {"bonds_neutral": "no"}},
            grid={"kind": "none"},
            generator=None,
        )
    )
    drawing = connection_drawing(one.sketch, one.design)
    drawn = [p for p in drawing.primitives if isinstance(p, Line) and p.layer == "BONDS"]
    assert sum(not line.dashed for line in drawn) == bonds


def test_cables_from_machine_to_machine_and_from_unit_to_unit():
    def cables(name):
        one = answer(HOMES[name])
        drawing = connection_drawing(one.sketch, one.design)
        return [
            p for p in drawing.primitives if isinstance(p, Polyline) and p.layer == "COMMUNICATION"
        ]

    assert len(cables("single, no supply")) == 2  # along the units, and up to the machine
    assert len(cables("three in parallel")) == 2 + 2 * (3 + 1)  # a stub each, and the way
    assert len(cables("lead-acid, four in series")) == 0  # such units say nothing


def test_what_is_left_out_is_said():
    one = answer(HOMES["six machines, sixteen units"])
    drawing = connection_drawing(one.sketch, one.design)
    text = " ".join(words(drawing))
    assert "-T1.3…5" in text  # between the second and the last
    assert "-G2.1…16" in text
    assert "-G2.16" in marks(drawing)
    assert "-G2.6" not in marks(drawing)


def test_some_of_many():
    assert some(4, 4) == (1, 2, 3, 4)
    assert some(9, 4) == (1, 2, 3, 9)


@pytest.mark.parametrize("book", WIRING_CODES)
def test_every_colour_of_a_code_can_be_drawn_and_said(book):
    colours = code_of(book).conductor_colours
    for kind in ("dc_plus", "dc_minus", "l1", "l2", "l3", "n", "pe"):
        name = getattr(colours, kind)
        assert name in CONDUCTORS
        for language in LANGUAGES:
            assert f"drawings.colour.{name}" in catalogue(language)
    assert colours.dc_plus != colours.dc_minus
    assert len({colours.l1, colours.l2, colours.l3, colours.n, colours.pe}) == 5
    assert "from memory" in str(colours.rule)
