"""Follow-ups go out as a calendar (RFC 5545) and come back: as proposals, once, and never as findings."""

from __future__ import annotations

import json
import re
import time
from collections import Counter
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import icalendar
import pytest

from helpers_cli import Run
from witnessmark.cli.calendar_file import read
from witnessmark.errors import BadInputError
from witnessmark.record import Calendars, Keeping, Store
from witnessmark.record.rows import TABLES

from .test_store import confirmed

WORK = "fork_seal.left.replace@witnessmark"
LOOK = "look-KX21WPT@witnessmark"


@pytest.fixture
def out(run: Run, store: Path, tmp_path: Path) -> Path:
    """The calendar of a record with one to-do and one day to look again."""
    confirmed(store)
    assert run("export", "--store", store, "--out", tmp_path / "next.ics").status == 0
    return tmp_path / "next.ics"


def entries(path: Path) -> dict[str, Any]:
    """Events and to-dos by the end of their UID."""
    calendar = icalendar.Calendar.from_ical(path.read_bytes())
    return {str(one["uid"])[-len(WORK) :]: one for one in calendar.walk() if "uid" in one}


def changed(path: Path, uid: str, **properties: Any) -> Path:
    """The calendar as somebody's calendar program might give it back; None takes a property out."""
    calendar = icalendar.Calendar.from_ical(path.read_bytes())
    for one in calendar.walk():
        if str(one.get("uid", "")).endswith(uid):
            later = {"SEQUENCE": int(one.get("SEQUENCE", 0)) + 1, "LAST-MODIFIED": datetime.now(UTC)}
            for name, value in {**later, **properties}.items():
                one.pop(name.replace("_", "-"), None)
                if value is not None:
                    one.add(name.replace("_", "-"), value)
    back = path.with_name("back.ics")
    back.write_bytes(calendar.to_ical())
    return back


def everything(path: Path) -> list[str]:
    """What is confirmed, and what is drafted and decided."""
    with Store.open(path) as record, record.reading() as db:
        return [
            str(db.execute(f"SELECT * FROM {table}").fetchall())
            for table in (*TABLES.values(), "drafts", "items", "entries")
        ]


def said(run: Run, store: Path) -> list[dict[str, Any]]:
    return list(json.loads(run("store", "calendar", "--store", store, "--json").out))


def adopt(run: Run, store: Path, file: Path) -> str:
    ran = run("adopt", file, "--store", store, "--who", "Ben")
    assert ran.status == 0, ran.err
    return ran.out.removeprefix(f"{file}: ").strip()


# Round trip


def test_what_comes_back_as_it_went_changes_nothing(run: Run, store: Path, out: Path) -> None:
    with Store.open(store) as record:
        head = record.head()
    assert adopt(run, store, out) == "0 of 2 follow-ups say something new."
    assert said(run, store) == []
    with Store.open(store) as record:
        assert record.head() == head
        assert record.check() == []


def test_ticked_off_work_is_a_proposal_and_confirms_nothing(run: Run, store: Path, out: Path) -> None:
    before = everything(store)
    when = datetime(2026, 6, 3, 10, tzinfo=UTC)
    back = changed(out, WORK, STATUS="COMPLETED", COMPLETED=when, PERCENT_COMPLETE=100)
    assert adopt(run, store, back) == "1 of 2 follow-ups say something new."
    (entry,) = said(run, store)
    assert (entry["about"], entry["says"], entry["day"]) == ("fork_seal.left.replace", "done", "2026-06-03")
    assert (entry["registration"], entry["accepted"], entry["who"]) == ("KX21WPT", None, None)
    assert everything(store) == before
    assert entries_again(run, store, out)[WORK].get("status") is None  # nobody has accepted it yet


def entries_again(run: Run, store: Path, out: Path) -> dict[str, Any]:
    again = out.with_name("again.ics")
    run("export", "--store", store, "--out", again)
    return entries(again)


def test_accepted_it_holds_in_the_next_calendar_only(run: Run, store: Path, out: Path) -> None:
    before = everything(store)
    adopt(run, store, changed(out, WORK, STATUS="COMPLETED", COMPLETED=datetime(2026, 6, 3, tzinfo=UTC)))
    (entry,) = said(run, store)
    ran = run("store", "calendar", "--accept", entry["uid"], "--store", store)
    assert (ran.status, said(run, store)) == (2, [entry])  # nobody is named
    ran = run(
        "store", "calendar", "--accept", entry["uid"], "--who", "Ben", "--why", "saw it", "--store", store
    )
    assert "ticked off on 2026-06-03; not confirmed by any walkround; accepted by Ben" in ran.out
    assert everything(store) == before
    now = entries_again(run, store, out)[WORK]
    assert str(now["status"]) == "COMPLETED"
    assert "no walkround has confirmed it" in str(now["description"])
    assert int(now["sequence"]) > int(entries(out)[WORK]["sequence"])
    with Store.open(store) as record, record.reading() as db:
        (kind, who, why, what), *_ = db.execute(
            "SELECT kind, who, why, what FROM acts_on_the_record ORDER BY seq DESC"
        ).fetchall()
    assert (kind, who, why) == ("calendar", "Ben", "saw it")
    assert json.loads(what)["accepted"] is True
    assert "KX21" not in what
    assert run("store", "check", "--store", store).status == 0


