"""Import only from the left: between packages, and inside one from models up to urls."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ["rules", "reports", "records", "joints", "inspection", "office", "weldtrack"]
WITHOUT_DJANGO = {"rules", "reports"}
FRAMEWORKS = {"django", "rest_framework", "psycopg", "procrastinate", "django_filters", "django_htmx"}
APPS = {"records", "joints", "inspection", "office"}
# Parts with one number may not know each other: views and api call the same action.
LAYERS = {
    "models": 0,
    "permissions": 1,
    "queries": 2,
    "actions": 3,
    "forms": 4,
    "tasks": 4,
    "views": 5,
    "api": 5,
    "urls": 6,
}
STRANGERS = [("views", "api")]

Import = tuple[int, str]


def modules(package: str) -> list[Path]:
    return sorted(path for path in (ROOT / package).rglob("*.py"))


def dotted(path: Path) -> list[str]:
    parts = list(path.relative_to(ROOT).with_suffix("").parts)
    return parts[:-1] if parts[-1] == "__init__" else parts


def imports(source: str, *, module: list[str], is_package: bool) -> Iterator[Import]:
    """Yield line and dotted name of every import, inside functions and `TYPE_CHECKING` blocks too."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = origin(node, module=module, is_package=is_package)
            yield from ((node.lineno, f"{base}.{alias.name}") for alias in node.names)
        elif isinstance(node, ast.Call) and called(node) in ("import_module", "__import__", "import_string"):
            yield from (
                (node.lineno, value.value)
                for value in node.args[:1]
                if isinstance(value, ast.Constant) and isinstance(value.value, str)
            )


def origin(node: ast.ImportFrom, *, module: list[str], is_package: bool) -> str:
    if not node.level:
        return node.module or ""
    up = node.level - 1 if is_package else node.level
    return ".".join([*module[: len(module) - up], *([node.module] if node.module else [])])


def called(node: ast.Call) -> str:
    function = node.func
    return function.id if isinstance(function, ast.Name) else getattr(function, "attr", "")


def faults(source: str, *, module: list[str], is_package: bool = False) -> list[str]:
    return [
        f"{'.'.join(module)}:{line} imports {name}"
        for line, name in imports(source, module=module, is_package=is_package)
        if not (package_allowed(module, name) and layer_allowed(module, name))
    ]


def package_allowed(module: list[str], name: str) -> bool:
    home, target = module[0], name.split(".")[0]
    if home in WITHOUT_DJANGO and target in FRAMEWORKS:
        return False
    return target not in PACKAGES or PACKAGES.index(target) <= PACKAGES.index(home)


def layer_allowed(module: list[str], name: str) -> bool:
    target = name.split(".")
    if module[0] not in APPS or target[0] != module[0] or len(module) < 2 or len(target) < 2:
        return True
    mine, theirs = module[1], target[1]
    if mine not in LAYERS or theirs not in LAYERS:
        return True
    strangers = (mine, theirs) in STRANGERS or (theirs, mine) in STRANGERS
    return not strangers and LAYERS[theirs] <= LAYERS[mine]


@pytest.mark.parametrize("package", PACKAGES)
def test_a_package_imports_only_from_the_left(package: str) -> None:
    found: list[str] = []
    for path in modules(package):
        found += faults(path.read_text(), module=dotted(path), is_package=path.name == "__init__.py")
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("rules.fillet", "from records.models import Joint"),
        ("rules.fillet", "from django.db import models"),
        ("reports.weld_map", "def draw():\n    import records.models"),
        ("records.refresh", "def later():\n    from joints.actions import record_fit_up"),
        ("records.refresh", "from importlib import import_module\nimport_module('office.tasks')"),
        ("joints.views.card", "from inspection import queries"),
        ("joints.models", "from . import views"),
        ("joints.actions.assign", "from ..tasks import package"),
        ("joints.actions.assign", "from joints.forms import AssignForm"),
        ("joints.queries.card", "from joints import actions"),
        ("joints.views.card", "from joints.api import joint"),
        ("joints.api.joint", "from joints.views import card"),
        ("office.tasks", "from office.views import start"),
        ("office.forms", "import weldtrack.settings"),
    ],
)
def test_finds_an_import_upwards(module: str, source: str) -> None:
    assert len(faults(source, module=module.split("."))) == 1


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("office.views.start", "from joints.queries import card\nfrom office.actions import build_package"),
        ("joints.actions.assign", "from records.models import Joint\nfrom . import release"),
        ("reports.weld_map", "from rules.source import Source"),
        ("weldtrack.urls", "from office import urls"),
    ],
)
def test_lets_an_import_from_the_left_pass(module: str, source: str) -> None:
    assert faults(source, module=module.split(".")) == []


def test_no_file_is_a_place_for_odds_and_ends() -> None:
    banned = {"utils.py", "helpers.py", "misc.py", "common.py"}
    found = [str(path) for package in [*PACKAGES, "tests"] for path in modules(package) if path.name in banned]
    assert not found


def test_no_module_hears_signals() -> None:
    words = ("django.db.models.signals", "django.dispatch")
    found = [
        f"{path}: {name}"
        for package in PACKAGES
        for path in modules(package)
        for _, name in imports(path.read_text(), module=dotted(path), is_package=path.name == "__init__.py")
        if name.startswith(words)
    ]
    assert not found


@pytest.mark.parametrize("package", PACKAGES)
def test_every_module_opens_with_a_sentence(package: str) -> None:
    found = [
        str(path)
        for path in modules(package)
        if "migrations" not in path.parts
        and path.read_text().strip()
        and not ast.get_docstring(ast.parse(path.read_text()))
    ]
    assert not found
