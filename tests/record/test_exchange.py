"""Lines for others say what is confirmed and no more; lines from others stay apart."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from helpers_walkround import NOON, PADS, SEAL, TREAD, VOLTS, corrected, machine, walkround
from witnessmark.errors import StoreError
from witnessmark.record import Exchange, Keeping, Line, Originals, Store, hand_out
from witnessmark.review import MACHINE
from witnessmark.types import Grade

from .helpers import decide, filled, rows

SCHEMA = Path(__file__).parents[2] / "docs" / "exchange.schema.json"


def by_item(store: Store, since: datetime | None = None) -> dict[str, Line]:
    return {line.item: line for line in Exchange(store).lines(since)}


def full(store: Store) -> None:
    sample = filled(store, "f-horn", "a-pads")
    decide(store, sample, MACHINE, "correct", becomes=machine("Q25 LOT", "WTM5MRK24A7000042"))
    decide(store, sample, "r-tread", "correct", becomes=corrected(TREAD, value=2.1), why="misread")
    code = {"component": "engine", "quantity": "fault_code", "value": "P0131", "unit": None}
    decide(store, sample, "added-1", "add", becomes=corrected(VOLTS, key="added-1", **code))
    decide(store, sample, "f-seal", "reject")


def test_a_line_says_everything_of_one_item(store: Store) -> None:
    full(store)
    line = by_item(store)["r-tread"]
    (walkround_row,) = store.walkrounds()
    assert (line.walkround, line.sort, line.standing) == (walkround_row.id, "reading", "confirmed")
    assert (line.on, line.registration, line.vin) == (date(2026, 3, 2), "Q25 LOT", "WTM5MRK24A7000042")
    assert (line.odometer, line.odometer_unit) == (14200, "mi")
    assert (line.component, line.end, line.side) == ("tyre", "front", None)
    assert (line.quantity, line.value, line.marking, line.unit) == ("tread_depth", 2.1, None, "mm")
    assert (line.decided, line.who, line.when, line.why) == ("correct", "Ada Foreman", NOON, "misread")
    assert line.heard == "tread depth one point two millimetres"
    assert line.grade is None  # the verdict was on another value
    assert store.had_head(line.decision)


def test_only_what_is_confirmed_is_told(store: Store) -> None:
    full(store)
    lines = by_item(store)
    assert set(lines) == {"f-horn", "a-pads", "r-tread", "added-1"}
    assert (lines["f-horn"].condition, lines["f-horn"].state, lines["f-horn"].grade) == (
        "sound",
        "present",
        "sound",
    )
    assert (lines["a-pads"].work, lines["a-pads"].status) == ("replace", "wanted")
    assert (lines["added-1"].value, lines["added-1"].marking) == (None, "P0131")


def test_a_reviewers_own_grade_counts(store: Store) -> None:
    sample = filled(store)
    decide(store, sample, "f-pads", grade=Grade.MINOR, why="only just")
    assert by_item(store)["f-pads"].grade == "minor"


def test_since_a_day_comes_what_was_decided_and_what_was_withdrawn(store: Store) -> None:
    sample = filled(store, "f-horn", "f-pads", "r-slack")
    later = NOON + timedelta(days=3)
    decide(store, sample, "f-pads", "reject", when=later)
    decide(store, sample, "f-seal", when=later)
    decide(store, sample, "r-slack", "postpone", when=later)
    decide(store, sample, "r-volts", "reject", when=later)  # never was in the record
    lines = by_item(store, NOON + timedelta(days=1))
    assert {item: line.standing for item, line in lines.items()} == {
        "f-seal": "confirmed",
        "f-pads": "withdrawn",
        "r-slack": "withdrawn",
    }
    assert lines["r-slack"].sort == "reading"
    assert set(by_item(store)) == {"f-horn", "f-seal"}
    assert by_item(store, later + timedelta(seconds=1)) == {}


def test_moments_are_compared_across_offsets(store: Store) -> None:
    sample = filled(store)
    decide(store, sample, "f-horn", when=datetime.fromisoformat("2026-03-02T01:00:00+02:00"))
    assert set(by_item(store, datetime(2026, 3, 1, 22, 59, tzinfo=UTC))) == {"f-horn"}
    assert by_item(store, datetime(2026, 3, 1, 23, 1, tzinfo=UTC)) == {}


def test_the_published_schema_is_that_of_the_lines() -> None:
    assert json.loads(SCHEMA.read_text("utf-8")) == Line.model_json_schema()


@pytest.fixture
def other(tmp_path: Path) -> Store:
    return Store.open(tmp_path / "other.sqlite")


def test_lines_from_elsewhere_stay_apart(store: Store, other: Store) -> None:
    full(store)
    lines = list(Exchange(store).lines())
    with other:
        assert Exchange(other).adopt("theirs.csv", lines, "Ben Deputy") == 4
        assert Exchange(other).from_elsewhere("q25lot") == sorted(lines, key=lambda line: line.item)
        assert other.machines() == []
        assert other.history("Q25 LOT").visits == ()
        assert other.search("horn") == []
        assert other.check() == []
        (row,) = rows(other.path, "acts_on_the_record")
        assert (row[1], row[3], json.loads(row[6])) == (
            "import",
            "Ben Deputy",
            {"source": "theirs.csv", "lines": 4},
        )


def test_the_same_lines_again_change_nothing(store: Store, other: Store) -> None:
    full(store)
    lines = list(Exchange(store).lines())
    with other:
        Exchange(other).adopt("theirs.csv", lines, "Ben Deputy")
        head = other.head()
        assert Exchange(other).adopt("again.csv", reversed(lines), "Ben Deputy") == 0
        assert other.head() == head


def test_of_two_lines_on_an_item_the_later_one_counts(store: Store, other: Store) -> None:
    sample = filled(store, "f-pads", MACHINE)
    first = list(Exchange(store).lines())
    later = NOON + timedelta(days=1)
    decide(store, sample, "f-pads", "correct", becomes=corrected(PADS, state="absent"), when=later)
    second = list(Exchange(store).lines())
    decide(store, sample, "f-pads", "reject", when=later + timedelta(days=1))
    third = list(Exchange(store).lines(later + timedelta(hours=1)))
    with other:
        exchange = Exchange(other)
        assert exchange.adopt("b", second, "Ben") == 1
        assert exchange.adopt("a", first, "Ben") == 0
        assert [line.state for line in exchange.from_elsewhere("Q24 LOT")] == ["absent"]
        assert exchange.adopt("c", third, "Ben") == 1
        assert exchange.from_elsewhere("Q24 LOT") == []


def test_own_walkrounds_are_not_taken_over(store: Store) -> None:
    full(store)
    head = store.head()
    assert Exchange(store).adopt("own.csv", list(Exchange(store).lines()), "Ben") == 0
    assert store.head() == head


def test_what_was_taken_over_of_a_machine_goes_with_it(store: Store, other: Store) -> None:
    full(store)
    with other:
        Exchange(other).adopt("theirs", Exchange(store).lines(), "Ben")
        sample = walkround("own.wav", identity=machine("Q25 LOT"), findings=(SEAL,), actions=())
        other.ingest(sample)
        decide(other, sample, MACHINE)
        Keeping(other, "Ben").erase("Q25 LOT")
        assert Exchange(other).from_elsewhere("Q25 LOT") == []


def test_a_machine_known_from_elsewhere_only_is_handed_out_and_erased(
    store: Store, other: Store, tmp_path: Path
) -> None:
    full(store)
    with other:
        Exchange(other).adopt("theirs", Exchange(store).lines(), "Ben")
        keeping = Keeping(other, "Ben")
        (written,) = hand_out(other, keeping, "q25 lot", tmp_path / "out")
        held = json.loads(written.read_text("utf-8"))
        assert held["walkrounds"] == held["calendars"] == []
        assert {line["item"] for line in held["from_elsewhere"]} == {"f-horn", "a-pads", "r-tread", "added-1"}
        assert keeping.erase("WTM5MRK24A7000042") == ((), 0, 4)
        assert Exchange(other).from_elsewhere("Q25 LOT") == []
        assert other.check() == []
        with pytest.raises(StoreError, match="knows no such machine"):
            keeping.erase("Q25 LOT")


def test_a_recording_that_was_kept_is_handed_out(store: Store, tmp_path: Path) -> None:
    recording = tmp_path / "monday.m4a"
    recording.write_bytes(b"as it was made")
    sample = walkround()
    known = sample.transcript.recording.model_copy(
        update={"sha256": Originals(store).keep(recording), "name": recording.name}
    )
    transcript = sample.transcript.model_copy(update={"recording": known})
    sample = sample.model_copy(update={"id": f"w-{known.sha256[:12]}", "transcript": transcript})
    store.ingest(sample)
    _, copy = hand_out(store, Keeping(store, "Ben"), sample.id, tmp_path / "out")
    assert (copy.name, copy.read_bytes()) == (f"{sample.id}-as-recorded.m4a", b"as it was made")
