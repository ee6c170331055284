"""Confirmed findings, readings and work as flat lines that others can read, and lines from others."""

from __future__ import annotations

from collections.abc import Generator, Iterable, Iterator
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Literal

from pydantic import Field

from witnessmark.record import seals
from witnessmark.record.acts import Act
from witnessmark.record.chain import append, canonical
from witnessmark.record.rows import plain
from witnessmark.types import End, Frozen, Phase, Side, State

if TYPE_CHECKING:
    from sqlite_utils import Database

    from witnessmark.record.store import Store


class Line(Frozen):
    """One confirmed item of one walkround, laid flat. Ids are those of the declared vocabulary."""

    walkround: str = Field(description="Id of the walkround: w- and 12 digits of its recording's SHA-256.")
    item: str = Field(description="Key of the item, unique in its walkround. With it, the line's own key.")
    standing: Literal["confirmed", "withdrawn"] = Field(
        description="withdrawn: it was confirmed once, and is not any longer; only its key is to be used."
    )
    sort: Literal["finding", "reading", "work"]
    on: date = Field(description="Day of the inspection.")
    registration: str | None = Field(description="Of the machine, as confirmed; null while it is not.")
    vin: str | None
    odometer: float | None = Field(description="On the clock that day, as confirmed.")
    odometer_unit: Literal["mi", "km"] | None
    component: str | None
    end: End | None
    side: Side | None
    condition: str | None = Field(description="Of a finding; null when the part could not be seen.")
    state: State | None = Field(description="Of a finding.")
    quantity: str | None = Field(description="Of a reading.")
    value: float | None = Field(description="Of a reading that is a number.")
    marking: str | None = Field(description="Of a reading that is text: a code, a date, a marking.")
    unit: str | None
    phase: Phase | None = Field(description="Of a reading: as found, or as left after work.")
    work: str | None = Field(description="Kind of work.")
    status: Literal["done", "wanted"] | None = Field(description="Of work.")
    grade: str | None = Field(
        description="The reviewer's own, or that of the rules where the draft was confirmed as it stood."
    )
    heard: str = Field(description="The words behind it.")
    decided: str = Field(description="confirm, correct, add; of what was withdrawn, reject or postpone.")
    who: str = Field(description="Who decided.")
    when: datetime = Field(description="When, with its offset from UTC.")
    why: str
    decision: str = Field(description="Hash of the decision's row in the trail of the record it comes from.")


_OF_ALL = (
    "w.id, w.inspected_on, m.registration, m.vin, m.odometer, m.odometer_unit, d.kind, d.who, d.decided_at, "
    "d.why, d.hash, json_extract(d.body, '$.grade')"
)
_ITEMS = "c.item, c.component, c.machine_end, c.side, c.heard, iif(d.kind = 'confirm', i.grade, NULL)"
_SELECT: dict[str, str] = {
    "finding": f"SELECT {_OF_ALL}, {_ITEMS}, c.condition, c.state FROM confirmed_findings AS c ",
    "reading": f"SELECT {_OF_ALL}, {_ITEMS}, c.quantity, c.value, c.unit, c.phase "
    "FROM confirmed_readings AS c ",
    "work": f"SELECT {_OF_ALL}, {_ITEMS}, c.work, c.status FROM confirmed_actions AS c ",
}
_OWN = {
    "finding": ("condition", "state"),
    "reading": ("quantity", "value", "unit", "phase"),
    "work": ("work", "status"),
}
_JOINED = (
    "JOIN walkrounds AS w ON w.id = c.walkround JOIN decisions AS d ON d.seq = c.decision "
    "LEFT JOIN machines AS m ON m.walkround = w.id "
    "LEFT JOIN items AS i ON i.walkround = c.walkround AND i.item = c.item "
)
_SINCE = "WHERE ? IS NULL OR julianday(d.decided_at) >= julianday(?) ORDER BY w.number, d.seq"
_WITHDRAWN = (
    "SELECT w.id, w.inspected_on, e.registration, e.vin, NULL, NULL, d.kind, d.who, d.decided_at, d.why, "
    "d.hash, NULL, e.item, e.component, e.machine_end, e.side, '', NULL, "
    "CASE WHEN e.quantity IS NOT NULL THEN 'reading' WHEN e.work IS NOT NULL THEN 'work' ELSE 'finding' END "
    "FROM entries AS e JOIN walkrounds AS w ON w.id = e.walkround JOIN decisions AS d ON d.seq = ("
    "SELECT max(seq) FROM decisions AS l WHERE l.walkround = e.walkround AND l.item = e.item) "
    "WHERE e.standing <> 'confirmed' AND e.item <> 'machine' AND julianday(d.decided_at) >= julianday(?) "
    "AND EXISTS (SELECT 1 FROM decisions AS b WHERE b.walkround = e.walkround AND b.item = e.item "
    "AND b.kind IN ('confirm', 'correct', 'add')) ORDER BY w.number, d.seq"
)
_NAMES = (
    "walkround", "on", "registration", "vin", "odometer", "odometer_unit", "decided", "who", "when", "why",
    "decision", "own_grade", "item", "component", "end", "side", "heard", "grade",
)  # fmt: skip


