"""A site of its own for each journey, and people with phones and desks."""

import fcntl
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, sync_playwright

from tests.journeys.demonstration import BROWSER_FLAGS, browser_path, prepare, served
from tests.journeys.visitor import DESK, TABLET, Visitor

PATIENCE_MS = 30_000
Meet = Callable[..., Visitor]
Crew = Callable[[str], Visitor]


@pytest.fixture(scope="session")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demonstration imported; every worker of one run shares it."""
    base = tmp_path_factory.getbasetemp()
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "demonstration"
    folder.mkdir(exist_ok=True)
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (folder / "done").exists():
            prepare(folder)
            (folder / "seen").mkdir()
            (folder / "done").touch()
    return folder


@pytest.fixture
def site(prepared: Path, tmp_path: Path) -> Iterator[str]:
    """The address of a site that serves a copy of the demonstration, for one journey alone."""
    with served(prepared, tmp_path) as address:
        yield address


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser, closed afterwards: left open, its event loop would make later tests look asynchronous to the ORM."""
    path = browser_path()
    if path is None:
        pytest.fail("No Chromium: apt-get install chromium, or set SPOOLBOOK_CHROMIUM to one.")
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=path, args=BROWSER_FLAGS)
        yield opened
        opened.close()


@contextmanager
def meeting(browser: Browser, site: str, seen: Path) -> Iterator[Meet]:
    """Meet people of a site; at the end none of their browsers may have complained."""
    contexts: list[BrowserContext] = []
    people: list[Visitor] = []

    def met(name: str, device: dict[str, object], *, has_script: bool = True) -> Visitor:
        context = browser.new_context(**device, java_script_enabled=has_script, accept_downloads=True)
        context.set_default_timeout(PATIENCE_MS)
        contexts.append(context)
        person = Visitor(context.new_page(), site, is_touched="has_touch" in device, is_looking=has_script, seen=seen)
        people.append(person)
        return person.sign_in(name)

    yield met
    for context in contexts:
        context.close()
    assert [complaint for person in people for complaint in person.complaints] == []


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A browser for the journeys of one module; each person in it has a profile of their own."""
    with chromium() as opened:
        yield opened


@pytest.fixture
def meet(browser: Browser, site: str, prepared: Path) -> Iterator[Meet]:
    """Meet somebody by the name they sign in with: `meet("welder", PHONE)`; they have come in already."""
    with meeting(browser, site, prepared / "seen") as met:
        yield met


@pytest.fixture(scope="module", params=[TABLET, DESK], ids=["tablet", "desk"])
def crew(request: pytest.FixtureRequest, prepared: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Crew]:
    """People who stay signed in at one site for the short journeys of a module: `crew("welder")`, first on a tablet."""
    folder = tmp_path_factory.mktemp("crew")
    with served(prepared, folder) as site, chromium() as opened, meeting(opened, site, prepared / "seen") as met:

        def come(name: str) -> Visitor:
            person = met(name, request.param)
            # Every page is held against the standards at both widths already; these look where their deeds make another.
            person.is_looking = False
            return person

        yield cache(come)
