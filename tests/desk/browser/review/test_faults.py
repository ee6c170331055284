"""Lost networks, lost answers, a desk killed in the middle: nothing is lost and nothing happens twice."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from playwright.sync_api import Browser, expect
from tests.desk.browser.review.hands import TREAD, Review, look_and
from tests.desk.conftest import PASSWORD
from tests.desk.review.talk import outcome, record_is_sound

from witnessmark.desk.access import people
from witnessmark.desk.access.people import Role


def test_a_decision_without_an_answer_stays_until_it_is_sent_again(
    app: FastAPI, id: str, review: Review
) -> None:
    page = review(quiet=False)
    page.context.set_offline(True)
    look_and(page, "y")
    box = page.get_by_role("alert").filter(has_text="Not known to be kept")
    expect(box).to_contain_text("you wanted to confirm “front tyre: tread depth 0.8 mm”")
    look_and(page, "n")
    look_and(page, "y")  # another one meanwhile is refused
    page.wait_for_timeout(200)
    page.context.set_offline(False)
    page.on("dialog", lambda dialog: dialog.accept())
    page.reload()  # even now
    expect(box).to_be_visible()
    page.get_by_role("button", name="Send it again").click()
    expect(page.locator(".queue")).to_contain_text("Decided (1)")
    assert [decision.item for decision in outcome(app, id).walkround.decisions] == [TREAD]


def test_an_answer_that_was_lost_makes_no_second_decision(app: FastAPI, id: str, review: Review) -> None:
    page = review(quiet=False)

    def lose(route: Any) -> None:
        route.fetch()
        route.abort()

    page.route("**/decisions", lose, times=1)
    look_and(page, "y")
    page.get_by_role("button", name="Send it again").click()
    expect(page.locator(".queue")).to_contain_text("Decided (1)")
    assert len(outcome(app, id).walkround.decisions) == 1


ROOT = Path(__file__).parents[4]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def desk(record: Path, port: int, where: str) -> Iterator[subprocess.Popen[str]]:
    """A desk in a process of its own; see ``mortal.py``."""
    command = [sys.executable, "-m", "tests.desk.review.mortal", str(record), str(port), where]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT)
    assert process.stdout is not None
    try:
        assert process.stdout.readline() == "ready\n"
        yield process
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


@pytest.mark.parametrize(("where", "kept"), [("before", 0), ("within", 0), ("after", 1)])
def test_a_desk_killed_in_the_middle_of_a_decision_is_asked_again(
    app: FastAPI, id: str, chromium: Browser, where: str, kept: int
) -> None:
    record, port = app.state.desk.settings.record, free_port()
    with app.state.desk.own.writing() as db:
        people.add(db, "Robin Reviewer", Role.REVIEWER, PASSWORD)
    context = chromium.new_context(base_url=f"http://localhost:{port}")
    page = context.new_page()
    with desk(record, port, where) as doomed:
        page.goto("/sign-in")
        page.get_by_label("Name").fill("Robin Reviewer")
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url("**/")
        page.goto(f"/review/{id}")
        expect(page.locator("#says")).to_be_focused()
        look_and(page, "y")
        assert doomed.stdout is not None
        assert doomed.stdout.readline() == "deciding\n"
        doomed.send_signal(signal.SIGKILL)
        doomed.wait()
        expect(page.get_by_role("alert").filter(has_text="Not known to be kept")).to_be_visible()
    assert len(outcome(app, id).confirmed) == kept
    assert record_is_sound(app)
    with desk(record, port, "nowhere"):
        page.get_by_role("button", name="Send it again").click()
        expect(page.locator(".queue")).to_contain_text("Decided (1)")
        context.close()
    assert [decision.item for decision in outcome(app, id).walkround.decisions] == [TREAD]
    assert record_is_sound(app)
