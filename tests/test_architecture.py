"""Data flows one way, and only the dashboard knows its framework."""

import subprocess
import sys
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import grimp
import pytest

ROOT = Path(__file__).resolve().parent.parent
# A room past this length holds a second idea; see DEVELOPERS.md.
LONGEST_MODULE = 350


def test_import_contracts_are_kept():
    command = [
        sys.executable,
        "-c",
        "from importlinter.cli import lint_imports_command as main; main()",
    ]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def in_order(imports: dict[str, set[str]]) -> list[str]:
    """Modules, each after those it imports; a circle raises and is named."""
    try:
        return list(TopologicalSorter(imports).static_order())
    except CycleError as circle:
        raise AssertionError(" imports ".join(reversed(circle.args[1]))) from None


def test_no_module_imports_itself_by_a_round_about_way():
    """Imports inside functions and for type checkers count as well."""
    graph = grimp.build_graph("offgrid_sizing", cache_dir=None)
    imports = {one: graph.find_modules_directly_imported_by(one) for one in graph.modules}
    assert len(imports) > 300
    assert "offgrid_sizing.ui.cached" in imports["offgrid_sizing.ui.warm"]  # inside a function
    order = in_order(imports)
    assert order.index("offgrid_sizing.ui.cached") < order.index("offgrid_sizing.ui.warm")


def test_a_circle_is_named():
    with pytest.raises(AssertionError, match=r"^(?=.*a imports b)(?=.*b imports c)"):
        in_order({"a": {"b"}, "b": {"c"}, "c": {"a"}})


def test_rooms_stay_small():
    long = {
        str(path.relative_to(ROOT)): lines
        for path in (ROOT / "offgrid_sizing").rglob("*.py")
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST_MODULE
    }
    assert not long
