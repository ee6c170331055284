"""What a piece of work needs at the bench, read from ``models/jobs.yaml``."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from functools import cache
from typing import Annotated, NamedTuple

from pydantic import BeforeValidator

from witnessmark.knowledge.paper import paper_words
from witnessmark.knowledge.rows import Components, Words, parse_rows, refuse, refuse_twins, sections
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import End, Frozen

FILE = "jobs.yaml"


SELF = "self"
"""In place of a component: the part that is worked on."""


class About(NamedTuple):
    """A quantity of a component; without an end, at the end where the job is."""

    component: str
    quantity: str
    end: End | None = None

    def of(self, component: str, end: End | None) -> About:
        """The same for work on a component at an end."""
        part = component if self.component == SELF else self.component
        return About(
            part, self.quantity, (self.end or end) if vocabulary().components[part].takes_end else None
        )


def _abouts(value: object) -> object:
    """``tyre.pressure`` and so on."""
    texts = value if isinstance(value, list) else [value]
    return [tuple(str(text).split(".")) for text in texts]


Abouts = Annotated[tuple[About, ...], BeforeValidator(_abouts)]


class Job(Frozen):
    """One row; what is left out fits anything."""

    id: str
    component: Components = ()
    work: Words = ()
    needs: Words = ()
    shows: Abouts = ()
    measure: Abouts = ()
    after: Words = ()

    def fits(self, component: str, work: str) -> bool:
        """Whether it is for that work on that component."""
        return (not self.component or component in self.component) and (not self.work or work in self.work)


@cache
def jobs() -> tuple[Job, ...]:
    """The rows, checked; the last fits any job.

    Raises:
        KnowledgeError: on a bad row, an id used twice, an unknown id, or a last row that does not fit all.
    """
    raw = sections(FILE, ("jobs",))
    rows = parse_rows(Job, raw.get("jobs"), FILE, "jobs")
    refuse_twins((row.id for row in rows), FILE)
    for row in rows:
        _check(row)
    if not rows or rows[-1].component or rows[-1].work:
        refuse("the last row must fit any job", FILE)
    return rows


def _check(row: Job) -> None:
    ids, words = vocabulary(), paper_words()
    abouts = (*row.shows, *row.measure)
    wanted: dict[str, tuple[Iterable[str], Collection[str]]] = {
        "action": (row.work, ids.actions),
        "need": (row.needs, words.needs),
        "check": (row.after, words.after),
        "component": ([about.component for about in abouts], [SELF, *ids.components]),
        "quantity": ([about.quantity for about in abouts], ids.quantities),
    }
    for kind, (said, known) in wanted.items():
        if unknown := set(said) - set(known):
            refuse(f"row {row.id}: unknown {kind} {sorted(unknown)[0]!r}", FILE)


def job_for(component: str, work: str) -> Job:
    """The first row that fits."""
    return next(row for row in jobs() if row.fits(component, work))
