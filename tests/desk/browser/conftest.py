"""A running desk and a real Chromium."""

from __future__ import annotations

import shutil
import socket
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import av
import pytest
import uvicorn
from fastapi import FastAPI
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright
from tests.desk.conftest import PASSWORD

from witnessmark.desk.access import people
from witnessmark.desk.access.people import Role

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
DEMO = Path(__file__).parents[3] / "demo_audio"
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
    """The desk listening on a free port of this computer."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=port, log_level="warning"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    yield f"http://localhost:{port}"
    server.should_exit = True
    thread.join()


@pytest.fixture(scope="session")
def voice(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What the microphone hears: the first half minute of a demo walkround, over and over."""
    path = tmp_path_factory.mktemp("voice") / "voice.wav"
    to_samples = av.AudioResampler("s16", "mono", 48_000)
    with av.open(str(DEMO / "2025-03-14.opus")) as talk, av.open(str(path), "w") as out:
        stream = out.add_stream("pcm_s16le", rate=48_000, layout="mono")
        for frame in talk.decode(audio=0):
            if frame.time > 30:
                break
            for piece in to_samples.resample(frame):
                out.mux(stream.encode(piece))
        out.mux(stream.encode(None))
    return path


@pytest.fixture(scope="session")
def chromium(voice: Path) -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM,
            args=[
                "--no-sandbox",
                "--use-fake-ui-for-media-stream",
                "--use-fake-device-for-media-stream",
                f"--use-file-for-fake-audio-capture={voice}",
                f"--host-resolver-rules=MAP {OVER_HTTP} 127.0.0.1",
            ],
        )
        yield browser
        browser.close()


@pytest.fixture
def visit(app: FastAPI, address: str, chromium: Browser) -> Iterator[Visit]:
    """A page of the desk as somebody of a role sees it; fails afterwards when a script failed on it."""
    contexts: list[BrowserContext] = []
    faults: list[str] = []

    def go(path: str, role: str = "reviewer", **settings: object) -> Page:
        name = f"Robin {role.title()}"
        with app.state.desk.own.writing() as db:
            if not db.execute("SELECT 1 FROM people WHERE name = ?", [name]).fetchone():
                people.add(db, name, Role(role), PASSWORD)
        context = chromium.new_context(base_url=address, **settings)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.goto("/sign-in")
        page.get_by_label("Name").fill(name)
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url(f"{address}/")
        page.goto(path)
        return page

    yield go
    for context in contexts:
        context.close()
    assert not faults
