"""Data flows one way, and only the dashboard knows its framework."""

import ast
import subprocess
import sys
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import grimp
import pytest

ROOT = Path(__file__).resolve().parent.parent
# A room past this length holds a second idea; see DEVELOPERS.md.
LONGEST_MODULE = 350
# More than so many arguments are a record that has no name yet.
MOST_ARGUMENTS = 8
# Kernels: the compiler takes scalars and arrays only, and a record would hide what is shared by
# all lanes (see the heads of the files).
EXEMPT = {("dispatch/kernels.py", "step"), ("dispatch/lane_kernels.py", "lanes_row")}


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


Function = ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda


def arguments(function: Function) -> int:
    """How many a caller may give by name or place; `*rest`, `**rest`, self and cls uncounted."""
    given = function.args
    named = [one.arg for one in (*given.posonlyargs, *given.args, *given.kwonlyargs)]
    return len(named) - (named[:1] in (["self"], ["cls"]))


def with_many_arguments(source: str) -> dict[str, int]:
    """Functions of a module that take more than is wanted, nested ones and lambdas as well."""
    functions = (one for one in ast.walk(ast.parse(source)) if isinstance(one, Function))
    return {
        getattr(one, "name", "lambda"): count
        for one in functions
        if (count := arguments(one)) > MOST_ARGUMENTS
    }


def test_functions_take_few_arguments():
    package = ROOT / "offgrid_sizing"
    many = {
        (path.relative_to(package).as_posix(), name): count
        for path in package.rglob("*.py")
        for name, count in with_many_arguments(path.read_text(encoding="utf-8")).items()
    }
    assert many.keys() == EXEMPT, many  # one that no longer needs its exemption loses it


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("def f(a, b, c, d, e, g, h, i): ...", {}),
        ("def f(a, b, c, d, e, g, h, i, j): ...", {"f": 9}),
        ("def f(a, b, /, c, d, e, g, *, h, i, j=1): ...", {"f": 9}),
        ("def f(a, b, c, d, e, g, h, i, *j, **k): ...", {}),
        ("class A:\n  def f(self, a, b, c, d, e, g, h, i): ...", {}),
        ("def f():\n  async def g(a, b, c, d, e, h, i, j, k): ...", {"g": 9}),
        ("f = lambda a, b, c, d, e, g, h, i, j: 0", {"lambda": 9}),
    ],
)
def test_arguments_are_counted_however_they_are_written(source, found):
    assert with_many_arguments(source) == found
