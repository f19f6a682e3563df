"""What waits for ever is no file; a power factor near nought would make a load endless."""

import os

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import BadInput, SketchError, read_sketch, sketch_from_dict
from offgrid_sizing.weather.files import read_bytes

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes with names")


@pytest.fixture
def pipe(tmp_path):
    os.mkfifo(tmp_path / "home.json")
    return tmp_path / "home.json"


def test_a_pipe_is_no_sketch(pipe):
    with pytest.raises(
        SketchError, match=r"home\.json is not an ordinary file: name a sketch file"
    ):
        read_sketch(pipe)


def test_a_pipe_is_no_weather(pipe):
    with pytest.raises(BadInput, match=r"home\.json is not an ordinary file: name a weather file"):
        read_bytes(pipe)


def test_nothing_there_is_said_as_before(tmp_path):
    with pytest.raises(SketchError, match="there is no file"):
        read_sketch(tmp_path / "none.json")


@pytest.mark.parametrize("factor", [1e-300, 0.09])
def test_a_power_factor_below_a_tenth_is_refused_with_its_place(factor):
    raw = demo("farmhouse").model_dump(mode="json")
    raw["loads"]["appliances"][0]["power_factor"] = factor
    with pytest.raises(SketchError, match=r"loads\.appliances\[0\]\.power_factor"):
        sketch_from_dict(raw)


def test_a_tenth_is_believed():
    raw = demo("farmhouse").model_dump(mode="json")
    raw["loads"]["appliances"][0]["power_factor"] = 0.1
    assert sketch_from_dict(raw).loads.appliances[0].power_factor == 0.1
