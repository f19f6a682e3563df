"""The faults that are put into modules: which ones, where, and that their lists are true."""

import ast
from pathlib import Path

import pytest
from mutant_runs import free_of
from mutants import mutants_of
from mutate import PACKAGE, ROOT, equivalents, faults, modules, sample

SOURCE = '''"""A text with 1 < 2 in it is left alone."""

LIMIT_W = 2.5


def wanted(load_w: float = 0, rated_w: float = 10) -> float:
    """min and max of nothing."""
    if load_w < rated_w and not load_w == 1:
        return max(load_w, 0.0) * 2
    return -rated_w if load_w else 1e-9
'''
WRITTEN = """
module | LIMIT_W = 2.5 | 2.5 -> 2.75
module | LIMIT_W = 2.5 | 2.5 -> 2.25
0 -> 1
10 -> 9
10 -> 11
load_w < rated_w and not load_w == 1 -> False
load_w < rated_w and not load_w == 1 -> (load_w < rated_w or not load_w == 1)
load_w < rated_w and not load_w == 1 -> (not load_w == 1)
load_w < rated_w and not load_w == 1 -> (load_w < rated_w)
load_w < rated_w -> (load_w >= rated_w)
load_w < rated_w -> (load_w <= rated_w)
load_w -> rated_w
rated_w -> load_w
not load_w == 1 -> (load_w == 1)
load_w == 1 -> (load_w != 1)
1 -> 0
1 -> 2
max(load_w, 0.0) * 2 -> (max(load_w, 0.0) / 2)
max -> min
0.0 -> 1.0
2 -> 1
2 -> 3
-rated_w if load_w else 1e-9 -> (-rated_w)
-rated_w if load_w else 1e-9 -> (1e-09)
-rated_w -> (rated_w)
1e-9 -> 0.001
"""


def test_the_faults_of_a_small_module():
    found = mutants_of("small.py", SOURCE)
    said = [one.name.rsplit(" | ", 1)[-1] for one in found]
    for line in WRITTEN.strip().splitlines():
        change = line.rsplit(" | ", 1)[-1]
        assert any(one.startswith(change) for one in said), change
    assert len({one.name for one in found}) == len(found)
    assert found[0].name == "module | LIMIT_W = 2.5 | 2.5 -> 2.75"
    assert found[0].line == 3
    assert "wanted | def wanted(" in found[2].name


def test_each_fault_changes_one_place_and_can_be_read():
    plain = ast.dump(ast.parse(SOURCE))
    for one in mutants_of("small.py", SOURCE):
        assert ast.dump(ast.parse(one.text)) != plain
        changed = [
            place
            for place, (old, new) in enumerate(
                zip(SOURCE.splitlines(), one.text.splitlines(), strict=True), start=1
            )
            if old != new
        ]
        assert changed == [one.line]


def test_a_fault_in_what_is_asked_of_a_whole_expression_can_be_read():
    said = [one.name for one in mutants_of("small.py", "seen = (values > 0).any()\n")]
    assert any(one.endswith("(values > 0).any -> (values > 0).all") for one in said)


def test_a_draw_is_the_same_again_and_an_edit_elsewhere_leaves_it():
    found = mutants_of("small.py", SOURCE)
    drawn = [one.name for one in sample(found, 5, 1)]
    assert drawn == [one.name for one in sample(found[::-1], 5, 1)]
    assert drawn != [one.name for one in sample(found, 5, 2)]
    edited = mutants_of("small.py", SOURCE + "\n\ndef other():\n    return 7\n")
    kept = [one.name for one in sample(edited, 8, 1) if one.name in drawn]
    assert len(kept) >= 4


@pytest.mark.parametrize("module", modules())
def test_every_module_and_its_tests_are_there(module):
    assert (ROOT / PACKAGE / module).is_file()
    for file in modules()[module]:
        assert (ROOT / "tests" / file).is_file()
    assert len(faults(module)) > 5


@pytest.mark.parametrize("module", equivalents())
def test_faults_that_change_nothing_still_exist_and_have_their_reason(module):
    text = (ROOT / PACKAGE / module).read_text()
    names = {one.name for one in mutants_of(module, text)}
    for name, reason in equivalents()[module].items():
        assert name in names
        assert len(reason) > 10


def test_what_imports_a_module_is_loaded_after_the_fault():
    free = free_of(Path(ROOT), "string_rules.py")
    assert f"{PACKAGE}.rule_tables" in free
    assert f"{PACKAGE}.string_rules" not in free
    assert f"{PACKAGE}.electrical.strings" not in free
    assert f"{PACKAGE}.outcome" not in free
