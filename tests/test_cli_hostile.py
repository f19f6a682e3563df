"""Names that try to be code, from the command line: the terminal shows them and does nothing."""

import csv
import json
import re

import pandas as pd
import pytest
from click.testing import CliRunner
from hostile_sketch import TEXTS, hostile

from offgrid_sizing.cli import main
from offgrid_sizing.sketch import sketch_to_json

STEERS = re.compile(
    r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069]"
)


def run(*arguments):
    """As at a terminal: nothing is taken out of what is written."""
    result = CliRunner().invoke(main, [str(argument) for argument in arguments], color=True)
    assert not STEERS.search(result.stdout)
    assert not STEERS.search(result.stderr)
    return result


@pytest.mark.parametrize("verb", ["simulate", "size", "compare"])
def test_an_answer(tmp_path, verb):
    sketch = hostile(17)[0]  # its title tries to steer the terminal
    fields = {"weather": sketch.weather.model_copy(update={"years": 1})}
    fields["targets"] = sketch.targets.model_copy(update={"max_units": 4, "max_modules": 16})
    (tmp_path / "s.json").write_text(sketch_to_json(sketch.model_copy(update=fields)))
    result = run(verb, tmp_path / "s.json", "-o", tmp_path / "out")
    assert result.exit_code == 0, result.stderr
    assert json.loads((tmp_path / "out" / "summary.json").read_text())["title"] == sketch.title


@pytest.mark.parametrize("verb", ["offer", "owner", "crew", "drawings"])
def test_a_paper_of_two_pages(verb, tmp_path):
    (tmp_path / "s.json").write_text(sketch_to_json(hostile(17)[0]))
    result = run(verb, tmp_path / "s.json", "-o", tmp_path / "out")
    assert result.exit_code == 0, result.stderr
    assert (tmp_path / "out" / f"{verb}.pdf").read_bytes().startswith(b"%PDF")


def test_batch_progress_and_refused_rows(tmp_path):
    typed = [text.replace("\0", "") for text in TEXTS]
    with (tmp_path / "sites.csv").open("w", encoding="utf-8", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(["name", "latitude", "longitude", "loads.metered.file"])
        rows.writerows([text, text, 10, ""] for text in typed)
        rows.writerows([text, 10, 10, text] for text in typed)
    result = run("batch", tmp_path / "sites.csv", "-o", tmp_path / "out", "--workers", 1)
    assert result.exit_code == 0, result.stderr
    assert f"0 solved, 0 kept from before, {2 * len(TEXTS)} refused" in result.stdout
    assert len([line for line in result.stderr.split("\n") if line.startswith("row ")]) == 44


def test_a_meters_report_and_clean_file(tmp_path):
    """Headings come from the file: shown, said and mapped by what they are."""
    hours = pd.date_range("2025-01-01", periods=24 * 9, freq="h")
    for number, text in enumerate(TEXTS):
        head = f"a {text} kWh".replace("\0", "")
        path = tmp_path / f"m{number}.csv"
        pd.DataFrame({"time": hours, head: 0.4}).to_csv(path, index=False)
        result = run("meter", path, "-o", tmp_path / "clean.csv")
        if result.exit_code:  # a heading of several lines is no heading
            assert "\n" in text or "\r" in text
            assert result.exit_code == 2
            continue
        assert json.loads(result.stdout)["daily_kwh"] == pytest.approx(9.6)
        clean = pd.read_csv(tmp_path / "clean.csv")
        assert list(clean.columns) == ["time", "load_w", "filled"]
        assert clean.load_w.to_numpy() == pytest.approx(400)


@pytest.mark.parametrize("text", TEXTS)
def test_a_column_that_is_not_there_is_said(tmp_path, text):
    hours = pd.date_range("2025-01-01", periods=24 * 9, freq="h")
    pd.DataFrame({"time": hours, "kwh": 0.4}).to_csv(tmp_path / "m.csv", index=False)
    result = run("meter", tmp_path / "m.csv", "--column-map", f"time=time,value=x {text}")
    assert result.exit_code == 2
    assert len(result.stderr.splitlines()) == 1


def test_json_stays_json_and_says_what_was_there(capsys):
    from offgrid_sizing.console import answer_json

    report = {"a\x9b": ["\x07\u202e\x85", "Ünï 屋根", {"n": 1.5}]}
    answer_json(report)
    text = capsys.readouterr().out
    assert not STEERS.search(text)
    assert json.loads(text) == report
    assert "Ünï 屋根" in text
