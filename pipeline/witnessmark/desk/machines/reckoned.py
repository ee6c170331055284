"""What every machine has open and overdue, gone through once and kept until somebody decides anew."""

from __future__ import annotations

import logging
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from math import inf
from threading import Lock, Thread
from time import monotonic
from typing import NamedTuple, TypeAlias
from weakref import WeakKeyDictionary

from witnessmark.desk.machines import shown, wording
from witnessmark.desk.machines.knowing import Known, know, names
from witnessmark.desk.web import Desk
from witnessmark.forecast import at_limit
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.record import MachineRow, SeveralMachines, Store
from witnessmark.review.wording import gaps, printable
from witnessmark.summarise.ahead import floor_to, round_to
from witnessmark.summarise.reckoned import at_limit as when
from witnessmark.summarise.reckoned import limit_of, part_of, work_of
from witnessmark.types import DueWork, Forecast, NextLook
from witnessmark.units import text_of

_log = logging.getLogger(__name__)
Key: TypeAlias = tuple[object, ...]

PATIENCE = 1.5
"""Seconds that a page waits for machines to be gone through; the rest is done behind it, and told on it."""


class Brief(NamedTuple):
    """What one machine has open and overdue."""

    wanted: tuple[shown.OpenWork, ...] = ()
    late: tuple[shown.Overdue, ...] = ()
    """By the machine's last visit."""
    from_day: tuple[tuple[date, shown.Overdue], ...] = ()
    """What is late from a day on."""
    unclear: bool = False
    """Whether its registration is that of several machines."""

    def overdue(self, today: date) -> Iterator[shown.Overdue]:
        """What is late by that day."""
        yield from self.late
        yield from (one for day, one in self.from_day if day <= today)


class Reckoned:
    """Briefs of all machines of one record."""

    def __init__(self) -> None:
        self._kept: dict[Key, Brief] = {}
        self._lock = Lock()
        self._behind: Thread | None = None

    def briefs(self, desk: Desk, store: Store, rows: Sequence[MachineRow]) -> list[Brief | None]:
        """One a row; None for those that could not be gone through in time."""
        running = self._behind is not None and self._behind.is_alive()
        found = self._go_through(store, rows, monotonic() + (0 if running else PATIENCE))
        if None in found:
            self._go_on(desk)
        return found

    def _go_through(self, store: Store, rows: Sequence[MachineRow], until: float) -> list[Brief | None]:
        keys: list[Key] = [(row.registration, row.vin, row.revision, row.walkrounds) for row in rows]
        for key, row, name in zip(keys, rows, names(rows), strict=True):
            if key not in self._kept:
                if monotonic() > until:
                    break
                self._kept[key] = brief(store, row, name)
        with self._lock:
            found = [self._kept.get(key) for key in keys]
            self._kept = {key: one for key, one in zip(keys, found, strict=True) if one is not None}
        return found

    def _go_on(self, desk: Desk) -> None:
        with self._lock:
            if self._behind is None or not self._behind.is_alive():
                self._behind = Thread(target=self._rest, args=(desk,), daemon=True)
                self._behind.start()

    def _rest(self, desk: Desk) -> None:
        try:
            with desk.record() as store:
                self._go_through(store, store.machines(), inf)
        except Exception:  # nobody waits for it: the next page tells what is missing, and tries again
            _log.exception("machines could not be gone through")


_OF_DESK: WeakKeyDictionary[Desk, Reckoned] = WeakKeyDictionary()


def reckoned(desk: Desk) -> Reckoned:
    """What this desk has gone through already."""
    return _OF_DESK.setdefault(desk, Reckoned())


def brief(store: Store, row: MachineRow, name: str) -> Brief:
    """What one machine has open and overdue.

    Args:
        store: the record.
        row: of the machine.
        name: of its page.
    """
    try:
        known = know(store, row.vin or row.registration or "")
    except SeveralMachines:
        return Brief(unclear=True)
    if known is None:
        return Brief()
    late = tuple(_late(known, name))
    wished = tuple(wording.wanted(one, known.answers) for one in known.wanted)
    return Brief(wished, late, tuple(_from_day(known, name)))


def _told(known: Known, machine: str, kind: shown.Kind, what: str, since: date | None) -> shown.Overdue:
    last = known.history.visits[-1]
    return shown.Overdue(kind=kind, machine=machine, what=what, since=since, walkround=last.walkround)


def _late(known: Known, machine: str) -> Iterator[shown.Overdue]:
    """Parts at their limit, parts to be measured again, and work that the last visit's distance asks for."""
    last = known.history.visits[-1]
    for one in known.outlook.forecasts:
        if at_limit(one, last.machine.odometer):
            since = one.readings[-1].on if one.readings else last.on
            yield _told(known, machine, "limit", _at_limit(one), since)
    for part in gaps(known.outlook.look.overdue, None):
        yield _told(known, machine, "measure", part, None)
    for row in known.outlook.due:
        if row.overdue:
            yield _told(known, machine, "work", _work(row), row.on)


def _from_day(known: Known, machine: str) -> Iterator[tuple[date, shown.Overdue]]:
    for row in known.outlook.due:
        if row.on is not None and not row.overdue:
            yield row.on, _told(known, machine, "work", _work(row), row.on)
    look = known.outlook.look
    if look.on is not None:
        yield look.on + timedelta(days=1), _told(known, machine, "inspection", _inspection(look), look.on)


def _work(row: DueWork) -> str:
    return work_of(row) + (f"; or at {round_to(row.at):,} {row.clock}" if row.at is not None else "")


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
