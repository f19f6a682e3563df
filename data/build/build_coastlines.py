"""Reduce Natural Earth's coastlines to the two outlines that the place map draws.

Source: Natural Earth 4.1 (public domain) as packed in the npm package `world-atlas` 2.0.2, files
`land-110m.json` (whole world) and `land-50m.json` (closer). Get them with
`npm pack world-atlas@2.0.2`, unpack, then:

    python data/build/build_coastlines.py package data/coastlines.npz

Each outline is a pair of int16 arrays in hundredths of a degree; the value -32768 parts the lines.
"""

import json
import sys
from pathlib import Path

import numpy as np

BREAK = -32768
TOLERANCE = {"world": 10, "near": 3}  # hundredths of a degree


def rings(topology: dict):
    """Rings of a TopoJSON land object as (n, 2) arrays in degrees."""
    scale, shift = (np.array(topology["transform"][key]) for key in ("scale", "translate"))
    arcs = [np.cumsum(arc, axis=0) * scale + shift for arc in topology["arcs"]]
    for geometry in topology["objects"]["land"]["geometries"]:
        shapes = geometry["arcs"] if geometry["type"] == "MultiPolygon" else [geometry["arcs"]]
        for shape in shapes:
            for ring in shape:
                parts = [arcs[a] if a >= 0 else arcs[~a][::-1] for a in ring]
                yield np.vstack([parts[0], *(part[1:] for part in parts[1:])])


def thinned(points: np.ndarray, tolerance: float) -> np.ndarray:
    """Douglas–Peucker 1973: drop points nearer than the tolerance to the line without them."""
    keep = np.zeros(len(points), bool)
    keep[[0, -1]] = True
    todo = [(0, len(points) - 1)]
    while todo:
        first, last = todo.pop()
        if last - first < 2:
            continue
        a, b, inner = points[first], points[last], points[first + 1 : last]
        chord = b - a
        length = np.hypot(*chord)
        away = inner - a
        if length == 0:
            far = np.hypot(away[:, 0], away[:, 1])
        else:
            far = np.abs(away[:, 0] * chord[1] - away[:, 1] * chord[0]) / length
        index = int(far.argmax())
        if far[index] > tolerance:
            middle = first + 1 + index
            keep[middle] = True
            todo += [(first, middle), (middle, last)]
    return points[keep]


def outline(topology: dict, tolerance: float) -> tuple[np.ndarray, np.ndarray]:
    """All rings as one broken line; the map's own edges (±180°, the pole) are no coast."""
    lines = []
    for ring in rings(topology):
        hundredths = np.round(ring * 100)
        edge = (np.abs(hundredths[:, 0]) >= 17999) | (hundredths[:, 1] <= -8990)
        for piece in np.split(hundredths, np.flatnonzero(edge)):
            inner = piece[~((np.abs(piece[:, 0]) >= 17999) | (piece[:, 1] <= -8990))]
            if len(inner) > 1:
                lines += [thinned(inner, tolerance), np.full((1, 2), BREAK)]
    whole = np.vstack(lines[:-1]).astype(np.int16)
    return whole[:, 0], whole[:, 1]


def main(folder: str, target: str) -> None:
    """Write the two outlines."""
    arrays = {}
    for name, file in (("world", "land-110m.json"), ("near", "land-50m.json")):
        topology = json.loads((Path(folder) / file).read_text("utf-8"))
        arrays[f"{name}_lon"], arrays[f"{name}_lat"] = outline(topology, TOLERANCE[name])
    np.savez_compressed(target, **arrays)


if __name__ == "__main__":
    main(*sys.argv[1:])
