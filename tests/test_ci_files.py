"""What continuous integration and the hooks before a commit hold on to is there."""

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def _pins() -> dict[str, str]:
    lines = (ROOT / ".ci" / "constraints.txt").read_text(encoding="utf-8").split()
    return {_name(line): line.split("==")[1] for line in lines}


def _name(text: str) -> str:
    return re.split(r"[\[=<>]", text)[0].lower().replace("_", "-")


def test_the_fast_tests_are_there():
    lines = (ROOT / ".ci" / "fast-tests").read_text(encoding="utf-8").splitlines()
    listed = [line for line in lines if not line.startswith("#")]
    assert len(listed) == len(set(listed)) > 10
    assert [line for line in listed if not (ROOT / line).exists()] == []


@pytest.mark.parametrize("name", ["run", "lowest", "newest", "try-versions"])
def test_the_scripts_can_be_run(name):
    path = ROOT / ".ci" / name
    assert path.stat().st_mode & 0o111
    assert path.read_text(encoding="utf-8").startswith("#!/usr/bin/env bash\n")


def test_every_library_named_is_pinned_and_has_a_lowest_version():
    named = [*PROJECT["project"]["dependencies"], *PROJECT["dependency-groups"]["dev"]]
    pins = _pins()
    for library in named:
        lowest = re.fullmatch(r"[\w.\[\]-]+>=([\d.]+)(,<[\d.]+)?", library)
        assert lowest, library
        pinned = tuple(map(int, re.findall(r"\d+", pins[_name(library)])))
        assert pinned >= tuple(map(int, lowest[1].split("."))), library


def test_the_hooks_are_the_projects_own():
    text = (ROOT / ".pre-commit-config.yaml").read_text(encoding="utf-8")
    assert re.findall(r"repo: (\S+)", text) == ["local"]
    entries = re.findall(r"entry: (.*)", text)
    assert [entry.split()[:2] for entry in entries] == [
        [".venv/bin/ruff", "format"], [".venv/bin/ruff", "check"], [".venv/bin/mypy"],
    ]  # fmt: skip
    assert "://" not in text
