"""The map: coasts where they are, every place can be clicked, nothing is fetched."""

import hashlib
import json

import numpy as np
import pytest

from offgrid_sizing.paths import data_dir
from offgrid_sizing.ui.charts import worldmap
from offgrid_sizing.ui.charts.worldmap import View, map_figure


def test_the_shipped_outline_is_the_one_that_was_built():
    file = data_dir() / "coastlines.npz"
    assert file.stat().st_size < 300_000
    with np.load(file) as stored:
        digest = hashlib.sha256(b"".join(stored[name].tobytes() for name in sorted(stored)))
    assert digest.hexdigest() == DIGEST


DIGEST = "3e529157a4a20e98f62b3c0a3f62e6c4f96d70256f8b691c1e2b51cd98c10637"


# Capes and tips of land, from memory, to a tenth of a degree: a slip in sign, order or scale of
# the outline moves them by far more than the 0.5° allowed.
@pytest.mark.parametrize(
    ("name", "latitude", "longitude"),
    [
        ("Cape Agulhas", -34.8, 20.0),
        ("North Cape", 71.2, 25.8),
        ("Cabo da Roca", 38.8, -9.5),
        ("Cape York", -10.7, 142.5),
        ("Cape Comorin", 8.1, 77.5),
        ("South-East Cape of Tasmania", -43.6, 146.8),
        ("Cape Sable, Florida", 25.1, -81.1),
        ("Punta Gallinas", 12.5, -71.7),
    ],
)
@pytest.mark.parametrize(("detail", "within"), [("near", 0.3), ("world", 1.2)])
def test_capes_lie_on_the_coast(name, latitude, longitude, detail, within):
    lon, lat = worldmap.coastline(detail)
    away = np.hypot((lon - longitude) * np.cos(np.radians(latitude)), lat - latitude)
    assert np.nanmin(away) < within, name


def test_no_line_runs_across_the_map():
    for view in (View(), View(36, -80, 1), View(65, 179.5, 1), View(-17, 178, 2)):
        lon, lat = worldmap._coast_in(view)
        steps = np.hypot(np.diff(lon), np.diff(lat))
        longest = np.nanmax(steps) if np.isfinite(steps).any() else 0
        assert longest < 15, view


@pytest.mark.parametrize("view", [View(), View(36, -80, 1), View(36, -80, 2), View(89, 0, 1)])
def test_a_click_finds_a_point_within_half_a_step(view):
    x, y = worldmap._grid(view)
    west, east, south, north = view.box
    step = worldmap.LEVELS[view.level][1]
    assert 0 < len(x) < 8000
    for lon in np.linspace(west, east, 7):
        for lat in np.linspace(south, north, 5):
            assert np.min(np.maximum(abs(x - lon), abs(y - lat))) <= step + 1e-3


def test_three_clicks_come_to_a_tenth_of_a_degree():
    view = View().closer(36, -81).closer(36.5, -80)
    assert view.level == 2
    assert view.closer(1, 1).level == 2
    assert worldmap.LEVELS[2][1] == 0.1


@pytest.mark.parametrize("dark", [False, True])
def test_the_figure_asks_nobody(dark):
    chart = json.loads(map_figure(View(), 36, -80, dark=dark).to_json())
    assert {trace["type"] for trace in chart["data"]} == {"scatter"}
    assert {"geo", "mapbox", "map"} & set(chart["layout"]) == set()


def test_the_chosen_place_is_ringed_on_either_side_of_the_date_line():
    ring = map_figure(View(-17, 179, 1), -17, -179.5, dark=False).data[2]
    assert ring.x[0] == pytest.approx(180.5)
