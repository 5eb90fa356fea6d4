"""Small faults for one Python file, each as a new text of that file.

Operators: comparisons (edge and opposite), arithmetic, and/or, not, numbers (whole +1, others × 1.5),
True/False, a condition turned round, a loop that never runs, break/continue. Words in messages are
not mutated:
tests name what a finding says, not each word of it. Annotations, docstrings and decorators are
left alone.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import accumulate

COMPARE: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
BINARY: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One fault: where, which line, from what to what, and the whole new text."""

    module: str
    line: int
    before: str
    after: str
    start: int
    end: int

    def text(self, source: bytes) -> bytes:
        return source[: self.start] + self.after.encode() + source[self.end :]

    def __str__(self) -> str:
        return f"{self.module}:{self.line}: {self.before}  ->  {self.after}"


def line_starts(source: bytes) -> list[int]:
    """The offset of each line's first byte."""
    return [0, *accumulate(map(len, source.splitlines(keepends=True)))]


def mutants(module: str, source: bytes) -> list[Mutant]:
    """All faults of one file, in the order of the text; each still compiles."""
    starts = line_starts(source)
    found = []
    for node, after in _changes(ast.parse(source)):
        start = starts[node.lineno - 1] + node.col_offset
        end = starts[(node.end_lineno or node.lineno) - 1] + (node.end_col_offset or 0)
        before = source[start:end].decode()
        if isinstance(node, ast.expr):
            after = f"({after})"
        made = Mutant(module, node.lineno, before, after, start, end)
        compile(made.text(source), module, "exec")
        found.append(made)
    return sorted(found, key=lambda one: (one.start, one.end, one.after))


Placed = ast.expr | ast.stmt


def _changes(tree: ast.AST) -> Iterator[tuple[Placed, str]]:
    """Node and its new text, for each node that is code and not typing, words or decoration."""
    todo = [tree]
    while todo:
        node = todo.pop()
        todo.extend(_children(node))
        yield from _of_node(node)


SKIPPED_FIELDS = frozenset({"annotation", "returns", "decorator_list", "type_comment"})


def _children(node: ast.AST) -> Iterator[ast.AST]:
    if isinstance(node, ast.JoinedStr) or _is_typing(node):
        return
    for name, value in ast.iter_fields(node):
        if name in SKIPPED_FIELDS:
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield child


def _is_typing(node: ast.AST) -> bool:
    """``isinstance(x, A | B)``, ``Name = A | B`` of classes, ``if TYPE_CHECKING``."""
    if isinstance(node, ast.If):
        return isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"
    if isinstance(node, ast.Call):
        return isinstance(node.func, ast.Name) and node.func.id in ("isinstance", "cast")
    if isinstance(node, ast.Assign):
        return all(isinstance(one, ast.Name) and one.id[:1].isupper() for one in node.targets) and (
            isinstance(node.value, ast.BinOp | ast.Subscript)
            and not any(isinstance(one, ast.Constant) for one in ast.walk(node.value))
            and any(
                isinstance(one, ast.Name) and one.id[:1].isupper() and not one.id.isupper()
                for one in ast.walk(node.value)
            )
        )
    return False


def _of_node(node: ast.AST) -> Iterator[tuple[Placed, str]]:
    if isinstance(node, ast.Compare):
        yield from _compared(node)
    elif isinstance(node, ast.BinOp) and not _joins_text(node):
        other = BINARY.get(type(node.op))
        if other is not None:
            yield node, ast.unparse(ast.BinOp(node.left, other(), node.right))
    elif isinstance(node, ast.BoolOp):
        flipped = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        yield node, ast.unparse(ast.BoolOp(flipped, node.values))
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        yield node, ast.unparse(node.operand)
    elif isinstance(node, ast.Constant):
        yield from _constant(node)
    else:
        yield from _flow(node)


def _compared(node: ast.Compare) -> Iterator[tuple[Placed, str]]:
    for at, old in enumerate(node.ops):
        for new in COMPARE[type(old)]:
            ops = [*node.ops[:at], new(), *node.ops[at + 1 :]]
            yield node, ast.unparse(ast.Compare(node.left, ops, node.comparators))


def _joins_text(node: ast.BinOp) -> bool:
    return any(
        isinstance(one, ast.JoinedStr)
        or (isinstance(one, ast.Constant) and isinstance(one.value, str))
        for one in (node.left, node.right)
    )


def _constant(node: ast.Constant) -> Iterator[tuple[Placed, str]]:
    if isinstance(node.value, bool):
        yield node, str(not node.value)
    elif isinstance(node.value, int):
        yield node, repr(node.value + 1)
    elif isinstance(node.value, float):
        yield node, repr(node.value * 1.5 or 1.0)


def _flow(node: ast.AST) -> Iterator[tuple[Placed, str]]:
    if isinstance(node, ast.If | ast.IfExp | ast.While):
        if not isinstance(node.test, ast.Compare | ast.UnaryOp):
            yield node.test, f"not ({ast.unparse(node.test)})"
    elif isinstance(node, ast.comprehension):
        for test in node.ifs:
            if not isinstance(test, ast.Compare | ast.UnaryOp):
                yield test, f"not ({ast.unparse(test)})"
    elif isinstance(node, ast.For):
        yield node.iter, "()"
    elif isinstance(node, ast.Break):
        yield node, "continue"
    elif isinstance(node, ast.Continue):
        yield node, "break"
