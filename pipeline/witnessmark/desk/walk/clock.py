"""The day of an inspection, and what a recorder's clock is worth."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from witnessmark.desk.problems import Refused
from witnessmark.desk.walk.forms import Start

SKEW = timedelta(minutes=2)
"""Two clocks that differ by less are taken to agree."""
LATE = timedelta(hours=12)
"""A recording that comes so long after its beginning is worth a remark."""
_DAY = timedelta(days=1)


def day_of(start: Start, now: datetime) -> tuple[date, list[str]]:
    """The day of the inspection, and what a person should know of the clocks.

    A day that was sent counts, unless it is that of a clock that is wrong; then ours counts.

    Args:
        start: as the recorder sent it.
        now: our clock, in local time.

    Raises:
        Refused: 422, the day lies ahead.
    """
    ahead = (start.sent_at or start.started_at) - now
    wrong = ahead > SKEW or (start.sent_at is not None and ahead < -SKEW)
    began = min(now, start.started_at - ahead if wrong else start.started_at)
    ours = _local(began, now) if start.sent_at else now.date()
    day, notes = start.on or ours, []
    if wrong:
        way = "ahead of" if ahead > timedelta(0) else "behind"
        notes.append(f"The recorder's clock is {_span(abs(ahead))} {way} the clock of this desk.")
        if start.on and start.on != ours and abs(start.on - start.started_at.date()) <= _DAY:
            notes.append(f"It gave {start.on} as the day of the inspection; by the clock here it is {ours}.")
            day = ours
    elif start.sent_at is None and ahead < -LATE:
        notes.append(f"By the recorder's clock this began {_span(-ahead)} before it came here.")
    if day > now.date() + _DAY:
        raise Refused(422, f"the day of the inspection, {day}, lies ahead.", f"Today is {now.date()} here.")
    return day, notes


def _local(moment: datetime, now: datetime) -> date:
    try:
        return moment.astimezone(now.tzinfo).date()
    except OverflowError:  # at either end of the calendar
        return now.date()


def _span(length: timedelta) -> str:
    """``3 hours``, rounded."""
    seconds = length.total_seconds()
    for name, size in (("days", 86_400), ("hours", 3_600)):
        if seconds >= 2 * size:
            return f"{round(seconds / size):,} {name}"
    return f"{round(seconds / 60)} minutes"
