"""Small faults that can be put into a module's source, one at a time."""

import ast
import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

TURNED = {
    ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
SHIFTED = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt}
SUMS = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Div, ast.Mod: ast.Mult, ast.Pow: ast.Mult,
}  # fmt: skip
TWINS = {
    one: other
    for pair in (
        ("min", "max"), ("minimum", "maximum"), ("argmin", "argmax"), ("floor", "ceil"),
        ("any", "all"), ("nanmin", "nanmax"),
    )
    for one, other in (pair, pair[::-1])
}  # fmt: skip
GUARD = 1e-5  # less than this guards against rounding: a tenth of it is nothing
UNITS = ("_kwh", "_wh", "_kw", "_w", "_v", "_c", "_h", "_a", "_va", "_m", "_mm2", "_frac", "_year")


@dataclass(frozen=True)
class Mutant:
    """One fault: where it stands, what it says, and the module's whole text with it."""

    module: str
    name: str
    line: int
    text: str


@dataclass(frozen=True)
class _Change:
    node: ast.AST
    new: str
    where: str


def _said(node: ast.AST) -> str:
    return ast.unparse(node)


def _with(node: ast.AST, **fields) -> str:
    """The node's text with some of its fields replaced."""
    copy = type(node)(**{**{name: getattr(node, name) for name in node._fields}, **fields})
    return f"({ast.unparse(ast.fix_missing_locations(copy))})"


def _compare(node: ast.Compare) -> Iterator[str]:
    for at, operator in enumerate(node.ops):
        for table in (TURNED, SHIFTED):
            if type(operator) in table:
                ops = [*node.ops]
                ops[at] = table[type(operator)]()
                yield _with(node, ops=ops)


def _is_text(node: ast.AST) -> bool:
    text = isinstance(node, ast.Constant) and isinstance(node.value, str | bytes)
    return text or isinstance(node, ast.JoinedStr | ast.List | ast.Tuple)


def _sum(node: ast.BinOp) -> Iterator[str]:
    if type(node.op) in SUMS and not (_is_text(node.left) or _is_text(node.right)):
        yield _with(node, op=SUMS[type(node.op)]())


def _clauses(node: ast.BoolOp) -> Iterator[str]:
    yield _with(node, op=ast.Or() if isinstance(node.op, ast.And) else ast.And())
    for at in range(len(node.values)):
        left = [value for other, value in enumerate(node.values) if other != at]
        yield f"({_said(left[0])})" if len(left) == 1 else _with(node, values=left)


def _constant(node: ast.Constant) -> Iterator[str]:
    value = node.value
    if isinstance(value, bool):
        yield repr(not value)
    elif isinstance(value, int):
        step = max(1, round(abs(value) / 10))
        yield from (["1"] if value == 0 else ["0"] if value == 1 else [repr(value - step)])
        if value:
            yield repr(value + step)
    elif isinstance(value, float) and math.isfinite(value):
        if value == 0:
            yield "1.0"
        elif abs(value) < GUARD:
            yield repr(value * 1e6)
        else:
            yield from (repr(value * 1.1), repr(value * 0.9))


def _one_side(node: ast.IfExp) -> Iterator[str]:
    yield f"({_said(node.body)})"
    yield f"({_said(node.orelse)})"


def _expression(node: ast.AST) -> Iterator[str]:
    """Texts that may stand where this expression stands."""
    match node:
        case ast.Compare():
            yield from _compare(node)
        case ast.BinOp():
            yield from _sum(node)
        case ast.BoolOp():
            yield from _clauses(node)
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            yield f"({_said(node.operand)})"
        case ast.Constant():
            yield from _constant(node)
        case ast.IfExp():
            yield from _one_side(node)
        case ast.Name(id=name) if name in TWINS:
            yield TWINS[name]
        case ast.Attribute(attr=name) if name in TWINS:
            plain = isinstance(node.value, ast.Name | ast.Attribute | ast.Call | ast.Subscript)
            whose = _said(node.value) if plain else f"({_said(node.value)})"
            yield f"{whose}.{TWINS[name]}"


def _unit(name: str) -> str | None:
    return next((unit for unit in UNITS if name.endswith(unit)), None)


