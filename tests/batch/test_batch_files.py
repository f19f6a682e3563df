"""Files that tables and folders of sites name: own ones are used, others are refused row by row."""

import csv
import json

import pandas as pd
import pytest
from hostile_names import LETTERS, THINGS, made

from offgrid_sizing.batch import Cores, run_batch
from offgrid_sizing.demos import demo
from offgrid_sizing.simulation import inputs_of

FIELDS = {"weather.file": "weather.source", "loads.metered.file": "loads.metered.use"}
VALUES = {"weather.file": "file", "loads.metered.file": "replace"}


def read(sketch, *, base_dir=None) -> dict:
    """As much of a solution as reads the files; a worker's function."""
    return {"daily_kwh": inputs_of(sketch, base_dir=base_dir).loads.daily_kwh}


def template(folder):
    raw = demo("farmhouse").model_dump(mode="json")
    raw["weather"]["years"] = 1
    path = folder / "template.json"
    path.write_text(json.dumps(raw))
    return path


def said(out) -> dict[str, dict]:
    with (out / "results.csv").open(encoding="utf-8", newline="") as file:
        return {row["name"]: row for row in csv.DictReader(file)}


def load_file(path):
    path.parent.mkdir(parents=True, exist_ok=True)
    hours = pd.date_range("2025-01-01", periods=8760, freq="h")
    pd.DataFrame({"time": hours, "load_w": 500.0}).to_csv(path, index=False)


@pytest.mark.parametrize("field", FIELDS)
def test_a_row_with_a_hostile_name_is_refused_and_the_others_go_on(tmp_path, field):
    home, out = tmp_path / "home", tmp_path / "out"
    home.mkdir()
    load_file(home / "own.csv")
    # a NUL in a table is refused before any row is read
    names = {kind: name for kind, (name, _) in LETTERS.items() if "\0" not in name}
    names |= {kind: made(home, kind) for kind in THINGS}
    with (home / "sites.csv").open("w", newline="") as file:
        table = csv.writer(file)
        table.writerow(["name", "latitude", "longitude", FIELDS[field], field])
        for kind, name in names.items():
            table.writerow([kind, 10, 10, VALUES[field], name])
        table.writerow(["plain", 10, 10, "climate" if field == "weather.file" else "", ""])
    result = run_batch(home / "sites.csv", out, template=template(home), where=Cores(1), solve=read)
    assert (result.solved, len(result.refused)) == (1, len(names))
    rows = said(out)
    assert rows.pop("plain")["status"] == "solved"
    for kind, row in rows.items():
        words = LETTERS[kind][1] if kind in LETTERS else THINGS[kind][1]
        assert row["status"] == "refused", kind
        assert words in row["sentence"], kind
        assert row["sentence"].startswith(f"{field}: ")
        assert "\n" not in row["sentence"]


def test_an_own_file_is_found_beside_table_or_template(tmp_path):
    load_file(tmp_path / "meters" / "a.csv")
    (tmp_path / "sites.csv").write_text(
        "name,latitude,longitude,weather.years,loads.metered.file\nA,10,10,1,meters/a.csv\n"
    )
    run_batch(tmp_path / "sites.csv", tmp_path / "out", where=Cores(1), solve=read)
    assert float(said(tmp_path / "out")["A"]["daily_kwh"]) == pytest.approx(12, rel=1e-6)

    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "sites.csv").rename(tmp_path / "elsewhere" / "sites.csv")
    run_batch(
        tmp_path / "elsewhere" / "sites.csv", tmp_path / "there", template=template(tmp_path),
        where=Cores(1), solve=read,
    )  # fmt: skip
    assert said(tmp_path / "there")["A"]["status"] == "solved"


def test_a_folder_of_sketches_is_read_within_itself(tmp_path):
    home, out = tmp_path / "home", tmp_path / "out"
    home.mkdir()
    plain = template(tmp_path).read_text()
    (home / "plain.json").write_text(plain)
    for kind, (name, _) in LETTERS.items():
        raw = json.loads(plain)
        raw["site"]["name"] = kind
        raw["loads"]["metered"] = {"file": name}
        (home / f"{kind}.json").write_text(json.dumps(raw))
    for kind in THINGS:
        raw["site"]["name"] = kind
        raw["loads"]["metered"]["file"] = made(home, kind)
        (home / f"{kind}.json").write_text(json.dumps(raw))
    result = run_batch(home, out, where=Cores(1), solve=read)
    assert result.solved == 1
    rows = said(out)
    for kind, (_, words) in (LETTERS | THINGS).items():
        assert rows[kind]["status"] == "refused"
        assert words in rows[kind]["sentence"], kind


@pytest.mark.parametrize("kind", ["link out", "pipe", "link to itself", "folder"])
def test_a_sketch_that_is_no_file_of_its_folder_is_a_bad_row(tmp_path, kind):
    home = tmp_path / "home"
    home.mkdir()
    (home / "plain.json").write_text(template(tmp_path).read_text())
    (home / made(home, kind)).rename(home / "odd.json")
    if kind == "link to itself":
        (home / "odd.json").unlink()
        (home / "odd.json").symlink_to("odd.json")
    result = run_batch(home, tmp_path / "out", where=Cores(1), solve=read)
    (refused,) = result.refused
    assert refused.row == "odd.json"
    assert THINGS[kind][1] in refused.sentence
    assert result.solved == 1
