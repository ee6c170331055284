"""Pages of the workshop, its machines and the search, and the same for programs."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Depends, Path, Query, Request
from fastapi.responses import Response

from witnessmark.desk.access.guard import may
from witnessmark.desk.access.people import May, Person
from witnessmark.desk.machines import finding, listing, machine, shown, workshop
from witnessmark.desk.machines.knowing import know
from witnessmark.desk.machines.pareto import Cause, pareto
from witnessmark.desk.machines.series import plot_of
from witnessmark.desk.problems import Refused
from witnessmark.desk.sheet import sheet
from witnessmark.desk.there import there
from witnessmark.desk.walk.forms import State
from witnessmark.desk.walk.walks import walks_of
from witnessmark.desk.web import Desk, desk_of, page
from witnessmark.pages import page_of
from witnessmark.record import SeveralMachines, Store

pages = APIRouter(include_in_schema=False)
api = APIRouter(prefix="/api", tags=["machines"])

Here = Annotated[Desk, Depends(desk_of)]
Reader = Annotated[Person, Depends(may(May.READ))]
COMING = (State.COMING, State.WAITING, State.READING, State.FAILED)
"""Recordings that are not in the record yet."""
LONGEST = 10_000
"""Characters of what is looked for."""
Words = Annotated[str, Query(max_length=LONGEST)]
Name = Annotated[
    str, Path(max_length=200, description="Registration or VIN; case, spaces and hyphens do not matter.")
]
Walkround = Annotated[str, Path(max_length=80)]
Page = Annotated[int, Query(ge=1, le=1_000_000)]
Hits = Annotated[int, Query(ge=1, le=200)]


@pages.get("/")
def workshop_page(request: Request, desk: Here, person: Reader, period: shown.Period = "year") -> Response:
    """What waits, is open, overdue, and was found most."""
    shop = workshop_now(desk, person, period)
    diagram = pareto([Cause(one.says, one.times) for one in shop.found])
    coming = [one for one in walks_of(request).under_way(person) if one.state in COMING]
    return page(request, "workshop.html", person, shop=shop, diagram=diagram, coming=coming)


@pages.get("/machines")
def machines_page(
    request: Request, desk: Here, person: Reader, q: Words = "", sort: shown.Order = "seen", p: Page = 1
) -> Response:
    """All machines of the record."""
    found = machines(desk, person, q, sort, p)
    return page(request, "machines.html", person, found=found, q=q, sort=sort)


@pages.get("/machine/{name:path}")
def machine_page(request: Request, desk: Here, person: Reader, name: Name) -> Response:
    """One machine through all its visits, or the question which one is meant."""
    try:
        found = one_machine(desk, person, name)
    except Unclear as which:
        return page(request, "which_machine.html", person, 300, name=name, choices=which.choices)
    plots = {one.id: plot for one in found.series if (plot := plot_of(one))}
    return page(request, "machine.html", person, machine=found, plots=plots)


@pages.get("/summary/{walkround}")
def summary_page(desk: Here, person: Reader, walkround: Walkround) -> Response:
    """The owner's summary of a walkround, for people of the workshop."""
    with desk.record() as store:
        there(store, walkround)
        return sheet(page_of(store, walkround)[1])


@pages.get("/search")
def search_page(request: Request, desk: Here, person: Reader, q: Words = "", limit: Hits = 50) -> Response:
    """Items by any words, those words marked."""
    found = search(desk, person, q, limit)
    said = finding.marked(q, [one.says for one in found.hits])
    heard = finding.marked(q, [one.heard for one in found.hits])
    rows = list(zip(found.hits, said, heard, strict=True))
    return page(request, "search.html", person, q=q, rows=rows, more=found.more, limit=limit)


@api.get("/workshop")
def workshop_now(desk: Here, person: Reader, period: shown.Period = "year") -> shown.Workshop:
    """What waits for review, what is open and overdue by the confirmed record, and what was found most."""
    with desk.record() as store:
        return workshop.view(desk, store, period, date.today())


@api.get("/machines")
def machines(
    desk: Here, person: Reader, q: Words = "", sort: shown.Order = "seen", p: Page = 1
) -> shown.Machines:
    """Machines whose identity was confirmed; `q` is part of a registration or VIN."""
    with desk.record() as store:
        return listing.view(store, q, sort, p)


@api.get("/machines/{name:path}")
def one_machine(desk: Here, person: Reader, name: Name) -> shown.MachineView:
    """Everything confirmed of one machine, and what of it is open.

    409 where the registration was confirmed on several machines; the problem details carry `choices`.
    """
    with desk.record() as store, _told_apart(store, name):
        known = know(store, name)
    if known is None:
        raise Refused(
            404,
            "the record has no confirmed walkround of this machine.",
            "A machine is known once somebody has confirmed its identity in a review.",
        )
    return machine.view(known, name, date.today())


@api.get("/search")
def search(desk: Here, person: Reader, q: Words = "", limit: Hits = 50) -> shown.SearchResult:
    """Items that have all the words: heard, of parts and conditions, values, registration, VIN, people."""
    with desk.record() as store:
        return finding.view(store, q, limit)


class Unclear(Refused):
    """A registration of several machines.

    Args:
        name: the registration.
        choices: the machines.
    """

    def __init__(self, name: str, choices: tuple[shown.Choice, ...]) -> None:
        told = [one.model_dump(mode="json") for one in choices]
        super().__init__(409, f"{name} was confirmed on several machines.", "Ask by VIN.", choices=told)
        self.choices = choices


@contextmanager
def _told_apart(store: Store, name: str) -> Iterator[None]:
    try:
        yield
    except SeveralMachines as several:
        raise Unclear(name, listing.choices(store, several.vins)) from several


routers = (pages, api)