def test_refused_it_does_not_hold_and_is_not_asked_again(run: Run, store: Path, out: Path) -> None:
    back = changed(out, WORK, STATUS="CANCELLED")
    adopt(run, store, back)
    (entry,) = said(run, store)
    assert entry["says"] == "dropped"
    run("store", "calendar", "--refuse", entry["uid"], "--who", "Ben", "--store", store)
    assert "status" not in entries_again(run, store, out)[WORK]
    assert adopt(run, store, back).startswith("0 of 2")
    assert [one["accepted"] for one in said(run, store)] == [False]


def test_a_moved_day_holds_until_it_is_reckoned_anew(run: Run, store: Path, out: Path) -> None:
    day = entries(out)[LOOK]["dtstart"].dt
    back = changed(out, LOOK, DTSTART=day + timedelta(days=9))
    adopt(run, store, back)
    (entry,) = said(run, store)
    assert (entry["says"], entry["reckoned"]) == ("moved", day.isoformat())
    assert "waits for an answer" in run("store", "calendar", "--store", store).out
    assert entries_again(run, store, out)[LOOK]["dtstart"].dt == day
    run("store", "calendar", "--accept", LOOK, "--who", "Ben", "--store", store)
    moved = entries_again(run, store, out)[LOOK]
    assert moved["dtstart"].dt == day + timedelta(days=9)
    assert f"Moved to {day + timedelta(days=9)} by Ben." in str(moved["description"])
    with Store.open(store) as record, record.writing() as db:  # as if another day were reckoned now
        db.execute("UPDATE calendar_entries SET reckoned = '2001-01-01'")
    assert entries_again(run, store, out)[LOOK]["dtstart"].dt == day


def test_a_dropped_look_comes_again_when_its_day_is_reckoned_anew(run: Run, store: Path, out: Path) -> None:
    adopt(run, store, changed(out, LOOK, STATUS="CANCELLED"))
    run("store", "calendar", "--accept", LOOK, "--who", "Ben", "--store", store)
    assert str(entries_again(run, store, out)[LOOK]["status"]) == "CANCELLED"
    with Store.open(store) as record, record.writing() as db:  # as if another day were reckoned now
        db.execute("UPDATE calendar_entries SET reckoned = '2001-01-01'")
    assert "status" not in entries_again(run, store, out)[LOOK]


def test_a_day_given_to_work_is_a_proposal_too(run: Run, store: Path, out: Path) -> None:
    adopt(run, store, changed(out, WORK, DUE=date(2026, 7, 1)))
    (entry,) = said(run, store)
    assert (entry["says"], entry["day"], entry["reckoned"]) == ("moved", "2026-07-01", None)
    run("store", "calendar", "--accept", entry["uid"], "--who", "Ben", "--store", store)
    assert entries_again(run, store, out)[WORK]["due"].dt == date(2026, 7, 1)


# Once, and the newer one


def test_the_same_file_again_changes_nothing(run: Run, store: Path, out: Path) -> None:
    back = changed(out, WORK, STATUS="COMPLETED")
    assert adopt(run, store, back).startswith("1 of 2")
    with Store.open(store) as record:
        head = record.head()
    assert adopt(run, store, back).startswith("0 of 2")
    with Store.open(store) as record:
        assert record.head() == head


def test_of_two_files_the_higher_sequence_counts_in_either_order(run: Run, store: Path, out: Path) -> None:
    done = out.with_name("done.ics")
    changed(out, WORK, STATUS="COMPLETED").rename(done)
    opened = changed(changed(out, WORK, STATUS="COMPLETED"), WORK, STATUS="NEEDS-ACTION")
    assert adopt(run, store, opened).startswith("0 of 2")
    assert adopt(run, store, done).startswith("0 of 2")
    assert said(run, store) == []


def test_opened_again_it_is_no_longer_said(run: Run, store: Path, out: Path) -> None:
    done = changed(out, WORK, STATUS="COMPLETED")
    adopt(run, store, done)
    run("store", "calendar", "--accept", said(run, store)[0]["uid"], "--who", "Ben", "--store", store)
    opened = changed(done, WORK, STATUS="NEEDS-ACTION")
    assert adopt(run, store, opened) == "1 of 2 follow-ups say something new."
    assert said(run, store) == []
    assert "status" not in entries_again(run, store, out)[WORK]


