"""The page of the workshop as values: what waits, is open, overdue, and was found most."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from threading import Lock
from time import monotonic
from typing import NamedTuple
from weakref import WeakKeyDictionary

from witnessmark.desk.machines import shown, wording
from witnessmark.desk.machines.knowing import Known, know, names
from witnessmark.desk.machines.machine import due
from witnessmark.desk.web import Desk
from witnessmark.forecast import at_limit
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.record import Commonness, MachineRow, SeveralMachines, Store
from witnessmark.review.wording import gaps, printable
from witnessmark.summarise.ahead import floor_to
from witnessmark.summarise.reckoned import at_limit as when
from witnessmark.summarise.reckoned import limit_of, part_of
from witnessmark.types import Forecast, NextLook
from witnessmark.units import text_of

PATIENCE = 1.5
"""Seconds that a page waits for machines to be gone through; how many are left is told on it."""
DAYS: dict[shown.Period, int | None] = {"month": 30, "year": 365, "all": None}


class Brief(NamedTuple):
    """What one machine has open and overdue on a day."""

    wanted: tuple[shown.OpenWork, ...] = ()
    overdue: tuple[shown.Overdue, ...] = ()
    unclear: bool = False
    """Whether its registration is that of several machines."""


class Reckoned:
    """Briefs of all machines, each kept until somebody decides on one of its walkrounds or the day ends."""

    def __init__(self) -> None:
        self._kept: dict[object, Brief] = {}
        self._lock = Lock()

    def briefs(self, store: Store, rows: Sequence[MachineRow], today: date) -> list[Brief | None]:
        """One a row; None for those that could not be gone through in time."""
        until = monotonic() + PATIENCE
        keys = [(row.registration, row.vin, row.revision, row.walkrounds, today) for row in rows]
        with self._lock:
            kept = dict(self._kept)
        for key, row, name in zip(keys, rows, names(rows), strict=True):
            if key not in kept:
                if monotonic() > until:
                    break
                kept[key] = _brief(store, row, name, today)
        with self._lock:
            self._kept = {key: kept[key] for key in keys if key in kept}
        return [kept.get(key) for key in keys]


_OF_DESK: WeakKeyDictionary[Desk, Reckoned] = WeakKeyDictionary()


def reckoned(desk: Desk) -> Reckoned:
    """What this desk has gone through already."""
    return _OF_DESK.setdefault(desk, Reckoned())


def view(desk: Desk, store: Store, period: shown.Period, today: date) -> shown.Workshop:
    """Everything that the page shows."""
    rows = store.machines()
    briefs = reckoned(desk).briefs(store, rows, today)
    known = [(name, row, brief) for name, row, brief in zip(names(rows), rows, briefs, strict=True) if brief]
    days = DAYS[period]
    since = today - timedelta(days=days) if days else None
    wanted = [
        shown.OpenWorkLine(machine=name, work=work) for name, _, brief in known for work in brief.wanted
    ]
    return shown.Workshop(
        day=today,
        walkrounds=len(store.walkrounds()),
        machines=len(rows),
        waiting=tuple(_waiting(store)),
        wanted=tuple(sorted(wanted, key=lambda one: one.work.since)),
        overdue=tuple(sorted((o for _, _, brief in known for o in brief.overdue), key=_pressing)),
        not_reckoned=sum(brief is None for brief in briefs),
        unclear=tuple(row.registration or "" for _, row, brief in known if brief.unclear),
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


_KINDS = ("limit", "measure", "work", "inspection")


def _pressing(one: shown.Overdue) -> tuple[int, date]:
    return _KINDS.index(one.kind), one.since or date.max


def _brief(store: Store, row: MachineRow, name: str, today: date) -> Brief:
    try:
        known = know(store, row.vin or row.registration or "")
    except SeveralMachines:
        return Brief(unclear=True)
    if known is None:
        return Brief()
    return Brief(tuple(map(wording.wanted, known.wanted)), tuple(_overdue(known, name, today)))


def _overdue(known: Known, name: str, today: date) -> Iterator[shown.Overdue]:
    """Parts at their limit, parts to be measured again, work by the card, and the next inspection."""
    last = known.history.visits[-1]

    def late(kind: str, what: str, since: date | None = None) -> shown.Overdue:
        return shown.Overdue.model_validate(
            {"kind": kind, "machine": name, "what": what, "since": since, "walkround": last.walkround}
        )

    for one in known.outlook.forecasts:
        if at_limit(one, last.machine.odometer):
            yield late("limit", _at_limit(one), one.readings[-1].on if one.readings else last.on)
    for part in gaps(known.outlook.look.overdue, None):
        yield late("measure", part)
    for row in known.outlook.due:
        told = due(row, today)
        if told.overdue:
            yield late("work", f"{told.work}{f', due at {told.due_at}' if told.due_at else ''}", row.on)
    look = known.outlook.look
    if look.on is not None and look.on < today:
        yield late("inspection", _inspection(look), look.on)


def _at_limit(one: Forecast) -> str:
    """``rear tyre: tread depth 0.9 mm; limit at least 1 mm, law``."""
    last = one.readings[-1].reading if one.readings else None
    value = f" {text_of(last.value, last.unit)}" if last else ""
    maybe = "" if one.state == "reached" else f"; may be at its limit now: {next(when(one), '')}"
    return printable(f"{part_of(one)}{value}; limit {next(limit_of(one), 'not known')}{maybe}")


def _inspection(look: NextLook) -> str:
    """``for the front brake disc; or at 15,700 mi``."""
    way = f"; or at {floor_to(look.at):,} {look.clock}" if look.at is not None else ""
    whose = dict.fromkeys(map(_setter, look.because))
    return f"for {' and '.join(whose) or 'nothing in particular'}{way}"


def _setter(who: str) -> str:
    """What asks for an inspection: a part, the machine card, or the usual interval."""
    if who.partition(":")[0] in vocabulary().components:
        return f"the {gaps([who])[0]}"
    return "the usual interval" if who == "usual" else "the machine card"


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
