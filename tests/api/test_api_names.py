"""The names that other programs may hold on to, as the README lists them."""

import inspect
import re
from pathlib import Path

from offgrid_sizing import api
from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import sketch_to_json

README = Path(__file__).resolve().parents[2] / "README.md"
# Of its own it may have nothing: each name comes from the room that works it out.
HOME = {
    "BadInput": "sketch.io", "Outcome": "outcome", "Sketch": "sketch.model",
    "compared_outcome": "outcome", "demo": "demos", "hourly": "report.hourly",
    "json_schema": "sketch.io", "load_sketch": "sketch.io", "outcome": "outcome",
    "sized_outcome": "outcome", "sketch_from_dict": "sketch.io", "sketch_from_json": "sketch.io",
    "sketch_to_json": "sketch.io", "summary": "report.machine", "write_answer": "report.folder",
}  # fmt: skip


def _section() -> str:
    text = README.read_text(encoding="utf-8")
    return text.split("## From Python")[1].split("\n## ")[0]


def test_readme_lists_every_name_and_no_other():
    first = [row.split("|")[1] for row in _section().splitlines() if row.startswith("| `")]
    listed = re.findall(r"`(\w+)", " ".join(first))
    assert sorted(listed) == sorted(api.__all__) == sorted(HOME)


def test_nothing_else_leaks():
    assert sorted(name for name in dir(api) if not name.startswith("_")) == sorted(api.__all__)


def test_each_name_is_a_rooms_own_and_says_what_it_does():
    for name, home in HOME.items():
        thing = inspect.unwrap(getattr(api, name))
        assert thing.__module__ == f"offgrid_sizing.{home}", name
        assert inspect.getdoc(thing), name


def test_the_three_lines_of_the_readme_answer(tmp_path, monkeypatch, capsys):
    (tmp_path / "sketch.json").write_text(sketch_to_json(demo("farmhouse")), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    lines = _section().split("```python\n")[1].split("```")[0]
    assert sum(bool(line) for line in lines.splitlines()) == 3
    names: dict = {}
    exec(lines, names)
    said = capsys.readouterr().out.replace("\u2009", " ")
    assert said.startswith("A bank of 4 units (20.5 kWh), 12 modules (5.4 kW) and 1 inverter-charg")
    assert said.endswith(" True\n")
    assert names["answer"].wiring.ok
