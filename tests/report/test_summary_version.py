"""`summary.json` carries a number that changes with its keys."""

import json
import re
from pathlib import Path

import pytest
import summary_keys

from offgrid_sizing.report.machine import SUMMARY_VERSION

ROOT = Path(__file__).resolve().parents[2]
KNOWN = json.loads(summary_keys.FILE.read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def summaries():
    return summary_keys.every_way()


def test_the_keys_are_those_of_the_number(summaries):
    keys = summary_keys.keys_of(summaries.values())
    gone, new = set(KNOWN["keys"]) - set(keys), set(keys) - set(KNOWN["keys"])
    assert (gone, new) == (set(), set()), "raise SUMMARY_VERSION, then run summary_keys.py"
    assert KNOWN["digests"][str(SUMMARY_VERSION)] == summary_keys.digest(keys)


def test_every_summary_carries_the_number_first(summaries):
    for summary in summaries.values():
        assert next(iter(summary.items())) == ("schema_version", SUMMARY_VERSION)


def test_the_number_is_the_newest_and_each_stands_for_a_set_of_its_own():
    numbers = sorted(int(number) for number in KNOWN["digests"])
    assert numbers == list(range(1, SUMMARY_VERSION + 1))
    assert len(set(KNOWN["digests"].values())) == len(numbers)


def test_the_list_of_changes_names_the_number():
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    named = [int(n) for n in re.findall(r"`schema_version`,? (?:is now )?(\d+)", text)]
    assert max(named) == SUMMARY_VERSION


def test_paths_tell_keys_from_names():
    told = {"a": [{"b": 1}, {"c": {"d": 2}}], "strategies": {"pv_first": {"e": 3}}}
    assert summary_keys.keys_of([told]) == [
        "a", "a[].b", "a[].c", "a[].c.d", "strategies", "strategies.*", "strategies.*.e",
    ]  # fmt: skip


def test_a_key_more_is_another_set():
    assert summary_keys.digest(["a"]) != summary_keys.digest(["a", "b"])
