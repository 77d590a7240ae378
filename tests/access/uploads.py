"""The routes that take a file, as the code says: whichever reaches for one, however far down its view's own module."""

import ast
import inspect
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from rest_framework.parsers import MultiPartParser

from reports.vetting import ROOT
from tests.access.test_matrix import ALL_ROUTES, Route

# What a view says to come at a file or at the bytes of a body.
REACHING = {"FILES", "body", "upload_handlers", "request_body", MultiPartParser.__name__, "FileUploadParser"}
PACKAGES = ("rules", "reports", "records", "joints", "inspection", "office", "weldtrack")


def upload_routes() -> list[Route]:
    """Every route of the site whose view reaches for a file."""
    return [route for route in ALL_ROUTES if _reaches(_home(route.view))]


def homes(routes: list[Route]) -> set[Path]:
    """The modules in which the views of some routes stand."""
    return {_file(_home(route.view)) for route in routes}


def reaching_modules() -> set[Path]:
    """Every module of the site that names a file of a request, whether or not a route is known to lead there."""
    files = (path for package in PACKAGES for path in (ROOT / package).rglob("*.py"))
    return {path for path in files if ".FILES" in path.read_text()}


def _home(view: Callable[..., Any]) -> Any:
    """The function or class behind a route."""
    return getattr(view, "view_class", None) or getattr(view, "cls", None) or inspect.unwrap(view)


def _file(home: Any) -> Path:
    return Path(str(sys.modules[home.__module__].__file__))


def _reaches(home: Any) -> bool:
    """Whether a view, or anything of its own module that it leads to, reaches for a file."""
    if not _file(home).is_relative_to(ROOT) or ".venv" in _file(home).parts:
        return False
    tree = ast.parse(_file(home).read_text())
    told = {one.name: _said(one) for one in tree.body if isinstance(one, ast.FunctionDef | ast.ClassDef)}
    seen: set[str] = set()
    ahead = {home.__name__}
    while ahead:
        seen |= ahead
        ahead = {name for one in ahead for name in told[one] if name in told} - seen
    return any(told[one] & REACHING for one in seen)


def _said(tree: ast.AST) -> set[str]:
    """Every name and attribute in a piece of code."""
    names = {one.id for one in ast.walk(tree) if isinstance(one, ast.Name)}
    return names | {one.attr for one in ast.walk(tree) if isinstance(one, ast.Attribute)}