class _Walk(ast.NodeVisitor):
    """Collects changes; annotations, decorators, texts and `__all__` are left alone."""

    def __init__(self, tree: ast.Module):
        self.changes: list[_Change] = []
        self._where = ["module"]
        self._locals: list[list[str]] = []
        self._fields: dict[str, list[str]] = {}
        for node in ast.walk(tree):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                seen = self._fields.setdefault(node.value.id, [])
                if node.attr not in seen:
                    seen.append(node.attr)

    def _add(self, node: ast.AST, new: str) -> None:
        self.changes.append(_Change(node, new, ".".join(self._where[1:]) or "module"))

    def generic_visit(self, node: ast.AST) -> None:
        if isinstance(node, ast.expr):
            for new in _expression(node):
                self._add(node, new)
        super().generic_visit(node)

    def _scope(self, node) -> None:
        self._where.append(node.name)
        for part in node.body:
            self.visit(part)
        self._where.pop()

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        arguments = [one.arg for one in (*node.args.args, *node.args.kwonlyargs)]
        stored = [
            part.id
            for part in ast.walk(node)
            if isinstance(part, ast.Name) and isinstance(part.ctx, ast.Store)
        ]
        self._locals.append(list(dict.fromkeys(arguments + stored)))
        self._where.append(node.name)
        for default in (*node.args.defaults, *node.args.kw_defaults):
            if default is not None:
                self.visit(default)
        self._where.pop()
        self._scope(node)
        self._locals.pop()

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        self._scope(node)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def visit_Assign(self, node: ast.Assign) -> None:
        if not any(_said(target) == "__all__" for target in node.targets):
            self.visit(node.value)
            for target in node.targets:
                self.visit(target)

    def visit_AugAssign(self, node: ast.AugAssign) -> None:
        if type(node.op) in SUMS and not _is_text(node.value):
            self._add(node, _with(node, op=SUMS[type(node.op)]())[1:-1])
        self.generic_visit(node)

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """A sentence's own form is not judged here."""

    def visit_keyword(self, node: ast.keyword) -> None:
        if node.arg != "strict":  # a zip's own check against faults
            self.visit(node.value)

    def visit_If(self, node: ast.If) -> None:
        self._add(node.test, "False")
        if node.orelse:
            self._add(node.test, "True")
        self.generic_visit(node)

    def visit_comprehension(self, node: ast.comprehension) -> None:
        for test in node.ifs:
            self._add(test, "True")
        self.generic_visit(node)

    def visit_Name(self, node: ast.Name) -> None:
        unit = _unit(node.id)
        if self._locals and unit and isinstance(node.ctx, ast.Load):
            known = self._locals[-1]
            others = [name for name in known if _unit(name) == unit and name != node.id]
            if node.id in known and others:
                self._add(node, others[(known.index(node.id)) % len(others)])
        self.generic_visit(node)

    def visit_Attribute(self, node: ast.Attribute) -> None:
        unit = _unit(node.attr)
        if unit and isinstance(node.value, ast.Name) and isinstance(node.ctx, ast.Load):
            known = self._fields[node.value.id]
            others = [name for name in known if _unit(name) == unit and name != node.attr]
            if others:
                new = others[known.index(node.attr) % len(others)]
                self._add(node, f"{node.value.id}.{new}")
        self.generic_visit(node)


def _place(source: bytes, starts: list[int], node: ast.AST) -> tuple[int, int]:
    first = starts[node.lineno - 1] + node.col_offset
    return first, starts[node.end_lineno - 1] + node.end_col_offset


def mutants_of(module: str, text: str) -> list[Mutant]:
    """All faults that can be put into this module, in the order of its text.

    A fault is named after its function, its line's text and what is written instead, so that a
    change elsewhere in the file leaves its name alone.
    """
    tree, source = ast.parse(text), text.encode()
    walk = _Walk(tree)
    walk.visit(tree)
    lines = text.splitlines()
    starts = [0]
    for line in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    seen: Counter[str] = Counter()
    found = []
    for change in sorted(walk.changes, key=lambda one: (one.node.lineno, one.node.col_offset)):
        first, last = _place(source, starts, change.node)
        old = " ".join(source[first:last].decode().split())
        line = change.node.lineno
        name = f"{change.where} | {lines[line - 1].strip()} | {old} -> {change.new}"
        seen[name] += 1
        if seen[name] > 1:
            name += f" #{seen[name]}"
        mutated = (source[:first] + change.new.encode() + source[last:]).decode()
        if ast.unparse(ast.parse(change.new)) != ast.unparse(change.node):
            found.append(Mutant(module, name, line, mutated))
    return found
