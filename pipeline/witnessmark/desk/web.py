"""What every page and every handler shares: the desk behind a request, and pages made of templates."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from functools import cache
from typing import TYPE_CHECKING, Any

from fastapi import Request
from fastapi.responses import HTMLResponse
from markupsafe import Markup

from witnessmark.desk.own import Own
from witnessmark.desk.settings import Settings
from witnessmark.record import Store

if TYPE_CHECKING:
    from jinja2 import Environment

    from witnessmark.desk.access.people import Person
    from witnessmark.desk.access.seats import Seats


class Desk:
    """What handlers work with. One for a running desk, shared by all its threads."""

    def __init__(self, settings: Settings) -> None:
        from witnessmark.desk.access.seats import Seats

        self.settings = settings
        self.own = Own(settings.own_file)
        self.seats: Seats = Seats(self.own, secure=settings.secure)

    @contextmanager
    def record(self) -> Iterator[Store]:
        """The record, opened for one request.

        Raises:
            StoreError: it cannot be opened.
        """
        with Store.open(self.settings.record) as store:
            yield store


def desk_of(request: Request) -> Desk:
    """The desk that a request is put to; for ``Depends``."""
    desk: Desk = request.app.state.desk
    return desk


def page(
    request: Request, template: str, person: Person | None = None, status: int = 200, **values: Any
) -> HTMLResponse:
    """A page from ``templates/``.

    Args:
        request: of the visitor.
        template: its file name.
        person: who is signed in, shown in the head.
        status: HTTP status.
        values: what the template places. Text is escaped there.
    """
    key = desk_of(request).seats.form_key(request)
    html = (
        templates()
        .get_template(template)
        .render(person=person, form_key=key, path=request.url.path, status=status, **values)
    )
    return HTMLResponse(html, status_code=status)


@cache
def templates() -> Environment:
    """Templates of the desk, escaping everything and refusing names that are not there."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    found = Environment(
        loader=PackageLoader("witnessmark.desk"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.filters["hidden_key"] = Markup('<input type="hidden" name="form_key" value="{}">').format
    found.filters["moment"] = lambda at: f"{_day(at.astimezone())}, {at.astimezone():%H:%M}"
    found.filters["day"] = _day
    found.filters["sentence"] = lambda text: text[:1].upper() + text[1:]
    return found


def _day(on: date) -> str:
    """``9 March 2026``; ``moment`` adds the hour by the desk's own clock and zone."""
    return f"{on.day} {on:%B %Y}"
