"""What the documents say stands: their links lead somewhere, their commands exist, and the workbook's columns are these."""

import re
import shlex
from pathlib import Path

import pytest
from django.core.management import get_commands, load_command_class

from docs import make_rules
from office.importing.columns import header
from office.importing.forms import FORMS, NAMES
from office.management.commands.load_demo import CREW
from rules.tables import table_names

ROOT = Path(__file__).resolve().parents[1]
DOCUMENTS = sorted(
    path
    for path in [*ROOT.glob("*.md"), *ROOT.glob("docs/**/*.md"), *ROOT.glob("demo/*.md")]
    if ".venv" not in path.parts
)
LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")
MANAGED = re.compile(r"manage\.py ([a-z_]+)([^`|\n]*)")
MADE = re.compile(r"`make ([a-z.]+)|^    make ([a-z.]+)", re.MULTILINE)
PROGRAM = re.compile(r"^    (\.venv/bin/\S+)", re.MULTILINE)


def name_of(path: Path) -> str:
    return str(path.relative_to(ROOT))


def said(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def anchor(heading: str) -> str:
    return re.sub(r"[^\w\- ]", "", heading.strip().lower()).replace(" ", "-")


@pytest.mark.parametrize("document", DOCUMENTS, ids=name_of)
def test_every_link_to_a_file_leads_somewhere(document: Path) -> None:
    lost = []
    for target in LINK.findall(said(document)):
        if target.startswith(("http://", "https://", "mailto:")):
            continue
        name, _, place = target.partition("#")
        found = (document.parent / name).resolve() if name else document
        if (
            not found.exists()
            or place
            and place not in {anchor(one) for one in re.findall(r"^#+ (.*)$", said(found), re.MULTILINE)}
        ):
            lost.append(target)
    assert lost == []


@pytest.mark.parametrize("document", DOCUMENTS, ids=name_of)
def test_every_command_of_the_site_exists_with_its_options(document: Path) -> None:
    commands = get_commands()
    for name, rest in MANAGED.findall(said(document)):
        assert name in commands, f"{name} is no command"
        application = commands[name]
        if not isinstance(application, str):
            continue
        known = load_command_class(application, name).create_parser("manage.py", name)._option_string_actions
        given = [
            word.partition("=")[0] for word in shlex.split(rest.split("#")[0], posix=False) if word.startswith("--")
        ]
        assert [one for one in given if one not in known] == [], f"{name} has no such option"


@pytest.mark.parametrize("document", DOCUMENTS, ids=name_of)
def test_every_target_of_make_exists(document: Path) -> None:
    targets = set(re.findall(r"^([a-z.]+):", said(ROOT / "Makefile"), re.MULTILINE))
    assert {one or other for one, other in MADE.findall(said(document))} <= targets


@pytest.mark.parametrize("document", DOCUMENTS, ids=name_of)
def test_every_program_of_the_environment_exists(document: Path) -> None:
    import_free = {".venv/bin/python", ".venv/bin/pytest"}
    for program in set(PROGRAM.findall(said(document))) - import_free:
        assert (ROOT / program).exists(), f"{program} is not in the environment"


def test_the_workbook_page_names_every_sheet_with_exactly_its_columns() -> None:
    rows = re.findall(r"^\| ([A-Z][\w -]+) \| (.+) \| (.+) \|$", said(ROOT / "docs" / "workbook.md"), re.MULTILINE)
    told = {name: (columns(needed), columns(optional)) for name, needed, optional in rows}
    assert tuple(told) == NAMES
    for form in FORMS:
        needed = [column.name for column in form.columns if column.needed]
        optional = [column.name for column in form.columns if not column.needed]
        assert told[form.name] == (needed, optional), form.name
        bold = re.findall(r"\*\*([^*]+)\*\*", " ".join(next(row[1:] for row in rows if row[0] == form.name)))
        assert {header(one) for one in bold} == {header(one) for one in form.identity}, form.name


def columns(cell: str) -> list[str]:
    return [] if cell == "–" else [one.strip("* ") for one in cell.split(",")]


def test_every_role_has_a_page_that_names_its_sign_in() -> None:
    index = said(ROOT / "docs" / "README.md")
    for person in CREW:
        page = "client" if person.role == "owner" else person.role
        assert f"({page}.md)" in index
        if person.sign_in != "hamish":
            assert f"`{person.sign_in}`" in said(ROOT / "docs" / f"{page}.md")


def test_the_rules_page_says_what_tables_rules_and_checks_hold() -> None:
    page = make_rules.document()
    assert said(ROOT / "docs" / "rules.md") == page, "run: python -m docs.make_rules"
    assert all(f"### {name}\n" in page for name in table_names())


def test_a_rule_without_source_or_check_would_show_on_its_page() -> None:
    rows = re.findall(r"^\| `(\w+\.\w+)` \| (.*) \|$", said(ROOT / "docs" / "rules.md"), re.MULTILINE)
    assert len(rows) > 40
    for rule, cells in rows:
        says, source, _, held = cells.split(" | ")
        assert says and source and held.strip(), f"{rule} has no source, or no check holds it"
