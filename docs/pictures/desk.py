"""Draw pages of the desk as they are: ``python docs/pictures/desk.py walk``; without a name, all.

Needs Chromium and the speech weights. Each picture is a function of `PICTURES`, given a running desk and a
browser whose microphone plays a demo walkround.
"""

import shutil
import socket
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))  # the tests' scenario

import av
import uvicorn
from fastapi import FastAPI
from playwright.sync_api import Browser, Page, sync_playwright
from tests.desk.machines.making import fill
from tests.desk.walk.making import take_in_text

from witnessmark.desk.access import people
from witnessmark.desk.access.people import Role
from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings

HERE = Path(__file__).parent
DEMO = HERE.parents[1] / "demo_audio"
PASSWORD = "seven brass washers"
PHONE = {"width": 360, "height": 740}


def main() -> None:
    wanted = sys.argv[1:] or list(PICTURES)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        voice = microphone(DEMO / "2026-05-21.opus", Path(folder) / "voice.wav")
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"),
            args=[
                "--no-sandbox",
                "--use-fake-ui-for-media-stream",
                "--use-fake-device-for-media-stream",
                f"--use-file-for-fake-audio-capture={voice}",
            ],
        )
        app = create(Settings(record=Path(folder) / "shop.sqlite", jurisdiction="GB"))
        with running(app) as address:
            for name in wanted:
                PICTURES[name](app, address, browser).screenshot(path=HERE / f"{name}.png")
        browser.close()


def walk(app: FastAPI, address: str, browser: Browser) -> Page:
    """A technician's phone once several things were understood and one is in doubt."""
    page = signed_in(app, address, browser, Role.TECHNICIAN, PHONE)
    page.goto("/walk")
    page.get_by_role("button", name="Start the walk").click()
    for part in (".asked", "[data-live=before] li >> nth=1"):
        page.locator(part).wait_for(timeout=180_000)
    return page


def machine(app: FastAPI, address: str, browser: Browser) -> Page:
    """One machine through four visits: what is open, and its readings with limits and forecasts."""
    return _of_the_shop(app, address, browser, "/machine/KX21WPT", 2240)


def workshop(app: FastAPI, address: str, browser: Browser) -> Page:
    """What waits, is overdue and open, and what was found most."""
    return _of_the_shop(app, address, browser, "/?period=all", 1760)


def review(app: FastAPI, address: str, browser: Browser, scheme: str = "light", width: int = 1440) -> Page:
    """A reviewer at a pair of worn pads: what was said, how it is judged, and what was measured before."""
    with app.state.desk.record() as store:
        known = store.machines()
    if not known:
        fill(app)
    day = "2026-05-21"
    talk = (DEMO / "scripts" / f"{day}.txt").read_text("utf-8").strip()
    id = take_in_text(app, talk, date.fromisoformat(day), "GB")
    page = signed_in(app, address, browser, Role.REVIEWER, {"width": width, "height": 900}, scheme, scale=1)
    page.goto(f"/review/{id}")
    page.get_by_role("button", name="Front brake pads: thickness 1.2 mm").click()
    page.locator(".plot").wait_for()
    return page


def _of_the_shop(app: FastAPI, address: str, browser: Browser, path: str, height: int) -> Page:
    with app.state.desk.record() as store:
        known = store.machines()
    if not known:
        fill(app)
    page = signed_in(app, address, browser, Role.REVIEWER, {"width": 1200, "height": height}, scale=1)
    page.goto(path)
    return page


PICTURES = {
    "walk": walk,
    "machine": machine,
    "workshop": workshop,
    "review": review,
    "review-dark": partial(review, scheme="dark", width=1600),
}


def signed_in(
    app: FastAPI,
    address: str,
    browser: Browser,
    role: Role,
    size: dict[str, int],
    scheme: str = "light",
    scale: int = 2,
) -> Page:
    """A page of somebody of that role, at twice the pixels."""
    name = f"Robin {role.value.title()}"
    with app.state.desk.own.writing() as db:
        if not db.execute("SELECT 1 FROM people WHERE name = ?", [name]).fetchone():
            people.add(db, name, role, PASSWORD)
    context = browser.new_context(
        base_url=address,
        viewport=size,
        device_scale_factor=scale,
        color_scheme=scheme,
        permissions=["microphone"],
    )
    page = context.new_page()
    page.goto("/sign-in")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{address}/")
    return page


@contextmanager
def running(app: FastAPI) -> Iterator[str]:
    """The desk on a free port of this computer."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=port, log_level="warning"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.05)
    yield f"http://localhost:{port}"
    server.should_exit = True
    thread.join()
    for left in threading.enumerate():
        if left.name in ("listening", "reading"):
            left.join(60)  # the speech engine does not bear Python to end around it


def microphone(recording: Path, path: Path) -> Path:
    """What a browser takes for the sound of a microphone."""
    to_samples = av.AudioResampler("s16", "mono", 48_000)
    with av.open(str(recording)) as talk, av.open(str(path), "w") as out:
        stream = out.add_stream("pcm_s16le", rate=48_000, layout="mono")
        for frame in talk.decode(audio=0):
            for piece in to_samples.resample(frame):
                out.mux(stream.encode(piece))
        out.mux(stream.encode(None))
    return path


if __name__ == "__main__":
    main()
