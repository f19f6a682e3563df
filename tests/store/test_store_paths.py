"""In the dashboard's store a sketch names dropped files only, by their content."""

import pytest
from hostile_names import LETTERS, THINGS, made

from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.sketch import BadInput, MeteredLoad, Site, Sketch, WeatherChoice
from offgrid_sizing.store import Store
from offgrid_sizing.weather.build import weather_of

SITE = Site(latitude_deg=50, longitude_deg=10)
DIGEST = "0" * 64
# What looks like a dropped file and is none.
MORE = {
    "no digest": "year.csv",
    "short digest": f"{DIGEST[1:]}/year.csv",
    "capital digest": f"{'A' * 64}/year.csv",
    "up after a digest": f"{DIGEST}/../../year.csv",
    "hidden": f"{DIGEST}/.year.csv",
    "folder of a digest": f"{DIGEST}/",
    "digest alone": DIGEST,
    "folder below": f"{DIGEST}/deep/year.csv",
    "backslash": f"{DIGEST}\\year.csv",
    "name too long": f"{DIGEST}/{'a' * 81}",
    "newline at the end": f"{DIGEST}/year.csv\n",
    "other digits": f"{'٠' * 64}/year.csv",
    "other letters": f"{DIGEST}/Jähr.csv",
}
NAMES = MORE | {kind: name for kind, (name, _) in LETTERS.items()}


@pytest.fixture
def files(tmp_path):
    """A store in single-user mode and the folder it lays files out in."""
    made = Store(f"sqlite:///{tmp_path / 's.sqlite'}", folder=tmp_path / "files")
    yield made, tmp_path / "files"
    made.close()


def naming(field: str, name: str) -> Sketch:
    if field == "weather":
        return Sketch(site=SITE, weather=WeatherChoice(source="file", file=name))
    loads = Sketch(site=SITE).loads.model_copy(update={"metered": MeteredLoad(file=name)})
    return Sketch(site=SITE, weather=WeatherChoice(years=1), loads=loads)


@pytest.mark.parametrize("field", ["weather", "meter"])
@pytest.mark.parametrize("kind", NAMES)
def test_a_hostile_name_is_not_among_the_dropped_files(files, kind, field):
    store, folder = files
    with pytest.raises(BadInput, match="not among the files dropped here: drop it again") as caught:
        store.lay_out_files(naming(field, NAMES[kind]))
    (sentence,) = caught.value.sentences
    assert sentence.isprintable()
    assert not folder.exists()


@pytest.mark.parametrize("kind", THINGS)
@pytest.mark.parametrize("field", ["weather", "meter"])
def test_something_else_in_a_dropped_files_place_is_not_opened(files, kind, field):
    """Whoever can write there may put a link or a pipe where a file is laid out."""
    store, folder = files
    kept = store.keep_file("year.csv", b"time,ghi\n", field)
    sketch = naming(field, kept.ref)
    store.lay_out_files(sketch)
    place = folder / kept.ref
    place.unlink()
    made(place.parent, kind)
    if "/" in THINGS[kind][0]:  # a folder is the link: name what lies behind it
        place.symlink_to(place.parent / THINGS[kind][0])
    else:
        (place.parent / THINGS[kind][0]).rename(place)
    if kind == "link to itself":
        place.unlink()
        place.symlink_to(place.name)
    with pytest.raises(BadInput) as caught:
        read(field, sketch, store.lay_out_files(sketch))
    assert len(caught.value.sentences) == 1


def read(field, sketch, folder):
    weather = weather_of(sketch if field == "weather" else Sketch(site=SITE), base_dir=folder)
    load_year(sketch, weather, base_dir=folder)


@pytest.mark.parametrize(
    "name",
    ["../../etc/passwd.csv", "C:\\temp\\x.csv", "a\0b.csv", ".hidden.csv", "x" * 5000 + ".csv",
     "=cmd|' /C calc'!A0.csv", "<img src=x>.csv", "\u202egpj.csv", "con\n.csv"],
)  # fmt: skip
def test_a_dropped_file_gets_a_name_that_can_do_no_harm(files, name):
    store, folder = files
    kept = store.keep_file(name, b"time,ghi\n", "weather")
    sketch = naming("weather", kept.ref)
    assert store.lay_out_files(sketch) == folder
    (found,) = (path for path in folder.rglob("*") if path.is_file())
    assert found == folder / kept.ref
    assert found.read_bytes() == b"time,ghi\n"
    assert kept.name.isascii()
    assert kept.name[0].isalnum()
    assert len(kept.name) <= 80
