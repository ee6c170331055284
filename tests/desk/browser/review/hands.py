"""What a reviewer's hands do on the page, and what the record holds afterwards."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from fastapi import FastAPI
from playwright.sync_api import Page
from tests.desk.review.talk import outcome

TREAD = "tyre.front.tread_depth"
A_LOOK = 380
"""Milliseconds: an item takes no confirmation sooner."""
Review = Callable[..., Page]


def hand(page: Page) -> str:
    """The item in hand, in plain spaces."""
    return " ".join(page.locator("#says").inner_text().split())


def look_and(page: Page, key: str) -> None:
    page.wait_for_timeout(A_LOOK)
    page.keyboard.press(key)


def by_key(app: FastAPI, id: str) -> dict[str, Any]:
    return {entered.decision.item: entered for entered in outcome(app, id).confirmed}