def test_a_day_from_before_the_last_decision_is_passed_over(run: Run, store: Path, out: Path) -> None:
    back = changed(out, LOOK, DTSTART=date(2030, 1, 1), SEQUENCE=0)
    assert "1 passed over: exported before the last decision" in adopt(run, store, back)
    assert said(run, store) == []


def test_what_was_confirmed_as_done_meanwhile_is_passed_over(run: Run, store: Path, out: Path) -> None:
    back = changed(out, WORK, STATUS="COMPLETED")
    with Store.open(store) as record:
        Keeping(record, "Ben").erase("KX21WPT")
    assert "2 passed over: no follow-up of this record, or not any longer" in adopt(run, store, back)


def test_what_a_calendar_said_goes_with_its_machine(run: Run, store: Path, out: Path) -> None:
    adopt(run, store, changed(out, LOOK, DTSTART=date(2030, 1, 1)))
    with Store.open(store) as record:
        Keeping(record, "Ben").erase("KX21WPT")
        assert Calendars(record).entries() == []
    assert b"look-KX21WPT" not in store.read_bytes()


def test_the_calendar_of_another_record_is_passed_over(run: Run, out: Path, tmp_path: Path) -> None:
    assert adopt(run, tmp_path / "new.sqlite", changed(out, WORK, STATUS="COMPLETED")) == (
        "0 of 0 follow-ups say something new; 2 passed over: no follow-up of this record, or not any longer."
    )


def test_an_answer_to_what_nobody_said_is_told(run: Run, store: Path, out: Path) -> None:
    ran = run("store", "calendar", "--accept", "x@witnessmark", "--who", "Ben", "--store", store)
    assert ran.status == 4
    assert "no calendar says anything" in ran.err
    ran = run("store", "calendar", "--store", store)
    assert (ran.out, "No calendar says anything" in ran.err) == ("", True)


# RFC 5545 as it is written


def calendar(*lines: str, kind: str = "VTODO", end: str = "\r\n", method: str = "") -> bytes:
    """A calendar of one entry, with what the standard requires of it (RFC 5545, 3.6)."""
    head = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Own//Test//EN", *([method] if method else [])]
    return end.join([*head, f"BEGIN:{kind}", *lines, f"END:{kind}", "END:VCALENDAR", ""]).encode()


NEEDED = ("UID:w-1-a@witnessmark", "DTSTAMP:20260601T120000Z")


def seen(tmp_path: Path, *lines: str, **more: str) -> Any:
    file = tmp_path / "x.ics"
    file.write_bytes(calendar(*lines, **more))
    found = read(file)
    return found.entries[0] if found.entries else found.passed_over


@pytest.mark.parametrize("end", ["\r\n", "\n"])
def test_folded_lines_are_unfolded(tmp_path: Path, end: str) -> None:
    # RFC 5545, 3.1: a CRLF followed by one white space is no part of the value; programs also write LF alone.
    folded = (f"UID:w-1-a@wit{end} nessmark", f"DTSTAMP:20260601T1200{end}\t00Z", "STATUS:COMPLETED")
    entry = seen(tmp_path, *folded, end=end)
    assert (entry.uid, entry.stamp, entry.says) == (
        "w-1-a@witnessmark",
        datetime(2026, 6, 1, 12, tzinfo=UTC),
        "done",
    )


def test_what_we_write_is_folded_at_75_octets(out: Path) -> None:
    # RFC 5545, 3.1: lines SHOULD NOT be longer than 75 octets, excluding the line break, which is CRLF.
    content = out.read_bytes()
    assert max(len(line) for line in content.split(b"\r\n")) <= 75
    assert re.search(rb"\r\n ", content)
    assert content.replace(b"\r\n", b"").count(b"\n") == 0


def test_what_we_write_has_what_is_required(out: Path) -> None:
    # RFC 5545, 3.6.1 and 3.6.2: UID, DTSTAMP; 3.7.3, 3.7.4: PRODID, VERSION; 3.8.2.4: a day is VALUE=DATE.
    whole = icalendar.Calendar.from_ical(out.read_bytes())
    assert (str(whole["version"]), bool(whole["prodid"])) == ("2.0", True)
    for entry in entries(out).values():
        assert {"UID", "DTSTAMP", "SEQUENCE", "SUMMARY"} <= set(entry)
        assert entry["dtstamp"].to_ical().endswith(b"Z")
    assert b"DTSTART;VALUE=DATE:" in out.read_bytes()


