"""How soon what is said stands on the walk page: ``python tests/bench/bench_live.py``. It is no test.

A real Chromium records a demo walkround from a fake microphone; the page is looked at four times a second.
A sentence counts from its end (``demo_audio/times``) to when words of it first stand among those so far. The
microphone begins with the recording, to within a few tenths of a second.
"""

from __future__ import annotations

import json
import re
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import text_to_num
from playwright.sync_api import sync_playwright
from tests.desk.browser.serving import DEMO, launched, microphone, running, signed_in

from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings

TALK = "2025-03-14"
SECONDS = 75.0
PHONE = {"width": 360, "height": 740}


def words(text: str) -> set[str]:
    """The longer words of a text; numbers are printed in figures, so no words for them."""
    return {one for one in re.findall(r"[a-z]{4,}", text.lower()) if not number(one)}


def number(word: str) -> bool:
    try:
        text_to_num.text2num(word, "en")
    except ValueError:
        return False
    return True


def main() -> None:
    said = json.loads((DEMO / "times" / f"{TALK}.json").read_text("utf-8"))
    said = [one for one in said if one["end"] < SECONDS - 10 and words(one["text"])]
    shown: dict[int, float] = {}
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        voice = microphone(DEMO / f"{TALK}.opus", Path(folder) / "voice.wav")
        browser = launched(playwright, voice)
        app = create(Settings(record=Path(folder) / "shop.sqlite", jurisdiction="GB"))
        with running(app) as address:
            context = browser.new_context(base_url=address, viewport=PHONE)
            page = signed_in(app, context.new_page(), "technician")
            page.goto("/walk")
            page.get_by_role("button", name="Start the walk").click()
            began = time.monotonic()
            while (now := time.monotonic() - began) < SECONDS:
                seen = words(page.locator("[data-live=text]").inner_text())
                for number, one in enumerate(said):
                    mine = words(one["text"])
                    if number not in shown and len(mine & seen) > 0.6 * len(mine) and now > one["end"]:
                        shown[number] = now - one["end"]
                page.wait_for_timeout(250)
            context.close()
        browser.close()
    late = sorted(shown.values())
    print(f"{len(late)} of {len(said)} sentences seen. Seconds from a sentence's end to the page: median "
          f"{statistics.median(late):.1f}, 95th percentile {late[int(len(late) * 0.95)]:.1f}")  # fmt: skip


if __name__ == "__main__":
    main()
