"""Drawings of one system, to scale and to connect by, as SVG and as DXF."""

from offgrid_sizing.drawings.dxf import to_dxf
from offgrid_sizing.drawings.made import design_drawings, drawings_of
from offgrid_sizing.drawings.model import Drawing
from offgrid_sizing.drawings.svg import to_svg

__all__ = ["Drawing", "design_drawings", "drawings_of", "to_dxf", "to_svg"]
