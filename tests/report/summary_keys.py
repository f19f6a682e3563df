"""The keys of `summary.json`, wherever they stand; run as a script it writes them down.

Raise `SUMMARY_VERSION` first, and add a line to CHANGELOG.md: the script refuses to write another
set of keys under a number that is taken.
"""

import dataclasses
import hashlib
import json
import sys
from collections.abc import Iterator
from pathlib import Path

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import compared_outcome, drawn_outcome, sized_outcome
from offgrid_sizing.report.machine import SUMMARY_VERSION, summary_dict
from offgrid_sizing.sketch import Sketch

FILE = Path(__file__).parent / "summary_keys.json"
# What is named by the reader, by the lines of a supply or by a priority is no key.
NAMED = {"unserved_by_appliance_kwh", "connected_by_line_va", "strategies"}


def with_years(name: str, years: int) -> Sketch:
    """A demo with so many weather years."""
    raw = demo(name).model_dump()
    raw["weather"]["years"] = years
    return Sketch.model_validate(raw)


def every_way() -> dict[str, dict]:
    """Summaries that between them hold every key there is."""
    compared = compared_outcome(with_years("town_house", 1))
    late = dataclasses.replace(compared, foresight=None, no_foresight="too late")
    return {
        "drawn": summary_dict(drawn_outcome(demo("farmhouse"))),
        "compared": summary_dict(compared),
        "compared without foresight": summary_dict(late),
        "sized": summary_dict(sized_outcome(with_years("shop", 2))),
    }


def paths(value, above: str = "", *, named: bool = False) -> Iterator[str]:
    """Each key with those above it; `[]` for the items of a list, `*` for a name."""
    if isinstance(value, dict):
        for key, item in value.items():
            here = f"{above}.{'*' if named else key}".lstrip(".")
            yield here
            yield from paths(item, here, named=not named and key in NAMED)
    elif isinstance(value, list):
        for item in value:
            yield from paths(item, f"{above}[]")


def keys_of(summaries) -> list[str]:
    """The set of keys of some summaries, in order."""
    return sorted({path for summary in summaries for path in paths(summary)})


def digest(keys: list[str]) -> str:
    """What tells one set of keys from another."""
    return hashlib.sha256("\n".join(keys).encode()).hexdigest()[:16]


def main() -> None:
    """Write the keys of today under today's number."""
    known = json.loads(FILE.read_text(encoding="utf-8")) if FILE.exists() else {"digests": {}}
    keys, number = keys_of(every_way().values()), str(SUMMARY_VERSION)
    if known["digests"].get(number, digest(keys)) != digest(keys):
        sys.exit(f"SUMMARY_VERSION {number} stands for another set of keys: raise it first.")
    found = {"digests": known["digests"] | {number: digest(keys)}, "keys": keys}
    FILE.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
