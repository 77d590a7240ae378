"""Every mutant of a file: where it is, what is changed, and the changed module as code."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from types import CodeType

from bench.mutants.changes import changes

# Not tried: nothing of these is looked at when the rules run, or only by readers of the code.
LEFT_ALONE = {"annotation", "returns", "decorator_list", "bases", "format_spec", "type_comment"}
BY_READERS = {"__slots__", "__all__", "TypeVar"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change in one file. `lines` are those of the statement it stands in; `place` and `turn` find it again."""

    path: str
    line: int
    lines: tuple[int, int]
    kind: str
    before: str
    after: str
    place: int
    turn: int

    def told(self) -> str:
        return f"{self.path}:{self.line} {self.kind}: `{self.before}` → `{self.after}`"


@dataclass(slots=True)
class _Place:
    """A node, where it hangs, and the statement it is in."""

    parent: ast.AST
    field: str
    index: int | None
    node: ast.AST
    statement: ast.AST

    def put(self, node: ast.AST) -> None:
        if self.index is None:
            setattr(self.parent, self.field, node)
        else:
            getattr(self.parent, self.field)[self.index] = node


def mutants(root: Path, path: str) -> list[Mutant]:
    """Every mutant of the file at this path under the root, in the order of the code."""
    found = []
    for place, spot in enumerate(_places(ast.parse((root / path).read_text()))):
        for turn, (kind, node) in enumerate(changes(spot.node)):
            line = getattr(spot.node, "lineno", spot.statement.lineno)  # type: ignore[attr-defined]
            told = _wording(kind, spot), _short(spot.node), _short(node)
            found.append(Mutant(path, line, _lines(spot.statement), *told, place, turn))
    return found


def compiled(root: Path, mutant: Mutant) -> CodeType:
    """The code of the mutant's module with the change in it."""
    tree = ast.parse((root / mutant.path).read_text())
    spot = next(islice(_places(tree), mutant.place, None))
    _, node = next(islice(changes(spot.node), mutant.turn, None))
    spot.put(ast.copy_location(node, spot.node))
    return compile(ast.fix_missing_locations(tree), str(root / mutant.path), "exec")


def _places(node: ast.AST, statement: ast.AST | None = None) -> Iterator[_Place]:
    """Every node below this one, in the order of the code, without those that are left alone."""
    for field, value in ast.iter_fields(node):
        if field in LEFT_ALONE or (isinstance(node, ast.ClassDef) and field == "keywords"):
            continue
        for index, child in enumerate(value) if isinstance(value, list) else [(None, value)]:
            if isinstance(child, ast.AST) and not _passed_over(child):
                around = child if isinstance(child, ast.stmt) or statement is None else statement
                yield _Place(node, field, index, child, around)
                yield from _places(child, around)


def _passed_over(node: ast.AST) -> bool:
    match node:
        case ast.Expr(value=ast.Constant()) | ast.Import() | ast.ImportFrom():
            return True
        case ast.Assign(targets=[ast.Name(id=name)]) if name in BY_READERS:
            return True
        case ast.Assign(value=ast.Call(func=ast.Name(id=name))) if name in BY_READERS:
            return True
    return False


def _lines(statement: ast.AST) -> tuple[int, int]:
    """First and last line of a statement; of one with a body, of its head."""
    first, last = statement.lineno, statement.end_lineno  # type: ignore[attr-defined]
    body = getattr(statement, "body", None)
    return first, max(first, body[0].lineno - 1) if isinstance(body, list) and body else last


def _wording(kind: str, spot: _Place) -> str:
    if kind != "text":
        return kind
    in_sentence = isinstance(spot.parent, ast.JoinedStr) or " " in str(getattr(spot.node, "value", ""))
    return "wording" if in_sentence else "word or code"


def _short(node: ast.AST) -> str:
    """The node as one line of code, cut where it is long."""
    try:
        text = ast.unparse(ast.fix_missing_locations(node)).splitlines()[0]
    except AttributeError:
        text = " if ".join(["for …", *(ast.unparse(one) for one in getattr(node, "ifs", []))])
    return text if len(text) <= 140 else text[:139] + "…"
