"""A desk that runs, a Chromium whose microphone plays a recording, and people signed in at it.

For the tests and for ``docs/pictures/desk.py``.
"""

from __future__ import annotations

import shutil
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import av
import uvicorn
from fastapi import FastAPI
from playwright.sync_api import Browser, Page, Playwright
from tests.desk.conftest import PASSWORD

from witnessmark.desk.access import people
from witnessmark.desk.access.people import Role

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
DEMO = Path(__file__).parents[3] / "demo_audio"


@contextmanager
def running(app: FastAPI) -> Iterator[str]:
    """The address of the desk, listening on a free port of this computer."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=port, log_level="warning"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    try:
        yield f"http://localhost:{port}"
    finally:
        server.should_exit = True
        thread.join()


def microphone(recording: Path, path: Path, seconds: float = 3600.0) -> Path:
    """What a browser takes for the sound of a microphone: the beginning of a recording."""
    to_samples = av.AudioResampler("s16", "mono", 48_000)
    with av.open(str(recording)) as talk, av.open(str(path), "w") as out:
        stream = out.add_stream("pcm_s16le", rate=48_000, layout="mono")
        for frame in talk.decode(audio=0):
            if frame.time > seconds:
                break
            for piece in to_samples.resample(frame):
                out.mux(stream.encode(piece))
        out.mux(stream.encode(None))
    return path


def launched(playwright: Playwright, voice: Path, *more: str) -> Browser:
    """Chromium with a microphone that plays ``voice`` over and over.

    Args:
        playwright: what starts it.
        voice: as of `microphone`.
        more: further arguments of Chromium.
    """
    return playwright.chromium.launch(
        executable_path=CHROMIUM,
        args=[
            "--no-sandbox",
            "--use-fake-ui-for-media-stream",
            "--use-fake-device-for-media-stream",
            f"--use-file-for-fake-audio-capture={voice}",
            *more,
        ],
    )


def signed_in(app: FastAPI, page: Page, role: str) -> Page:
    """The page, with somebody of that role signed in, who is made if need be."""
    name = f"Robin {role.title()}"
    with app.state.desk.own.writing() as db:
        if not people.named(db, name):
            people.add(db, name, Role(role), PASSWORD)
    page.goto("/sign-in")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: url.endswith("/"))
    return page
