"""Items as rows of the tables."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from typing import Any, Protocol, TypeAlias

from witnessmark.record.chain import canonical
from witnessmark.types import Action, Assessment, Decision, Evidence, Finding, Item, Machine, Reading

Entry: TypeAlias = Finding | Reading | Action | Machine
Row: TypeAlias = dict[str, Any]


class Connection(Protocol):
    """What executes SQL: a connection of sqlite3, or sqlite-utils' database around one."""

    def execute(self, sql: str, parameters: Any = ..., /) -> sqlite3.Cursor:
        """Run one statement."""


MACHINE = "machine"
"""Key of the machine's identity among a walkround's items."""

TABLES: dict[type[Any], str] = {
    Machine: "machines",
    Finding: "confirmed_findings",
    Reading: "confirmed_readings",
    Action: "confirmed_actions",
}
"""Where a confirmed entry of each kind is kept."""


def insert(db: Connection, table: str, row: Row) -> None:
    """Add a row, inside the caller's transaction."""
    marks = ", ".join("?" * len(row))
    db.execute(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({marks})", list(row.values()))


def confirmed_row(entry: Entry, drafted: Entry | None, decision: Decision, seq: int) -> Row:
    """The row that decision number ``seq`` puts into ``TABLES[type(entry)]``."""
    body = canonical(entry)
    return {
        "walkround": decision.walkround,
        "item": decision.item,
        **(_lookup(entry) if isinstance(entry, Machine) else {}),
        **content(entry),
        "heard": heard((drafted or entry).evidence),
        "drafted": body if drafted is entry else canonical(drafted) if drafted else None,
        "body": body,
        "decision": seq,
    }


def item_rows(walkround: str, assessment: Assessment) -> list[Row]:
    """The drafted items laid flat, every column in each; the machine's identity is the first."""
    draft = assessment.draft
    entries: list[tuple[str, Entry | Item]] = [(MACHINE, draft.machine)]
    entries += [(item.key, item) for item in draft.items]
    return [
        {
            "walkround": walkround,
            "item": key,
            "sort": type(entry).__name__.lower(),
            **content(entry),
            "grade": next((verdict.grade.value for verdict in assessment.verdicts_of(key)), None),
            "doubts": " ".join(doubt.message for doubt in entry.doubts),
            "heard": heard(entry.evidence),
        }
        for key, entry in entries
    ]


def content(entry: Entry | Item) -> Row:
    """What an entry says, a column each; those of the other kinds are left out."""
    match entry:
        case Machine():
            return {"registration": entry.registration, "vin": entry.vin}
        case Finding():
            return _place(entry) | {"condition": entry.condition, "state": entry.state}
        case Reading():
            measured = {"quantity": entry.quantity, "value": entry.value, "unit": entry.unit}
            return _place(entry) | measured | {"phase": entry.phase}
        case Action():
            return _place(entry) | {"work": entry.kind, "status": entry.status}
        case _:
            raise TypeError(f"no such kind of item: {type(entry).__name__}")


def _place(item: Item) -> Row:
    return {"component": item.component, "machine_end": item.end, "side": item.side}


def _lookup(machine: Machine) -> Row:
    """The odometer, and the keys under which an identity is looked up."""
    clock = machine.odometer
    return {
        "odometer": clock.value if clock else None,
        "odometer_unit": clock.unit if clock else None,
        "registration_key": plain(machine.registration),
        "vin_key": plain(machine.vin),
    }


def heard(evidence: Iterable[Evidence]) -> str:
    """The words behind an entry."""
    return " … ".join(piece.text for piece in evidence)


def plain(name: str | None) -> str | None:
    """A registration or VIN for comparing: capitals and digits only, None when nothing is left."""
    return "".join(letter for letter in (name or "").upper() if letter.isalnum()) or None
