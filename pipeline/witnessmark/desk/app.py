"""The desk as an ASGI application: pages, API, and the headers that keep both to themselves."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles

from witnessmark import __version__
from witnessmark.desk import problems
from witnessmark.desk.access import routes as access
from witnessmark.desk.front import Front
from witnessmark.desk.machines import routes as machines
from witnessmark.desk.openapi import describe
from witnessmark.desk.review import routes as review
from witnessmark.desk.settings import Settings
from witnessmark.desk.walk import pages as walk_pages
from witnessmark.desk.walk import routes as walk
from witnessmark.desk.walk.walks import Walks
from witnessmark.desk.web import Desk

if TYPE_CHECKING:
    from witnessmark.transcribe import Transcriber


def create(settings: Settings, transcriber: Transcriber | None = None) -> FastAPI:
    """The application. Recordings are read while it runs (its lifespan).

    Args:
        settings: where the record is, and what is allowed.
        transcriber: the speech model; that of the settings when None, loaded at the first recording.

    Raises:
        StoreError: the record or the desk's own file cannot be opened or made.
    """
    desk = Desk(settings)
    with desk.record():
        pass  # made, or found fit, before anyone comes
    walks = Walks(desk, transcriber)

    @asynccontextmanager
    async def running(app: FastAPI) -> AsyncIterator[None]:
        # Held open: whoever closes a record last copies its log back, which would cost each request that.
        with desk.record(), walks.running():
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
    app.state.desk, app.state.walks = desk, walks
    problems.answer(app)
    app.add_middleware(Front, settings=settings)
    app.mount("/static", StaticFiles(directory=Path(__file__).parent / "static"), name="static")
    for feature in (access, review, walk, walk_pages, machines):
        for router in feature.routers:
            app.include_router(router)
    describe(app, desk.seats.cookie)
    return app