@pytest.mark.parametrize(
    ("start", "day"),
    [
        ("DTSTART;VALUE=DATE:20260803", date(2026, 8, 3)),  # 3.3.4
        ("DTSTART:20260803T233000", date(2026, 8, 3)),  # 3.3.5, form 1: local wherever it is read
        ("DTSTART;TZID=Asia/Tokyo:20260803T003000", date(2026, 8, 3)),  # form 3: the day of that place
        ("DTSTART;TZID=America/New_York:20260803T233000", date(2026, 8, 3)),
        ("DTSTART:20260803T233000Z", date(2026, 8, 4)),  # form 2: half past one the next day in Berlin
        ("DTSTART:20260803T120000Z", date(2026, 8, 3)),
    ],
)
def test_a_day_is_the_one_that_a_person_saw(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, start: str, day: date
) -> None:
    monkeypatch.setenv("TZ", "Europe/Berlin")
    time.tzset()
    try:
        entry = seen(tmp_path, *NEEDED, start, kind="VEVENT")
    finally:
        monkeypatch.undo()
        time.tzset()
    assert (entry.says, entry.day) == ("on", day)


def test_a_zone_that_the_calendar_itself_describes(tmp_path: Path) -> None:
    # RFC 5545, 3.6.5: a VTIMEZONE with a name of its own.
    zone = (
        "BEGIN:VTIMEZONE", "TZID:Shop Time", "BEGIN:STANDARD", "DTSTART:19700101T000000",
        "TZOFFSETFROM:+0500", "TZOFFSETTO:+0500", "END:STANDARD", "END:VTIMEZONE",
    )  # fmt: skip
    whole = calendar(*NEEDED, "DTSTART;TZID=Shop Time:20260803T233000", kind="VEVENT").decode()
    file = tmp_path / "x.ics"
    file.write_text(whole.replace("BEGIN:VEVENT", "\r\n".join([*zone, "BEGIN:VEVENT"])), "utf-8", newline="")
    (entry,) = read(file).entries
    assert entry.day == date(2026, 8, 3)


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        (("STATUS:COMPLETED",), "done"),
        (("status:completed",), "done"),  # 3.1: names and values of this kind in any case
        (("COMPLETED:20260603T100000Z",), "done"),
        (("STATUS:NEEDS-ACTION", "PERCENT-COMPLETE:100"), "on"),
        (("STATUS:IN-PROCESS",), "on"),
        (("STATUS:CANCELLED",), "dropped"),
        ((), "on"),
    ],
)
def test_what_a_to_do_says(tmp_path: Path, lines: tuple[str, ...], says: str) -> None:
    assert seen(tmp_path, *NEEDED, *lines).says == says


def test_a_calendar_that_withdraws_drops_its_entries(tmp_path: Path) -> None:
    assert seen(tmp_path, *NEEDED, method="METHOD:CANCEL").says == "dropped"  # RFC 5546, 3.4.5


def test_a_sequence_that_is_not_there_is_zero(tmp_path: Path) -> None:
    assert seen(tmp_path, *NEEDED).sequence == 0  # RFC 5545, 3.8.7.4
    assert seen(tmp_path, *NEEDED, "SEQUENCE:7").sequence == 7


@pytest.mark.parametrize(
    ("lines", "why"),
    [
        (("UID:7@elsewhere.example", NEEDED[1]), "not of a record"),
        ((NEEDED[1],), "not of a record"),
        ((*NEEDED, "RRULE:FREQ=DAILY"), "made to recur"),
        ((*NEEDED, "RECURRENCE-ID:20260601T120000Z"), "made to recur"),
        ((NEEDED[0],), "unreadable"),
        ((*NEEDED, "DTSTART:on Monday"), "unreadable"),
        ((*NEEDED, "SEQUENCE:many"), "unreadable"),
    ],
)
def test_what_is_passed_over_is_counted(tmp_path: Path, lines: tuple[str, ...], why: str) -> None:
    assert seen(tmp_path, *lines, kind="VEVENT") == Counter({why: 1})


def test_of_two_entries_of_a_uid_the_newer_counts(tmp_path: Path) -> None:
    old, new = calendar(*NEEDED, "SEQUENCE:1"), calendar(*NEEDED, "SEQUENCE:2", "STATUS:COMPLETED")
    for content in (old + new, new + old):
        (tmp_path / "x.ics").write_bytes(content)
        found = read(tmp_path / "x.ics")
        assert [entry.sequence for entry in found.entries] == [2]
        assert found.passed_over == Counter({"an older state of another entry": 1})


@pytest.mark.parametrize(
    "content", [b"", b"nonsense", b"BEGIN:VCALENDAR\r\nBEGIN:VTODO\r\n", b"\xff\xfe\x00"]
)
def test_what_is_no_calendar_is_told(run: Run, store: Path, tmp_path: Path, content: bytes) -> None:
    (tmp_path / "x.ics").write_bytes(content)
    with pytest.raises(BadInputError, match="no calendar"):
        read(tmp_path / "x.ics")
    ran = run("adopt", tmp_path / "x.ics", "--store", store, "--who", "Ben")
    assert (ran.status, ran.out) == (2, "")
