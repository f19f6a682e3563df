"""Places by name, by coordinates, and their height and clock: offline."""

from offgrid_sizing.places.coordinates import parse_coordinates
from offgrid_sizing.places.gazetteer import Place
from offgrid_sizing.places.ground import altitude_m, standard_offset_h
from offgrid_sizing.places.search import clock_of, nearest_place, search_places

__all__ = [
    "Place",
    "altitude_m",
    "clock_of",
    "nearest_place",
    "parse_coordinates",
    "search_places",
    "standard_offset_h",
]
