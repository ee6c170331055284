"""When a machine is to be inspected again, and which work its card wants by when."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import NamedTuple

from witnessmark.knowledge.card_rules import LOOK
from witnessmark.knowledge.cards import Interval
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.knowledge.wear import WearRules
from witnessmark.types import DueWork, Forecast, Grade, NextLook, Odometer, PastAction
from witnessmark.units import convert

MONTH = 365.25 / 12


class _Due(NamedTuple):
    """What asks for an inspection, and when."""

    who: str
    at: float | None
    on: date | None


def next_look(
    forecasts: Sequence[Forecast],
    intervals: Sequence[Interval],
    last: tuple[date, Odometer | None],
    rules: WearRules,
) -> NextLook:
    """The earliest inspection that a part, or the machine card, asks for.

    Args:
        forecasts: of this machine.
        intervals: of its card; only those from one inspection to the next count here.
        last: day and odometer of the last inspection.
        rules: the share of the early bound, and the interval where the card has none.
    """
    clock = last[1].unit if last[1] else "km"
    waiting = [one for one in forecasts if not at_limit(one, last[1])]
    parts = list(_of_parts(waiting, clock, rules))
    late = [due for due in parts if _passed(due, last)]
    dues = [due for due in (*parts, *_of_card(intervals, last, clock, rules)) if due not in late]
    at = min((due.at for due in dues if due.at is not None), default=None)
    on = min((due.on for due in dues if due.on is not None), default=None)
    return NextLook(
        now=len(waiting) < len(forecasts),
        overdue=tuple(due.who for due in late),
        at=at,
        clock=clock,
        on=on,
        because=tuple(dict.fromkeys(due.who for due in dues if due.at == at or due.on == on)),
    )


def _passed(due: _Due, last: tuple[date, Odometer | None]) -> bool:
    day, odometer = last
    ridden = due.at is not None and odometer is not None and due.at < odometer.value
    return ridden or (due.on is not None and due.on < day)


def at_limit(one: Forecast, odometer: Odometer | None) -> bool:
    """Whether a part is at a limit, or may be by now; one that is only advised asks for nothing at once."""
    if one.verdict is not None and one.verdict.grade is Grade.ADVISORY:
        return False
    if one.at is None or one.state == "reached":
        return one.state == "reached"
    now = convert(odometer.value, odometer.unit, one.clock) if odometer else one.at.low - 1
    return now >= one.at.low


def _of_parts(forecasts: Sequence[Forecast], clock: str, rules: WearRules) -> Iterator[_Due]:
    """A share of the way to the early bound, from the part's last reading."""
    share = rules.look_again.share
    for one in forecasts:
        if one.left is None or one.at is None:
            continue
        last = one.readings[-1]
        way = convert(one.at.low - (1 - share) * one.left.low, one.clock, clock)
        early = one.day.low if one.day else None
        yield _Due(_place(one), way, last.on + (early - last.on) * share if early else None)


def _place(one: Forecast) -> str:
    """``brake_disc:front``, as gaps of coverage are written."""
    where = " ".join(filter(None, (one.end, one.side)))
    return f"{one.component}:{where}" if where else one.component


def _of_card(
    intervals: Sequence[Interval], last: tuple[date, Odometer | None], clock: str, rules: WearRules
) -> Iterator[_Due]:
    """The card's interval between inspections, else the usual one; the nearer of two counts."""
    day, odometer = last
    rows = [row for row in intervals if row.work == LOOK]
    usual = [("usual", rules.look_again.km, "km", rules.look_again.months)]
    for who, every, unit, months in [(row.id, row.every, row.unit, row.months) for row in rows] or usual:
        way = odometer.value + convert(every, unit or clock, clock) if odometer and every else None
        yield _Due(who, way, day + timedelta(days=round(months * MONTH)) if months else None)


def due_work(
    intervals: Sequence[Interval], work: Sequence[PastAction], last: tuple[date, Odometer | None]
) -> tuple[DueWork, ...]:
    """Every interval of the card but those between inspections: when its work was last done and is due.

    Args:
        intervals: of the machine's card.
        work: what was confirmed of this machine; of parts at both ends the end done longest ago counts.
        last: day and odometer of the last inspection.
    """
    return tuple(_due(row, work, last) for row in intervals if row.work != LOOK)


def _due(row: Interval, work: Sequence[PastAction], last: tuple[date, Odometer | None]) -> DueWork:
    day, odometer = last
    clock = odometer.unit if odometer else "km"
    found = DueWork(interval=row.id, component=row.component, work=row.work, clock=clock)
    done = _last_done(row, work)
    if done is None:
        return found
    on = done.on + timedelta(days=round(row.months * MONTH)) if row.months else None
    at = None
    if row.every and done.odometer:
        at = convert(done.odometer.value, done.odometer.unit, clock) + convert(
            row.every, row.unit or clock, clock
        )
    late = (on is not None and on <= day) or (
        at is not None and odometer is not None and at <= odometer.value
    )
    return found.model_copy(update={"done": done, "at": at, "on": on, "overdue": late})


def _last_done(row: Interval, work: Sequence[PastAction]) -> PastAction | None:
    """The last time; of a part at both ends, that of the end whose turn was longest ago."""
    done = [
        one
        for one in work
        if (one.action.component, one.action.kind, one.action.status) == (row.component, row.work, "done")
    ]
    if not vocabulary().components[row.component].takes_end:
        return done[-1] if done else None
    latest = [[one for one in done if one.action.end in (None, end)][-1:] for end in ("front", "rear")]
    return min((one for ones in latest for one in ones), key=lambda one: one.on) if all(latest) else None