def lines(db: Database, since: datetime | None) -> Iterator[Line]:
    """What is confirmed, findings first, then readings and work; see ``Exchange.lines``."""
    moment = since.astimezone(UTC).isoformat() if since else None
    for sort, select in _SELECT.items():
        for row in db.execute(select + _JOINED + _SINCE, [moment, moment]):
            yield _line(sort, "confirmed", row, _OWN[sort])
    if moment:
        for row in db.execute(_WITHDRAWN, [moment]):
            yield _line(row[-1], "withdrawn", row[:-1], ())


def _line(sort: str, standing: str, row: tuple[object, ...], own: tuple[str, ...]) -> Line:
    held: dict[str, object] = dict.fromkeys(Line.model_fields)
    held |= dict(zip((*_NAMES, *own), row, strict=True))
    held["grade"] = held.pop("own_grade") or held["grade"]
    if isinstance(held["value"], str):
        held |= {"value": None, "marking": held["value"]}
    return Line.model_validate({**held, "sort": sort, "standing": standing})


class Exchange:
    """What goes out of a record and what comes in from others.

    Args:
        store: the record.
    """

    def __init__(self, store: Store) -> None:
        self._store = store

    def lines(self, since: datetime | None = None) -> Generator[Line, None, None]:
        """Every confirmed finding, reading and piece of work, as of one moment.

        Read to the end, or closed, before anything else is asked of the same store.

        Args:
            since: only what was decided from then on, and then also what was withdrawn since.
        """
        with self._store.reading() as db:
            yield from lines(db, since)

    def adopt(self, source: str, found: Iterable[Line], who: str) -> int:
        """Take lines over from another record. They stay apart from what was confirmed here.

        Args:
            source: what they come from, such as the name of the file.
            found: of two on the same item, the one decided on later counts. Those of walkrounds that are
                here are passed over.
            who: who takes them over; it stands in the trail.

        Returns:
            How many were new or newer; the same lines again change nothing.
        """
        with self._store.writing() as db:
            changed = sum(_adopt(db, source, line) for line in found)
            if changed:
                what = {"source": source, "lines": changed}
                append(db, Act(kind="import", who=who, when=datetime.now(UTC), what=what))
            return changed

    def from_elsewhere(self, machine: str) -> list[Line]:
        """Lines taken over that others confirmed of a machine, by registration or VIN, oldest first."""
        with self._store.reading() as db:
            rows = db.execute(
                f"SELECT body FROM adopted WHERE standing = 'confirmed' AND {_OF_MACHINE} "
                "ORDER BY inspected_on, walkround, item",
                [plain(machine)],
            ).fetchall()
        return [Line.model_validate_json(body) for (body,) in rows]


def has(db: Database, machine: str) -> bool:
    """Whether other records said anything of a machine, by registration or VIN."""
    return db.execute(f"SELECT 1 FROM adopted WHERE {_OF_MACHINE}", [plain(machine)]).fetchone() is not None


def forget(db: Database, machine: str) -> int:
    """Delete what other records said of a machine; returns how many lines."""
    return int(db.execute(f"DELETE FROM adopted WHERE {_OF_MACHINE}", [plain(machine)]).rowcount)


_OF_MACHINE = "(registration_key = ?1 OR vin_key = ?1)"


def _adopt(db: Database, source: str, line: Line) -> bool:
    if db.execute("SELECT 1 FROM walkrounds WHERE id = ?", [line.walkround]).fetchone():
        return False
    names = plain(line.registration), plain(line.vin)
    cursor = db.execute(
        "INSERT INTO adopted VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, '') "
        "ON CONFLICT (walkround, item) DO UPDATE SET source = excluded.source, "
        "standing = excluded.standing, inspected_on = excluded.inspected_on, "
        "decided_at = excluded.decided_at, registration_key = excluded.registration_key, "
        "vin_key = excluded.vin_key, body = excluded.body, adopted_at = excluded.adopted_at "
        "WHERE excluded.decided_at > adopted.decided_at",
        [
            line.walkround, line.item, source, line.standing, line.on.isoformat(), _utc(line.when), *names,
            canonical(line), _utc(datetime.now(UTC)),
        ],
    )  # fmt: skip
    if cursor.rowcount:
        seals.put(db, "adopted", "walkround = ? AND item = ?", (line.walkround, line.item))
    return bool(cursor.rowcount)


def _utc(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec="microseconds")
