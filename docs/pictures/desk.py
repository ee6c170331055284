"""Draw pages of the desk as they are: ``python docs/pictures/desk.py walk``; without a name, all.

Needs Chromium and the speech weights. Each picture is a function of `PICTURES`, given a running desk and a
browser whose microphone plays a demo walkround.
"""

import sys
import tempfile
import threading
from datetime import date
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import NamedTuple

sys.path.insert(0, str(Path(__file__).parents[2]))  # the tests' scenario

from fastapi import FastAPI
from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright
from tests.desk.browser.serving import DEMO, launched, microphone, running, signed_in
from tests.desk.machines.making import fill
from tests.desk.walk.making import take_in_text

from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings

HERE = Path(__file__).parent
PHONE = {"width": 360, "height": 740}
TOUCHED = "--blink-settings=" + ",".join(
    ("primaryHoverType=1", "availableHoverTypes=1", "primaryPointerType=2", "availablePointerTypes=2")
)
"""Chromium then takes itself for something without a mouse."""
COLOURS = 96
"""Of a picture: enough for text on paper, and a third of the bytes."""
TALK = "2026-05-21"
PADS = "brake_pads.front.thickness"


class Desk(NamedTuple):
    """A desk that runs, and what it is seen through."""

    app: FastAPI
    address: str
    computer: Browser
    phone: Browser


def main() -> None:
    wanted = sys.argv[1:] or list(PICTURES)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        voice = microphone(DEMO / f"{TALK}.opus", Path(folder) / "voice.wav")
        browsers = launched(playwright, voice), launched(playwright, voice, TOUCHED)
        app = create(Settings(record=Path(folder) / "shop.sqlite", jurisdiction="GB"))
        with running(app) as address:
            for name in wanted:
                page = PICTURES[name](Desk(app, address, *browsers))
                keep(page.screenshot(), HERE / f"{name}.png")
                page.context.close()
        for browser in browsers:
            browser.close()
    for left in threading.enumerate():
        if left.name in ("listening", "reading"):
            left.join(60)  # the speech engine does not bear Python to end around it


def walk(desk: Desk, scheme: str = "light") -> Page:
    """A technician's phone once several things were understood and one is in doubt."""
    page = visit(desk, "technician", "/walk", PHONE, scheme, scale=2)
    page.get_by_role("button", name="Start the walk").click()
    for part in (".asked", "[data-live=before] li >> nth=1"):
        page.locator(part).wait_for(timeout=180_000)
    return page


def machine(desk: Desk) -> Page:
    """One machine through four visits: what is open, and its readings with limits and forecasts."""
    filled(desk)
    return visit(desk, "reviewer", "/machine/KX21WPT", {"width": 1200, "height": 2240})


def workshop(desk: Desk, scheme: str = "light") -> Page:
    """What waits, is overdue and open, and what was found most."""
    filled(desk)
    return visit(desk, "reviewer", "/?period=all", {"width": 1200, "height": 1760}, scheme)


def review(desk: Desk, width: int = 1600, height: int = 900, scheme: str = "light", scale: int = 1) -> Page:
    """A reviewer at a pair of worn pads: what was said, how it is judged, and what was measured before."""
    filled(desk)
    talk = (DEMO / "scripts" / f"{TALK}.txt").read_text("utf-8").strip()
    id = take_in_text(desk.app, talk, date.fromisoformat(TALK), "GB")
    size = {"width": width, "height": height}
    page = visit(desk, "reviewer", f"/review/{id}#{PADS}", size, scheme, scale)
    page.locator(".plot").wait_for()
    return page


PICTURES = {
    "walk": walk,
    "walk-dark": partial(walk, scheme="dark"),
    "machine": machine,
    "workshop": workshop,
    "workshop-dark": partial(workshop, scheme="dark"),
    "review": review,
    "review-dark": partial(review, scheme="dark"),
    "review-phone": partial(review, **PHONE, scale=2),
}


def filled(desk: Desk) -> None:
    """The record with the machines of the tests' workshop."""
    with desk.app.state.desk.record() as store:
        known = store.machines()
    if not known:
        fill(desk.app)


def visit(
    desk: Desk, role: str, path: str, size: dict[str, int], scheme: str = "light", scale: int = 1
) -> Page:
    """A page as somebody of that role sees it, with so many pixels to each of its own."""
    browser = desk.phone if size == PHONE else desk.computer
    context = browser.new_context(
        base_url=desk.address,
        viewport=size,
        has_touch=size == PHONE,
        device_scale_factor=scale,
        color_scheme=scheme,
        permissions=["microphone"],
    )
    page = signed_in(desk.app, context.new_page(), role)
    page.goto(path)
    return page


def keep(picture: bytes, path: Path) -> None:
    """Write it with few colours."""
    few = Image.open(BytesIO(picture)).convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    few.save(path, optimize=True)


if __name__ == "__main__":
    main()
