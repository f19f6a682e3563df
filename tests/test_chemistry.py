"""Chemistries and laws of ageing as shipped: written numbers, refusals, and no name in the code."""

import re
import shutil
from pathlib import Path

import pytest

import offgrid_sizing
from offgrid_sizing.chemistry import CHEMISTRIES, read_chemistry, read_law
from offgrid_sizing.paths import data_dir
from offgrid_sizing.priority import PRIORITIES
from offgrid_sizing.sketch import Sketch

FOLDER = data_dir() / "chemistries"
NAMES = ["lifepo4", "lead_acid_flooded", "lead_acid_sealed", "sodium_ion"]


def test_a_sketch_accepts_exactly_the_chemistries_of_the_folder():
    unit = Sketch.model_json_schema()["$defs"]["BatteryUnit"]["properties"]["chemistry"]
    assert unit["enum"] == list(CHEMISTRIES) == NAMES
    assert sorted(path.stem for path in FOLDER.glob("*.toml")) == sorted(NAMES)


@pytest.mark.parametrize(
    ("name", "cell_v", "at_rest", "law", "cold"),
    [
        # common practice, no source: empty, half and full
        ("lifepo4", 3.2, (2.80, 3.29, 3.40), ("lfp_sheet", "lfp_published"), ""),
        ("lead_acid_flooded", 2.0, (1.93, 2.03, 2.13), ("lead_acid",), "worksheet_lead_acid_cold"),
        ("lead_acid_sealed", 2.0, (1.95, 2.06, 2.16), ("lead_acid",), "worksheet_lead_acid_cold"),
        ("sodium_ion", 3.1, (2.00, 3.02, 3.80), ("other",), ""),
    ],
)
def test_numbers_of_each(name, cell_v, at_rest, law, cold):
    one = CHEMISTRIES[name]
    assert one.cell_v == cell_v
    assert tuple(one.rest.at(soc) for soc in (0.0, 0.5, 1.0)) == pytest.approx(at_rest)
    assert one.ageing.names() == law
    assert one.worksheet_cold_table == cold
    assert list(one.rest.cell_v) == sorted(one.rest.cell_v)


def test_between_the_points_the_line_is_straight_and_beyond_them_it_is_flat():
    rest = CHEMISTRIES["lifepo4"].rest
    assert rest.at(0.05) == pytest.approx(3.00)  # half way from 2.80 to 3.20
    assert rest.at(1.2) == 3.40
    assert [rest.is_flat(soc) for soc in (0.19, 0.2, 0.9, 0.91)] == [False, True, True, False]
    assert not CHEMISTRIES["sodium_ion"].rest.is_flat(0.5)


def test_who_gives_off_hydrogen_and_who_is_equalised():
    told = {name: (one.vented, one.equalised) for name, one in CHEMISTRIES.items()}
    assert told == {name: (name == "lead_acid_flooded",) * 2 for name in NAMES}


def test_the_laws_ranges():
    # LFP: storage tests (from memory); others: a maker's note read bounds the doubling
    found = {name: one.ageing.range_c for name, one in CHEMISTRIES.items()}
    assert found["lifepo4"] == (0.0, 60.0)
    assert {found[name] for name in NAMES[1:]} == {(15.0, 40.0)}
    assert CHEMISTRIES["lifepo4"].ageing.shape == 0.5
    assert CHEMISTRIES["sodium_ion"].ageing.doubling.per_k == 10.0
    assert CHEMISTRIES["sodium_ion"].ageing.part_charge is None


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(FOLDER, tmp_path / "chemistries")
    return tmp_path / "chemistries"


@pytest.mark.parametrize(
    ("line", "fault", "said"),
    [
        ("cell_v = 3.1 # nominal", TypeError, "cell_v"),
        ('ageing = "other"', KeyError, "ageing"),
        ("flat_soc_frac = []", TypeError, "flat_soc_frac"),
    ],
)
def test_a_missing_entry_is_refused_not_filled_in(folder, line, fault, said):
    path = folder / "sodium_ion.toml"
    text = path.read_text(encoding="utf-8")
    assert line in text
    path.write_text(text.replace(line, ""), encoding="utf-8")
    with pytest.raises(fault, match=said):
        read_chemistry(path)


@pytest.mark.parametrize(
    ("old", "new"), [("2.00, 2.50,", "2.00,"), ("0.0, 0.1, 0.2,", "0.1, 0.0, 0.2,")]
)
def test_a_curve_that_cannot_be_read_is_refused(folder, old, new):
    path = folder / "sodium_ion.toml"
    path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    with pytest.raises(ValueError, match=r"\[rest\] needs a voltage for each rising state"):
        read_chemistry(path)


def test_a_law_tells_time_in_one_way(folder):
    path = folder / "laws" / "other.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.split("[doubling]")[0], encoding="utf-8")
    with pytest.raises(ValueError, match=r"other\.toml: write either \[cell\] or \[doubling\]"):
        read_law(path)


def test_no_module_names_a_chemistry_or_a_priority():
    """But for the default of a sketch, the registry itself and examples in docstrings."""
    named = re.compile(rf"""["']({"|".join([*CHEMISTRIES, *PRIORITIES])})["']""")
    package = Path(offgrid_sizing.__file__).parent
    found = {
        path.relative_to(package).as_posix(): lines
        for path in package.rglob("*.py")
        if (
            lines := [
                line.strip()
                for line in path.read_text(encoding="utf-8").splitlines()
                if named.search(line) and not line.strip().startswith(">>>")
            ]
        )
    }
    assert set(found.pop("priority.py")) == {
        f'{name.upper()} = Priority("{name}", _{name})' for name in PRIORITIES
    }
    assert {path: len(lines) for path, lines in found.items()} == {
        "sketch/equipment.py": 1,
        "sketch/decision.py": 1,
    }
