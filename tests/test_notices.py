"""Every file that is shipped stands in `data/NOTICES.md`, with its source and its terms."""

import re
import tomllib
from fnmatch import fnmatchcase
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
TEXT = (ROOT / "data" / "NOTICES.md").read_text(encoding="utf-8")


def _rows(title: str) -> list[list[str]]:
    """Cells of a section's table: files, what, source, terms."""
    section = TEXT.split(f"## {title}\n")[1].split("\n## ")[0]
    rows = [line.strip("| ").split(" | ") for line in section.splitlines() if line[:3] == "| `"]
    assert all(len(row) == 4 and all(row) for row in rows)
    return rows


def _patterns(title: str) -> list[str]:
    return [pattern for row in _rows(title) for pattern in re.findall(r"`([^`]+)`", row[0])]


def _files(folder: str) -> list[str]:
    at = ROOT / folder
    files = (path.relative_to(at) for path in at.rglob("*") if path.is_file())
    return sorted(path.as_posix() for path in files if "__pycache__" not in path.parts)


def _covered(name: str, patterns: list[str]) -> list[str]:
    return [
        pattern
        for pattern in patterns
        if fnmatchcase(name, pattern) and name.count("/") == pattern.count("/")
    ]


@pytest.mark.parametrize(
    ("title", "folder"), [("Data", "data"), ("In the package", "offgrid_sizing")]
)
def test_every_shipped_file_is_covered_once_and_no_row_is_idle(title, folder):
    patterns = _patterns(title)
    files = [name for name in _files(folder) if folder == "data" or not name.endswith(".py")]
    assert len(files) >= 40
    assert {name: len(_covered(name, patterns)) for name in files} == dict.fromkeys(files, 1)
    assert [p for p in patterns if not any(_covered(name, [p]) for name in files)] == []


def test_a_stray_file_would_be_seen():
    patterns = _patterns("Data") + _patterns("In the package")
    for stray in ("fonts/Other.ttf", "more.npz", "words/en/deep/x.toml", "ui/vendored.js"):
        assert _covered(stray, patterns) == []


@pytest.mark.parametrize(
    "said",
    [
        "Contains modified Copernicus Climate Change Service information 2000-2025",
        "Creative Commons Attribution 4.0 International License",
        "SIL Open Font License 1.1",
        "Gelaro et al. 2017",
        "public domain",
    ],
)
def test_the_words_that_a_licence_asks_for_are_there(said):
    assert said in TEXT


def test_the_typeface_comes_with_its_licence():
    licence = (ROOT / "data" / "fonts" / "OFL.txt").read_text(encoding="utf-8")
    assert licence.startswith("Copyright 2010, 2012, 2014 Adobe Systems Incorporated")
    assert "SIL OPEN FONT LICENSE Version 1.1" in licence
    for path in (ROOT / "data" / "fonts").glob("*.ttf"):
        assert "Adobe Systems Incorporated".encode("utf-16-be") in path.read_bytes()


def test_the_notices_and_the_types_travel_with_the_package():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    wheel = project["tool"]["hatch"]["build"]["targets"]["wheel"]
    assert wheel["force-include"]["data"] == "offgrid_sizing/data"
    assert wheel["packages"] == ["offgrid_sizing"]
    assert project["project"]["license-files"] == ["data/NOTICES.md", "data/fonts/OFL.txt"]
    assert (ROOT / "offgrid_sizing" / "py.typed").is_file()


def test_each_data_file_is_described_too():
    text = (ROOT / "data" / "README.md").read_text(encoding="utf-8")
    for name in {name.split("/")[0] for name in _files("data")} - {"README.md", "build"}:
        assert name in text, name
