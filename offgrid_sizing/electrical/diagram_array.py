"""The arrays of the single-line diagram: strings, fuses, isolators and surge devices."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.diagram_pen import (
    ARRAY,
    BOX_H,
    BOX_W,
    BRANCH,
    EARTH,
    SMALL,
    Y_ARRAY,
    Y_BOX,
    Y_EARTH,
    Picture,
)
from offgrid_sizing.electrical.symbols import FuseLink, Isolator, PvGenerator, SurgeDevice
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.units import digits
from offgrid_sizing.words import Figure, said

PORT_STEP, SPD_AT = 0.4, 2.45
LONGEST_NAME = 17


@dataclass(frozen=True)
class Branch:
    """Strings of one plane on one machine; places count from 1 over all planes.

    Parameters
    ----------
    plan : int
        Place of its plan among the design's.
    in_series, strings, inputs : int
    first_string, first_input : int
    """

    plan: int
    in_series: int
    strings: int
    inputs: int
    first_string: int
    first_input: int

    @property
    def string_places(self) -> tuple[int, int]:
        """First and last of its strings."""
        return self.first_string, self.first_string + self.strings - 1

    @property
    def input_places(self) -> tuple[int, int]:
        """First and last of its controller inputs."""
        return self.first_input, self.first_input + self.inputs - 1


def branches_of(picture: Picture) -> list[list[Branch]]:
    """The branches of each machine of a picture."""
    return dealt(picture.sketch, picture.design)


def dealt(sketch: Sketch, design: ElectricalDesign) -> list[list[Branch]]:
    """Deal the planes' inputs out to the machines, as even as they go."""
    count = design.system.inverters
    machines: list[list[Branch]] = [[] for _ in range(count)]
    free = [sketch.equipment.controller.inputs] * count
    string = entry = 1
    for number, plan in enumerate(design.input_plans):
        left_inputs, left_strings = plan.inputs, plan.strings
        while left_inputs > 0 and left_strings > 0:
            place = max(range(count), key=lambda i: (free[i], -len(machines[i])))
            share = max(1, min(left_inputs, -(-plan.inputs // count)))
            strings = min(left_strings, -(-left_strings * share // left_inputs))
            machines[place].append(Branch(number, plan.in_series, strings, share, string, entry))
            free[place] -= share
            left_inputs, left_strings = left_inputs - share, left_strings - strings
            string, entry = string + strings, entry + share
    return machines


def most_branches(picture: Picture) -> int:
    """How many branches a machine's column has room for."""
    return int((picture.pitch - BOX_W) / BRANCH + 1e-6)


def draw_arrays(picture: Picture, branches: list[Branch], machine: int) -> None:
    """The branches of one machine, side by side."""
    for place, branch in enumerate(branches[: most_branches(picture)]):
        x = picture.pitch * machine + BRANCH * place
        port = (picture.box_x(machine), Y_BOX + BOX_H - 0.3 - PORT_STEP * place)
        _draw_branch(picture, branch, x, port)


def _draw_branch(picture: Picture, branch: Branch, x: float, port: tuple[float, float]) -> None:
    """One plane's strings, upwards from the modules, then to the machine's input."""
    pen, design = picture.pen, picture.design
    line, top = x + 0.6, Y_ARRAY + 0.9
    pen.box(PvGenerator(), (x + 0.05, Y_ARRAY), ARRAY)
    pen.wire((x + 0.12, Y_EARTH), (x + 0.12, Y_ARRAY), color=EARTH, style="--")
    pen.dot((x + 0.12, Y_EARTH), EARTH)
    words = said(
        "diagram.array",
        mark=picture.mark(f"array.{branch.plan + 1}"),
        strings=branch.strings,
        in_series=branch.in_series,
    )
    cold = design.drawn_strings[branch.plan].cold_voc_v
    voltage = said("diagram.cold", volts=ceil(cold), cold_c=Figure(digits, design.record_low_c))
    plane = design.input_plans[branch.plan].plane
    if len(plane) > LONGEST_NAME:  # more would run into the next branch; the cut is marked
        plane = plane[: LONGEST_NAME - 1].rstrip() + "…"
    pen.rows((x + 0.28, Y_ARRAY - 0.32), (plane, words, voltage))
    strings, inputs = branch.string_places, branch.input_places
    pen.text((line + 0.32, top + 0.2), picture.mark("run.string", *strings))
    fuse = picture.device("string")
    if fuse:
        pen.wire((line, top), (line, top + 0.4), color=ARRAY)
        pen.part(FuseLink(), (line, top + 0.4), (line, top + 1.3), ARRAY)
        pen.rows((line + 0.32, top + 1.05), (picture.mark("string_fuse", *strings), fuse[1]))
    else:
        pen.wire((line, top), (line, top + 1.3), color=ARRAY)
    pen.part(Isolator(), (line, top + 1.3), (line, top + 2.3), ARRAY)
    feeder = design.run("array_feeder")
    assert feeder is not None  # a string has one
    pen.rows(
        (line + 0.32, top + 2.3),
        (
            picture.mark("array_isolator", *inputs),
            f"{feeder.shown.design_a:.0f} A",
            picture.plate("array_isolator"),
        ),
    )
    pen.wire((line, top + 2.3), (line, port[1]), port, color=ARRAY)
    pen.text((line + 0.1, port[1] + 0.2), picture.mark("run.array_feeder", *inputs))
    _draw_surge(picture, inputs, x + SPD_AT, port[1])


def _draw_surge(picture: Picture, inputs: tuple[int, int], x: float, top: float) -> None:
    """The surge device at the controller's input, and its own way to earth."""
    pen = picture.pen
    pen.dot((x, top), ARRAY)
    pen.wire((x, top), (x, 9.35), color=ARRAY)
    pen.part(SurgeDevice(), (x, 9.35), (x, 8.5), ARRAY)
    pen.wire((x, 8.5), (x, 8.35), color=EARTH)
    pen.earth((x, 8.35), EARTH)
    pen.text((x + 0.28, 7.85), picture.mark("surge_array", *inputs), SMALL, "right")
