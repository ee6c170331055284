"""The page of the workshop as values: what waits, is open, overdue, and was found most."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from witnessmark.desk.machines import shown
from witnessmark.desk.machines.knowing import names
from witnessmark.desk.machines.reckoned import reckoned
from witnessmark.desk.web import Desk
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.record import Commonness, Store

DAYS: dict[shown.Period, int | None] = {"month": 30, "year": 365, "all": None}
_KINDS: tuple[shown.Kind, ...] = ("limit", "measure", "work", "inspection")


def view(desk: Desk, store: Store, period: shown.Period, today: date) -> shown.Workshop:
    """Everything that the page shows."""
    rows = store.machines()
    briefs = reckoned(desk).briefs(desk, store, rows)
    known = [(name, brief) for name, brief in zip(names(rows), briefs, strict=True) if brief]
    wanted = [shown.OpenWorkLine(machine=name, work=work) for name, brief in known for work in brief.wanted]
    overdue = [one for _, brief in known for one in brief.overdue(today)]
    waiting = tuple(_waiting(store))
    days = DAYS[period]
    since = today - timedelta(days=days) if days else None
    return shown.Workshop(
        day=today,
        empty=not (rows or waiting or store.walkrounds()),
        walkrounds=sum(row.walkrounds for row in rows),
        machines=len(rows),
        waiting=waiting,
        wanted=tuple(sorted(wanted, key=lambda one: one.work.since)),
        overdue=tuple(sorted(overdue, key=_pressing)),
        not_reckoned=briefs.count(None),
        unclear=tuple(name for name, brief in known if brief.unclear),
        period=period,
        found=tuple(_found(store.most_found(since, today if days else None))),
    )


def _waiting(store: Store) -> Iterator[shown.WaitingLine]:
    for one in store.waiting():
        yield shown.WaitingLine(
            walkround=one.walkround,
            on=one.on,
            machine=one.registration or "",
            items=one.items,
            dangerous=one.dangerous,
            doubtful=one.doubtful,
        )


def _pressing(one: shown.Overdue) -> tuple[int, date]:
    return _KINDS.index(one.kind), one.since or date.max


def _found(rows: Sequence[Commonness]) -> Iterator[shown.FoundOften]:
    total, together = sum(row.found for row in rows), 0
    for row in rows:
        together += row.found
        yield shown.FoundOften(
            says=commonly(row.component, row.condition),
            times=row.found,
            share=round(100 * row.found / total, 1),
            together=round(100 * together / total, 1),
        )


def commonly(component: str, condition: str) -> str:
    """``drive chain: worn``."""
    words = vocabulary()
    part = words.components.get(component)
    return f"{part.name if part else component}: {words.conditions.get(condition, condition)}"
