"""What the product ships, the product uses: no function that only a test calls."""

import ast
from collections import Counter
from pathlib import Path

import offgrid_sizing

PACKAGE = Path(offgrid_sizing.__file__).parent
# called by a library under its name, by a person, or by a test that draws one page
ELSEWHERE = {
    "HOUR", "PLANE",  # name the columns of a kernel's arrays
    "batch", "dashboard",  # commands
    "startElement", "endElement", "characters",  # xml.sax
    "run_alone",  # one page without its frame
    "links_of",  # the guide's links, which a test follows
    "step_back",  # in the process that compiles
    "apply", "in_order", "SCRIPT", "middleware",  # app.py and the dashboard's script
    "cold_voc_table_v",  # NFPA 70 Table 690.7(A), held against the handbook's example
    "sheet_to_markdown", "all_to_words",
}  # fmt: skip


def defined(tree: ast.Module) -> list[str]:
    names = []
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            names.append(node.name)
        if isinstance(node, ast.ClassDef):
            methods = (part.name for part in node.body if isinstance(part, ast.FunctionDef))
            names += [name for name in methods if not name.startswith("_")]  # pydantic calls those
        if isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            names += [one.id for one in targets if isinstance(one, ast.Name) and one.id.isupper()]
    return [name for name in names if not name.startswith("__")]


def used(tree: ast.Module, *, texts: bool) -> list[str]:
    """Names read, attributes asked for, and texts that may name one (`getattr`, a command)."""
    names = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            names.append(node.id)
        elif isinstance(node, ast.Attribute):
            names.append(node.attr)
        elif texts and isinstance(node, ast.Constant) and isinstance(node.value, str):
            names.append(node.value)
    return names


def idle() -> set[str]:
    trees = {path: ast.parse(path.read_text("utf-8")) for path in PACKAGE.rglob("*.py")}
    uses = Counter()
    for path, tree in trees.items():
        uses.update(used(tree, texts=path.name != "__init__.py"))
    return {name for tree in trees.values() for name in defined(tree) if not uses[name]}


def test_every_function_is_used_by_the_product_itself():
    assert idle() - ELSEWHERE == set()


def test_a_function_nobody_calls_is_seen():
    tree = ast.parse("def a():\n    return b()\ndef b():\n    return 1\nNEVER = 2\n")
    uses = set(used(tree, texts=True))
    assert [name for name in defined(tree) if name not in uses] == ["a", "NEVER"]
