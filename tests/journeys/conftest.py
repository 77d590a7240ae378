"""A site of its own for each journey, and people with phones and desks."""

import fcntl
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, sync_playwright

from tests.journeys.demonstration import BROWSER_FLAGS, browser_path, prepare, served
from tests.journeys.visitor import PHONE, Visitor

PATIENCE_MS = 30_000
Meet = Callable[..., Visitor]


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
            (folder / "done").touch()
    return folder


@pytest.fixture
def site(prepared: Path, tmp_path: Path) -> Iterator[str]:
    """The address of a site that serves a copy of the demonstration, for one journey alone."""
    with served(prepared, tmp_path) as address:
        yield address


@pytest.fixture
def browser() -> Iterator[Browser]:
    """A browser for one journey: left open, its event loop would make later tests look asynchronous to the ORM."""
    path = browser_path()
    if path is None:
        pytest.fail("No Chromium: apt-get install chromium, or set SPOOLBOOK_CHROMIUM to one.")
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=BROWSER_FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture
def meet(browser: Browser, site: str) -> Iterator[Meet]:
    """Meet somebody by the name they sign in with: `meet("welder", PHONE)`; they have come in already."""
    contexts: list[BrowserContext] = []
    people: list[Visitor] = []

    def met(name: str, device: dict[str, object], *, has_script: bool = True) -> Visitor:
        context = browser.new_context(**device, java_script_enabled=has_script, accept_downloads=True)
        context.set_default_timeout(PATIENCE_MS)
        contexts.append(context)
        person = Visitor(context.new_page(), site, has_phone=device is PHONE, is_looking=has_script)
        people.append(person)
        return person.sign_in(name)

    yield met
    for context in contexts:
        context.close()
    assert [complaint for person in people for complaint in person.complaints] == []
