"""A walkround in the browser."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from fastapi import FastAPI
from playwright.sync_api import Page, Request, expect
from tests.desk.browser.conftest import Visit
from tests.desk.browser.review.hands import Review
from tests.desk.review.talk import take_in


@pytest.fixture
def id(app: FastAPI) -> str:
    return take_in(app)


@pytest.fixture
def review(visit: Visit, address: str, id: str) -> Iterator[Review]:
    """The walkround's page; afterwards nothing was asked of any other site and no console told of errors."""
    outside: list[str] = []
    errors: list[str] = []

    def asked(request: Request) -> None:
        if not request.url.startswith((address, "blob:", "data:")):
            outside.append(request.url)

    def go(role: str = "reviewer", *, quiet: bool = True, **settings: Any) -> Page:
        page = visit("/review", role, **settings)
        page.on("request", asked)
        if quiet:
            page.on("console", lambda told: told.type == "error" and errors.append(told.text))
        page.goto(f"/review/{id}")
        expect(page.locator("#says")).to_be_focused()
        return page

    yield go
    assert outside == []
    assert errors == []
