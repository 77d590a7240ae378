"""The small changes that are tried: what may stand in place of one node of a syntax tree, with the kind of change."""

import ast
import re
from collections.abc import Iterator
from decimal import Decimal

Change = tuple[str, ast.AST]

OPERATORS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Div,
    ast.Mod: ast.Div, ast.Pow: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
    ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip
METHODS = {
    "lower": "upper", "upper": "lower", "lstrip": "rstrip", "rstrip": "lstrip", "partition": "rpartition",
    "rpartition": "partition", "removeprefix": "removesuffix", "removesuffix": "removeprefix", "any": "all",
    "all": "any", "min": "max", "max": "min",
}  # fmt: skip
NUMBER = re.compile(r"-?\d+(\.\d+)?")


def changes(node: ast.AST) -> Iterator[Change]:
    """Each (kind, node to put in place of this one). The node itself stays as it is."""
    match node:
        case ast.Constant():
            yield from _constant(node)
        case ast.Compare():
            for place, operator in enumerate(node.ops):
                yield from _operator("comparison", node, "ops", operator, place)
        case ast.BinOp() | ast.AugAssign():
            yield from _operator("arithmetic", node, "op", node.op)
        case ast.BoolOp():
            yield from _operator("and, or", node, "op", node.op)
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            yield "sign or not left out", node.operand
        case ast.IfExp():
            yield "one branch always", node.body
            yield "one branch always", node.orelse
        case ast.If() if not isinstance(node.test, ast.Compare | ast.BoolOp | ast.UnaryOp):
            yield "condition turned", _with(node, test=ast.UnaryOp(ast.Not(), node.test))
        case ast.Call():
            yield from _call(node)
        case ast.Lambda() if not _is_none(node.body):
            yield "value to None", _with(node, body=ast.Constant(None))
        case ast.Return() | ast.Assign() | ast.AnnAssign():
            if node.value is not None and not _is_none(node.value) and not _is_text(node.value):
                yield "value to None", _with(node, value=ast.Constant(None))
        case ast.Expr(value=ast.Call()):
            yield "statement left out", ast.Pass()
        case ast.Break():
            yield "loop control", ast.Continue()
        case ast.Continue():
            yield "loop control", ast.Break()
        case ast.comprehension():
            for one in node.ifs:
                yield "filter left out", _with(node, ifs=[other for other in node.ifs if other is not one])
        case ast.Tuple(ctx=ast.Load()) | ast.List(ctx=ast.Load()) | ast.Set() if len(node.elts) > 1:
            yield "element left out", _with(node, elts=node.elts[1:])
        case ast.Dict() if len(node.keys) > 1:
            yield "element left out", _with(node, keys=node.keys[1:], values=node.values[1:])


def _constant(node: ast.Constant) -> Iterator[Change]:
    value = node.value
    if isinstance(value, bool):
        yield "true, false", ast.Constant(not value)
    elif isinstance(value, int | float):
        yield "number", ast.Constant(value + 1)
    elif isinstance(value, str) and NUMBER.fullmatch(value):
        yield "number", ast.Constant(str(Decimal(value) + 1))
    elif isinstance(value, str):
        yield "text", ast.Constant(f"XX{value}XX")


def _operator(kind: str, node: ast.AST, field: str, operator: ast.AST, place: int | None = None) -> Iterator[Change]:
    other = OPERATORS.get(type(operator))
    if other is None:
        return
    if place is None:
        yield kind, _with(node, **{field: other()})
        return
    listed = list(getattr(node, field))
    listed[place] = other()
    yield kind, _with(node, **{field: listed})


def _call(node: ast.Call) -> Iterator[Change]:
    for place, one in enumerate(node.args):
        if not (isinstance(one, ast.Starred) or _is_none(one) or _is_text(one)):
            yield (
                "argument to None",
                _with(node, args=[*node.args[:place], ast.Constant(None), *node.args[place + 1 :]]),
            )
    for word in node.keywords:
        if word.arg is not None:
            yield "argument left out", _with(node, keywords=[other for other in node.keywords if other is not word])
    if isinstance(node.func, ast.Attribute) and node.func.attr in METHODS:
        yield "method", _with(node, func=_with(node.func, attr=METHODS[node.func.attr]))
    if isinstance(node.func, ast.Name) and node.func.id in METHODS:
        yield "method", _with(node, func=_with(node.func, id=METHODS[node.func.id]))


def _with(node: ast.AST, **fields: object) -> ast.AST:
    """The node again, with some of its fields changed."""
    return type(node)(**{**{name: getattr(node, name, None) for name in node._fields}, **fields})


def _is_none(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


def _is_text(node: ast.AST) -> bool:
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))
