"""All drawings of one answer."""

from __future__ import annotations

from offgrid_sizing.drawings.connection import connection_drawing
from offgrid_sizing.drawings.model import Drawing
from offgrid_sizing.drawings.roof import roof_drawings
from offgrid_sizing.drawings.wall import wall_drawing
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.outcome import Outcome
from offgrid_sizing.sketch import Sketch


def drawings_of(outcome: Outcome) -> tuple[Drawing, ...]:
    """Every drawing of an answer; see `design_drawings`. None where it cannot be wired.

    Parameters
    ----------
    outcome : Outcome

    Returns
    -------
    tuple of Drawing
        In no language yet: `to_svg` and `to_dxf` take one.
    """
    design = outcome.design
    return () if design is None else design_drawings(outcome.sketch, design)


def design_drawings(sketch: Sketch, design: ElectricalDesign) -> tuple[Drawing, ...]:
    """A drawing for each roof plane, the wall, and every conductor.

    Parameters
    ----------
    sketch : Sketch
    design : ElectricalDesign
        Of this sketch; its system is what is drawn.
    """
    return (
        *roof_drawings(sketch, design),
        wall_drawing(sketch, design),
        connection_drawing(sketch, design),
    )
