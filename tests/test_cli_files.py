"""Files that sketches name, from the command line: own ones work, all others are one sentence."""

import json
import shutil
from pathlib import Path

import pandas as pd
import pvlib
import pytest
from click.testing import CliRunner
from hostile_names import LETTERS, THINGS, made

from offgrid_sizing.cli import main
from offgrid_sizing.demos import demo

TMY3 = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"


def run(*arguments):
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def sketch_naming(folder, weather=None, meter=None):
    """The farmhouse in a folder of its own, with files by those names."""
    raw = demo("farmhouse").model_dump(mode="json")
    raw["weather"]["years"] = 1
    if weather is not None:
        raw["weather"] |= {"source": "file", "file": weather}
    if meter is not None:
        raw["loads"]["metered"] = {"file": meter}
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "sketch.json"
    path.write_text(json.dumps(raw))
    return path


def meter_file(path):
    path.parent.mkdir(parents=True, exist_ok=True)
    hours = pd.date_range("2025-01-01", periods=8760, freq="h")
    pd.DataFrame({"time": hours, "load_w": 400.0}).to_csv(path, index=False)


@pytest.mark.parametrize("field", ["weather", "meter"])
@pytest.mark.parametrize("kind", [*LETTERS, *THINGS])
def test_a_hostile_name_is_one_sentence_and_nothing_is_written(tmp_path, kind, field):
    home, out = tmp_path / "home", tmp_path / "out"
    home.mkdir()
    name, words = LETTERS[kind] if kind in LETTERS else (made(home, kind), THINGS[kind][1])
    result = run("simulate", sketch_naming(home, **{field: name}), "-o", out)
    assert result.exit_code == 2
    told = [line for line in result.stderr.splitlines() if line != "weather and loads"]
    assert len(told) == 1
    assert words in told[0]
    assert told[0].startswith("weather.file: " if field == "weather" else "loads.metered.file: ")
    assert list(out.iterdir()) == []


def test_own_files_work_and_come_along_with_the_answer(tmp_path):
    home, out, again = tmp_path / "home", tmp_path / "out", tmp_path / "again"
    sketch = sketch_naming(home, weather="sun/typical.csv", meter="typical.csv")
    (home / "sun").mkdir()
    shutil.copy(TMY3, home / "sun" / "typical.csv")
    meter_file(home / "typical.csv")
    first = run("simulate", sketch, "-o", out)
    assert first.exit_code == 0, first.stderr
    named = json.loads((out / "sketch.json").read_text())
    assert named["weather"]["file"] == "files/weather/typical.csv"
    assert named["loads"]["metered"]["file"] == "files/metered/typical.csv"
    assert (out / "files" / "weather" / "typical.csv").read_bytes() == TMY3.read_bytes()
    shutil.rmtree(home)  # the answer's sketch needs nothing from where it came
    second = run("simulate", out / "sketch.json", "-o", again)
    assert second.exit_code == 0, second.stderr
    assert (again / "hourly.csv").read_bytes() == (out / "hourly.csv").read_bytes()
    assert (again / "sketch.json").read_bytes() == (out / "sketch.json").read_bytes()


def test_an_answer_beside_its_sketch_copies_nothing_and_overwrites_no_input(tmp_path):
    meter_file(tmp_path / "load.csv")
    sketch = sketch_naming(tmp_path / "below", meter="load.csv")
    meter_file(tmp_path / "below" / "load.csv")
    done = run("simulate", sketch, "-o", tmp_path)
    assert done.exit_code == 0, done.stderr
    named = json.loads((tmp_path / "sketch.json").read_text())
    assert named["loads"]["metered"]["file"] == "below/load.csv"
    assert not (tmp_path / "files").exists()

    meter_file(tmp_path / "own" / "hourly.csv")
    before = (tmp_path / "own" / "hourly.csv").read_bytes()
    refused = run(
        "simulate", sketch_naming(tmp_path / "own", meter="hourly.csv"), "-o", tmp_path / "own"
    )
    assert refused.exit_code == 2
    assert "“hourly.csv” would be overwritten" in refused.stderr
    assert (tmp_path / "own" / "hourly.csv").read_bytes() == before
    assert not (tmp_path / "own" / "summary.json").exists()


@pytest.mark.parametrize(
    "zone", ["/etc/passwd", "../../etc/passwd", "..", "Europe", "a\0b", "\\\\s"]
)
def test_a_time_zone_is_no_way_to_a_file(tmp_path, zone):
    raw = demo("farmhouse").model_dump(mode="json")
    raw["weather"]["years"] = 1
    raw["site"]["civil_zone"] = zone
    (tmp_path / "s.json").write_text(json.dumps(raw))
    result = run("simulate", tmp_path / "s.json", "-o", tmp_path / "out")
    assert result.exit_code == 2
    assert "is not a time zone: use a name such as Europe/Rome" in result.stderr
    assert len([one for one in result.stderr.splitlines() if one != "weather and loads"]) == 1


@pytest.mark.parametrize(
    "column", ["/etc/passwd", "../m.csv", "@/etc/passwd", "file:///etc/passwd"]
)
def test_a_column_map_names_columns_and_no_file(tmp_path, column):
    meter_file(tmp_path / "m.csv")
    result = run("meter", tmp_path / "m.csv", "--column-map", f"time=time,value={column}")
    assert result.exit_code == 2
    (told,) = result.stderr.splitlines()
    assert f"m.csv has no column '{column}': it has 'time', 'load_w'" in told


@pytest.mark.parametrize("name", ["../farmhouse", "/etc/passwd", "farmhouse.json", "x" * 5000])
def test_a_demo_is_no_way_to_a_file(name):
    result = run("demo", name)
    assert result.exit_code == 2
    assert "choose one of farmhouse, town_house, shop" in result.stderr
