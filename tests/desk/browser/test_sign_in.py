"""Sign-in in a real browser."""

from __future__ import annotations

from tests.desk.browser.conftest import Visit


def test_somebody_signs_in_and_out(visit: Visit) -> None:
    page = visit("/", "reader")
    assert page.get_by_text("Robin Reader, reader").is_visible()
    page.get_by_role("button", name="Sign out").click()
    assert page.get_by_role("heading", name="Sign in").is_visible()
