"""A name in a sketch leads to an ordinary file of the sketch's folder, or to one sentence."""

import os
import typing

import pytest
from hostile_names import LETTERS, THINGS, made
from pydantic import BaseModel

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import BadInput, Sketch, file_inside, named_files, with_names


def refused(folder, name) -> str:
    with pytest.raises(BadInput) as caught:
        file_inside(folder, name, "weather.file")
    (sentence,) = caught.value.sentences
    assert sentence.startswith("weather.file: ")
    assert sentence.endswith(".")
    assert "\n" not in sentence
    return sentence


@pytest.mark.parametrize("kind", LETTERS)
def test_a_hostile_name_is_refused(tmp_path, kind):
    name, words = LETTERS[kind]
    assert words in refused(tmp_path, name)


@pytest.mark.parametrize("kind", THINGS)
def test_what_is_no_ordinary_file_of_the_folder_is_refused(tmp_path, kind):
    folder = tmp_path / "home"
    folder.mkdir()
    assert THINGS[kind][1] in refused(folder, made(folder, kind))


@pytest.mark.parametrize("name", ["a.csv", "deep/down/a.csv", "deep/./a.csv", "Ü n ï;'=1+1.csv"])
def test_an_own_file_is_found_whatever_folder_one_stands_in(tmp_path, monkeypatch, name):
    path = tmp_path / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("x")
    assert file_inside(tmp_path, name, "f").samefile(path)
    assert file_inside(str(tmp_path), name, "f").samefile(path)
    monkeypatch.chdir(tmp_path)
    assert file_inside(None, name, "f").samefile(path)


def test_links_within_the_folder_are_followed_and_the_folder_may_be_one(tmp_path):
    home, link = tmp_path / "home", tmp_path / "link"
    home.mkdir()
    (home / "a.csv").write_text("x")
    (home / "b.csv").symlink_to(home / "a.csv")
    link.symlink_to(home, target_is_directory=True)
    assert file_inside(link, "b.csv", "f") == (home / "a.csv").resolve()


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may read all")
def test_a_file_nobody_may_look_for_is_one_sentence(tmp_path):
    (tmp_path / "shut").mkdir(mode=0o000)
    assert "cannot be read: Permission denied" in refused(tmp_path, "shut/a.csv")


def file_fields(model: type[BaseModel], before: str = "") -> set[str]:
    """Text fields called `file` or `…_file` or `…_path`, wherever they stand."""
    found = set()
    for name, info in model.model_fields.items():
        kinds = [info.annotation]
        while kinds:
            kind = kinds.pop()
            kinds += typing.get_args(kind)
            if isinstance(kind, type) and issubclass(kind, BaseModel):
                found |= file_fields(kind, f"{before}{name}.")
            elif kind is str and name.split("_")[-1] in ("file", "path", "folder"):
                found.add(f"{before}{name}")
    return found


def test_every_field_that_names_a_file_is_known():
    raw = demo("farmhouse").model_dump(mode="json")
    raw["weather"] |= {"source": "file", "file": "a.csv"}
    raw["loads"]["metered"] = {"file": "b.csv"}
    sketch = Sketch.model_validate(raw)
    assert named_files(sketch) == {"weather.file": "a.csv", "loads.metered.file": "b.csv"}
    assert set(named_files(sketch)) == file_fields(Sketch)
    again = with_names(sketch, {"weather.file": "c/a.csv", "loads.metered.file": "d/b.csv"})
    assert named_files(again) == {"weather.file": "c/a.csv", "loads.metered.file": "d/b.csv"}
    assert again.weather.years == sketch.weather.years
    assert with_names(sketch, {}) == sketch


def test_a_file_that_is_not_used_is_not_asked_for():
    raw = demo("farmhouse").model_dump(mode="json")
    raw["weather"] |= {"source": "climate", "file": "/etc/passwd"}
    assert named_files(Sketch.model_validate(raw)) == {}
