"""The day of an inspection, when clocks disagree."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from witnessmark.desk.problems import Refused
from witnessmark.desk.walk.clock import day_of
from witnessmark.desk.walk.forms import Start

NOW = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
TODAY = NOW.date()


def start(ago: timedelta, sent: timedelta | None = None, on: date | None = None) -> Start:
    """A recording that began so long ago and was sent so long ago, by the clock of the recorder."""
    return Start(media_type="audio/webm", name="a", on=on, started_at=NOW - ago, sent_at=sent and NOW - sent)


HOUR, DAY, SECOND = timedelta(hours=1), timedelta(days=1), timedelta(seconds=1)


def test_a_clock_that_is_right_needs_no_word() -> None:
    assert day_of(start(HOUR, SECOND), NOW) == (TODAY, [])
    assert day_of(start(HOUR), NOW) == (TODAY, [])
    assert day_of(start(HOUR, SECOND, on=TODAY - DAY), NOW) == (TODAY - DAY, [])


def test_a_recording_that_was_sent_late_keeps_its_day() -> None:
    day, notes = day_of(start(20 * HOUR, SECOND), NOW)
    assert day == TODAY - DAY
    assert notes == []
    day, notes = day_of(start(3 * DAY, SECOND, on=TODAY - 3 * DAY), NOW)
    assert day == TODAY - 3 * DAY
    day, notes = day_of(start(3 * DAY, on=TODAY - 3 * DAY), NOW)
    assert day == TODAY - 3 * DAY
    assert notes == ["By the recorder's clock this began 3 days before it came here."]


@pytest.mark.parametrize(
    ("off", "said"),
    [(-400 * DAY, "400 days ahead of"), (400 * DAY, "400 days behind"), (-3 * HOUR, "3 hours ahead")],
)
def test_our_clock_counts_where_the_recorders_is_wrong(off: timedelta, said: str) -> None:
    given = (NOW - off - HOUR).date()
    day, notes = day_of(start(off + HOUR, off, on=given), NOW)
    assert day == TODAY
    assert said in notes[0]
    assert len(notes) == (2 if given != TODAY else 1)
    day, notes = day_of(start(off + HOUR, off), NOW)
    assert day == TODAY
    assert len(notes) == 1


def test_a_day_that_somebody_chose_stays_although_the_clock_is_wrong() -> None:
    day, notes = day_of(start(400 * DAY, 400 * DAY, on=TODAY - 5 * DAY), NOW)
    assert day == TODAY - 5 * DAY
    assert len(notes) == 1


def test_a_beginning_that_lies_ahead_is_a_wrong_clock() -> None:
    day, notes = day_of(start(-9 * DAY), NOW)
    assert day == TODAY
    assert notes == ["The recorder's clock is 9 days ahead of the clock of this desk."]


def test_a_day_that_lies_ahead_is_refused() -> None:
    with pytest.raises(Refused, match="lies ahead"):
        day_of(start(HOUR, SECOND, on=TODAY + 2 * DAY), NOW)
    assert (
        day_of(start(HOUR, SECOND, on=TODAY + DAY), NOW)[0] == TODAY + DAY
    )  # it is tomorrow already elsewhere


@pytest.mark.parametrize("moment", [datetime.min, datetime.max])
def test_either_end_of_the_calendar_does_no_harm(moment: datetime) -> None:
    far = moment.replace(tzinfo=UTC)
    for sent in (far, None, NOW):
        began = Start(media_type="audio/webm", name="a", started_at=far, sent_at=sent)
        day, _ = day_of(began, NOW.astimezone())
        assert date(1, 1, 1) <= day <= TODAY + DAY
