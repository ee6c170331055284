"""A running desk and a real Chromium."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright
from tests.desk.browser.serving import CHROMIUM, DEMO, launched, microphone, running, signed_in

OVER_HTTP = "desk.workshop.test"
"""A name of this computer that a browser does not take for it."""
Visit = Callable[..., Page]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)
            if CHROMIUM is None:
                item.add_marker(pytest.mark.skip(reason="there is no Chromium on this machine"))


@pytest.fixture
def address(app: FastAPI) -> Iterator[str]:
    """Of the desk, which runs."""
    with running(app) as found:
        yield found


@pytest.fixture(scope="session")
def voice(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What the microphone hears: the first half minute of a demo walkround, over and over."""
    return microphone(DEMO / "2025-03-14.opus", tmp_path_factory.mktemp("voice") / "voice.wav", 30)


@pytest.fixture(scope="session")
def chromium(voice: Path) -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = launched(playwright, voice, f"--host-resolver-rules=MAP {OVER_HTTP} 127.0.0.1")
        yield browser
        browser.close()


@pytest.fixture
def visit(app: FastAPI, address: str, chromium: Browser) -> Iterator[Visit]:
    """A page of the desk as somebody of a role sees it; fails afterwards when a script failed on it."""
    contexts: list[BrowserContext] = []
    faults: list[str] = []

    def go(path: str, role: str = "reviewer", **settings: object) -> Page:
        context = chromium.new_context(base_url=address, **settings)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: faults.append(str(error)))
        signed_in(app, page, role).goto(path)
        return page

    yield go
    for context in contexts:
        context.close()
    assert not faults
