"""Skyline and near obstacles: what they take from the beam and from the sky's dome."""

import csv
import io

import numpy as np

from offgrid_sizing.sketch import BadInput, HorizonPoint, Obstacle, Sketch
from offgrid_sizing.text_files import decoded
from offgrid_sizing.words import Said, said, sentence

MAX_POINTS = 360
MAX_CSV_BYTES = 1_000_000


def horizon_elevation_deg(horizon: tuple[HorizonPoint, ...], azimuth_deg) -> np.ndarray:
    """Height of the skyline towards each azimuth, straight between points round the compass.

    Several points of one azimuth count as the highest. [deg]
    """
    azimuth = np.asarray(azimuth_deg, dtype=float) % 360
    if not horizon:
        return np.zeros_like(azimuth)
    highest: dict[float, float] = {}
    for point in horizon:
        at = point.azimuth_deg % 360
        highest[at] = max(highest.get(at, 0.0), point.elevation_deg)
    around = sorted(highest)
    return np.interp(azimuth, around, [highest[one] for one in around], period=360)


def _inside(obstacle: Obstacle, azimuth: np.ndarray, elevation: np.ndarray) -> np.ndarray:
    start, end = obstacle.azimuth_from_deg % 360, obstacle.azimuth_to_deg % 360
    width = 360.0 if start == end else (end - start) % 360
    within = (azimuth - start) % 360 <= width
    low, high = sorted((obstacle.elevation_from_deg, obstacle.elevation_to_deg))
    return within & (elevation >= low) & (elevation <= high)


def beam_shade(
    horizon: tuple[HorizonPoint, ...], obstacles: tuple[Obstacle, ...], azimuth_deg, elevation_deg
) -> np.ndarray:
    """Share of the beam that passes, 1 in the open and 0 behind the skyline.

    Parameters
    ----------
    horizon, obstacles : tuples of the sketch's models
        Obstacles wrap over north where their first azimuth is the larger; where they overlap,
        their transmittances multiply.
    azimuth_deg, elevation_deg : arrays of one shape
        The sun's, azimuth clockwise from north. [deg]
    """
    elevation = np.asarray(elevation_deg, dtype=float)
    azimuth = np.broadcast_to(np.asarray(azimuth_deg, dtype=float) % 360, elevation.shape)
    passes = np.ones(elevation.shape)
    if horizon:
        passes[elevation < horizon_elevation_deg(horizon, azimuth)] = 0.0
    for obstacle in obstacles:
        passes[_inside(obstacle, azimuth, elevation)] *= obstacle.transmittance_frac
    return passes


def sky_view(
    horizon: tuple[HorizonPoint, ...],
    obstacles: tuple[Obstacle, ...],
    tilt_deg: float,
    azimuth_deg: float,
) -> float:
    """Share of the isotropic sky's light on a plane that skyline and obstacles let through.

    Notes
    -----
    Integral of cos(incidence) over the part of the dome in front of the plane, obstructed over
    open, on a grid of 1° by 3°. For a flat plane and a skyline of even height h it is cos²h.
    """
    if not horizon and not obstacles:
        return 1.0
    heights, bearings = np.arange(0.5, 90), np.arange(1.5, 360, 3)
    elevation, azimuth = (a.ravel() for a in np.meshgrid(heights, bearings, indexing="ij"))
    up, tilt = np.radians(elevation), np.radians(tilt_deg)
    towards = np.cos(np.radians(azimuth - azimuth_deg))
    incidence = np.sin(up) * np.cos(tilt) + np.cos(up) * np.sin(tilt) * towards
    weight = np.maximum(incidence, 0) * np.cos(up)
    passes = beam_shade(horizon, obstacles, azimuth, elevation)
    return float((weight * passes).sum() / weight.sum())


def shade_factors(sketch: Sketch, solar_azimuth, solar_elevation) -> np.ndarray:
    """Share of the beam that reaches the sketch's roof, for each position of the sun. [deg]"""
    return beam_shade(sketch.horizon, sketch.obstacles, solar_azimuth, solar_elevation)


def sky_view_factor(sketch: Sketch, tilt_deg: float, azimuth_deg: float) -> float:
    """Share of the sky's diffuse light that reaches one plane of the sketch."""
    return sky_view(sketch.horizon, sketch.obstacles, tilt_deg, azimuth_deg)


def _number(text: str, line: int, what: str) -> float:
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        raise BadInput(
            sentence(
                "weather.horizon.no_number", line=line, text=text.strip()[:20], what=_named(what)
            )
        ) from None
    if not np.isfinite(value):
        raise BadInput(sentence("weather.horizon.not_finite", line=line, what=_named(what)))
    return value


def _named(what: str) -> Said:
    return said(f"weather.horizon.{what}")


def _point(cells: list[str], line: int) -> HorizonPoint:
    azimuth, elevation = _number(cells[0], line, "azimuth"), _number(cells[1], line, "elevation")
    if not -180 <= azimuth <= 360:
        raise BadInput(sentence("weather.horizon.azimuth_range", line=line, value=azimuth))
    if not -10 <= elevation <= 90:
        raise BadInput(sentence("weather.horizon.elevation_range", line=line, value=elevation))
    return HorizonPoint(azimuth_deg=azimuth % 360, elevation_deg=max(elevation, 0.0))


def _thin(points: tuple[HorizonPoint, ...]) -> tuple[HorizonPoint, ...]:
    """At most one point a degree: the highest of each."""
    if len(points) <= MAX_POINTS:
        return points
    best: dict[int, float] = {}
    for point in points:
        degree = round(point.azimuth_deg) % 360
        best[degree] = max(best.get(degree, 0.0), point.elevation_deg)
    return tuple(
        HorizonPoint(azimuth_deg=degree, elevation_deg=best[degree]) for degree in sorted(best)
    )


def read_horizon(content: bytes | str) -> tuple[HorizonPoint, ...]:
    """Skyline from a CSV of two columns, azimuth (clockwise from north) and elevation in degrees.

    A heading line, comment lines with #, and comma, semicolon, tab or spaces between the columns
    are understood; azimuths of -180 to 0 count as west of north.

    Raises
    ------
    BadInput
        Naming the line that cannot be read.
    """
    if len(content) > MAX_CSV_BYTES:
        raise BadInput(sentence("weather.horizon.too_large"))
    text = decoded(content) if isinstance(content, bytes) else content
    if "\x00" in text:
        raise BadInput(sentence("weather.horizon.no_text"))
    points: list[HorizonPoint] = []
    headed = False
    for line, row in enumerate(io.StringIO(text), start=1):
        if not row.strip() or row.lstrip().startswith("#"):
            continue
        separator = next((s for s in (";", "\t", ",") if s in row), " ")
        cells = next(csv.reader([row.strip()], delimiter=separator, skipinitialspace=True))
        if len(cells) < 2:
            raise BadInput(sentence("weather.horizon.one_column", line=line))
        if not points and not headed and not cells[0].strip().lstrip("+-.")[:1].isdigit():
            headed = True
            continue
        points.append(_point(cells, line))
    if not points:
        raise BadInput(sentence("weather.horizon.no_points"))
    return _thin(tuple(sorted(points, key=lambda p: p.azimuth_deg)))
