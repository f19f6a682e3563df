"""Skyline and obstacles on the beam and on the sky's dome."""

import numpy as np
import pytest

from offgrid_sizing.sketch import BadInput, HorizonPoint, Obstacle, Site, Sketch
from offgrid_sizing.weather.horizon import (
    beam_shade,
    horizon_elevation_deg,
    read_horizon,
    shade_factors,
    sky_view,
    sky_view_factor,
)


def _ring(height: float) -> tuple[HorizonPoint, ...]:
    return (HorizonPoint(azimuth_deg=0, elevation_deg=height),)


def _box(**values) -> Obstacle:
    return Obstacle(**{"azimuth_from_deg": 0, "azimuth_to_deg": 0, "elevation_to_deg": 90} | values)


@pytest.mark.parametrize("height", [5, 20, 45, 70])
def test_flat_plane_in_a_ring_sees_cosine_squared(height):
    """By hand: ∫ sin h cos h dh from the ring upwards over the whole is cos² of its height."""
    assert sky_view(_ring(height), (), 0, 180) == pytest.approx(
        np.cos(np.radians(height)) ** 2, abs=2e-4
    )


def test_upright_plane_loses_only_what_stands_before_it():
    behind = (_box(azimuth_from_deg=270, azimuth_to_deg=90),)
    before = (_box(azimuth_from_deg=90, azimuth_to_deg=270),)
    assert sky_view((), behind, 90, 180) == pytest.approx(1, abs=1e-9)
    assert sky_view((), before, 90, 180) == pytest.approx(0, abs=1e-9)


def test_open_sky_takes_nothing():
    azimuth, elevation = np.array([0.0, 90, 180]), np.array([1.0, 30, 60])
    assert np.all(beam_shade((), (), azimuth, elevation) == 1)
    assert sky_view((), (), 30, 180) == 1


def test_skyline_runs_straight_between_points_and_round_north():
    points = (
        HorizonPoint(azimuth_deg=350, elevation_deg=10),
        HorizonPoint(azimuth_deg=10, elevation_deg=20),
        HorizonPoint(azimuth_deg=180, elevation_deg=0),
    )
    assert horizon_elevation_deg(points, [350, 0, 10, 180, 360]) == pytest.approx(
        [10, 15, 20, 0, 15]
    )


def test_obstacles_wrap_over_north_and_let_some_light_through():
    tree = (
        _box(azimuth_from_deg=350, azimuth_to_deg=10, elevation_to_deg=40, transmittance_frac=0.5),
    )
    shade = beam_shade((), tree, np.array([355.0, 5, 15, 0]), np.array([20.0, 20, 20, 50]))
    assert shade == pytest.approx([0.5, 0.5, 1, 1])
    assert beam_shade((), tree * 2, np.array([0.0]), np.array([20.0])) == pytest.approx([0.25])


def test_sketch_functions_use_the_sketch():
    sketch = Sketch(site=Site(latitude_deg=40, longitude_deg=0), horizon=_ring(30))
    assert shade_factors(sketch, np.array([100.0, 100]), np.array([20.0, 40])) == pytest.approx(
        [0, 1]
    )
    assert sky_view_factor(sketch, 0, 180) == pytest.approx(0.75, abs=1e-3)


def test_any_shape_of_arrays():
    assert beam_shade(_ring(10), (), np.zeros((2, 3)), np.full((2, 3), 20.0)).shape == (2, 3)


@pytest.mark.parametrize(
    "content",
    [
        "azimuth,elevation\n0,5\n90,10\n180,3.5\n270,0\n",
        "# my hill\n0;5\n90;10\n180;3,5\n270;0\n",
        "Azimut\tHöhe\n0\t5\n90\t10\n180\t3.5\n-90\t0\n".encode(),
        "0 5\n90 10\n180 3.5\n270 0",
        "\ufeff0,5\r\n90,10\r\n180,3.5\r\n270,-1\r\n".encode(),
    ],
)
def test_reads_what_people_save(content):
    points = read_horizon(content)
    assert [(p.azimuth_deg, p.elevation_deg) for p in points] == [
        (0, 5),
        (90, 10),
        (180, 3.5),
        (270, 0),
    ]


def test_many_points_are_thinned_to_a_degree_keeping_the_highest():
    lines = "\n".join(f"{a / 10},{a % 10}" for a in range(3600))
    points = read_horizon(lines)
    assert len(points) <= 360
    assert max(p.elevation_deg for p in points) == 9


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "no points"),
        ("azimuth,elevation\n", "no points"),
        ("0,5\nnorth,6", "line 2"),
        ("0,5\n400,6", "azimuth must be 0 to 360"),
        ("0,95", "elevation must be 0 to 90"),
        ("0,nan", "finite"),
        ("0", "two columns"),
        (b"\x89PNG\r\n\x1a\n\x00\xff\xfe", "not text"),
        ("0,1\n" * 400_000, "1 MB"),
        ("0,=1+1", "is not a valid elevation"),
    ],
)
def test_refusals_are_one_sentence(content, words):
    with pytest.raises(BadInput, match=words) as caught:
        read_horizon(content)
    assert len(caught.value.sentences) == 1
