"""The desk as an ASGI application: pages, API, and the headers that keep both to themselves."""

from __future__ import annotations

from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from pathlib import Path

from fastapi import FastAPI, Request, Response
from fastapi.staticfiles import StaticFiles

from witnessmark import __version__
from witnessmark.desk import problems
from witnessmark.desk.access import routes as access
from witnessmark.desk.review import routes as review
from witnessmark.desk.settings import Settings
from witnessmark.desk.web import Desk

HEADERS = {
    "Content-Security-Policy": "default-src 'self'; img-src 'self' blob: data:; media-src 'self' blob:; "
    "object-src 'none'; base-uri 'none'; frame-ancestors 'none'; form-action 'self'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "microphone=(self), camera=(self), geolocation=()",
}
"""On every answer that does not set its own."""


def create(settings: Settings) -> FastAPI:
    """The application.

    Args:
        settings: where the record is, and what is allowed.

    Raises:
        StoreError: the record or the desk's own file cannot be opened or made.
    """
    desk = Desk(settings)
    with desk.record():
        pass  # made, or found fit, before anyone comes

    @asynccontextmanager
    async def running(app: FastAPI) -> AsyncIterator[None]:
        yield

    app = FastAPI(
        title="Witnessmark",
        version=__version__,
        summary="Walks in, findings out, decisions by people.",
        openapi_url="/api/openapi.json",
        docs_url=None,  # both pages would fetch their scripts from elsewhere
        redoc_url=None,
        lifespan=running,
    )
    app.state.desk = desk
    problems.answer(app)
    app.middleware("http")(_with_headers)
    app.mount("/static", StaticFiles(directory=Path(__file__).parent / "static"), name="static")
    for feature in (access, review):
        for router in feature.routers:
            app.include_router(router)
    return app


async def _with_headers(request: Request, go_on: Callable[[Request], Awaitable[Response]]) -> Response:
    answer = await go_on(request)
    for name, value in HEADERS.items():
        answer.headers.setdefault(name, value)
    if not request.url.path.startswith("/static"):
        answer.headers.setdefault("Cache-Control", "no-store")
    return answer
