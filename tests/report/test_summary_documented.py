"""The README names each key of `summary.json` of the first two levels, in the row of its part."""

import json
import re
from pathlib import Path

from summary_keys import FILE

ROOT = Path(__file__).resolve().parents[2]
ELECTRICAL = "electrical"  # its keys have tables of their own, held in test_electrical_summary.py


def rows_of(readme: str) -> dict[str, str]:
    """The README's row of each key of the first level."""
    table = readme.split("### `summary.json`", 1)[1].split("`electrical` holds", 1)[0]
    rows = {}
    for line in table.splitlines():
        if line.startswith("| `"):
            rows |= dict.fromkeys(re.findall(r"`(\w+)`", line.split("|")[1]), line)
    return rows


def unnamed(keys: list[str], rows: dict[str, str]) -> list[str]:
    """Keys that their part's row does not name; what is called by a priority's name is no key."""
    found = []
    for path in keys:
        steps = [step.removesuffix("[]") for step in path.split(".")]
        deep = 3 if steps[0] == "strategies" else 2
        if steps[0] == ELECTRICAL or len(steps) > deep or steps[-1] == "*":
            continue
        # one key of the first level is named beside another's, whose place it takes
        where = rows.get(steps[0], " ".join(rows.values()))
        if f"`{steps[-1]}`" not in where:
            found.append(path)
    return found


def test_the_readme_names_every_key_of_two_levels():
    keys = json.loads(FILE.read_text(encoding="utf-8"))["keys"]
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert unnamed(keys, rows_of(readme)) == []
    # the bill of a year and the life-cycle cost of one have names of their own, everywhere
    assert {"year.energy_cost", "money.cost_per_year", "sizing.cost_per_year"} <= set(keys)
    assert not [key for key in keys if key.endswith("year.cost_per_year")]


def test_a_key_without_a_word_is_found():
    rows = rows_of("### `summary.json`\n| `year` | `load_kwh` |\n`electrical` holds")
    keys = ["year", "year.load_kwh", "year.fuel_l", "money", "electrical.ok"]
    assert unnamed(keys, rows) == ["year.fuel_l", "money"]
