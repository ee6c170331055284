"""Every item as it stands now, with the words under which it is found. Derived, and kept in step."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from witnessmark.record.rows import MACHINE, Connection, Entry, Row, content, heard, insert, plain
from witnessmark.types import Action, Assessment, Decision, DecisionKind, Finding, Item, Machine, Reading

STANDING = {
    DecisionKind.CONFIRM: "confirmed",
    DecisionKind.CORRECT: "confirmed",
    DecisionKind.ADD: "confirmed",
    DecisionKind.REJECT: "rejected",
    DecisionKind.POSTPONE: "waiting",
}
"""What an item is after a decision."""


def put_in(db: Connection, walkround: str, assessment: Assessment) -> None:
    """The entries of a walkround that comes in."""
    for row in drafted(walkround, assessment):
        insert(db, "entries", row)


def drafted(walkround: str, assessment: Assessment, worded: bool = True) -> Iterator[Row]:
    """Rows of everything that was drafted, undecided; the machine's identity first."""
    machine = assessment.draft.machine
    names = _identity(machine)
    entries: list[tuple[str, Entry | Item]] = [(MACHINE, machine)]
    entries += [(item.key, item) for item in assessment.draft.items]
    for key, entry in entries:
        head = {"walkround": walkround, "item": key, "standing": "waiting", "who": ""}
        yield {**head, **_said(entry, worded), **names, "heard": heard(entry.evidence)}


def follow(db: Connection, decision: Decision) -> None:
    """Bring the decided item's entry in step with the decision, inside the caller's transaction."""
    row, where = _change(decision, True), (decision.walkround, decision.item)
    known = db.execute("SELECT 1 FROM entries WHERE walkround = ? AND item = ?", where).fetchone()
    if known is None:
        insert(db, "entries", _added(db, decision) | row)
    else:
        _update(db, row, "walkround = ? AND item = ?", where)
    if isinstance(decision.becomes, Machine):
        _update(db, _identity(decision.becomes), "walkround = ?", (decision.walkround,))


def _change(decision: Decision, worded: bool) -> Row:
    """What a decision makes of an entry."""
    row: Row = {"standing": STANDING[decision.kind], "who": decision.who}
    if decision.becomes is not None:
        row |= _said(decision.becomes, worded)
    if decision.becomes is not None and decision.kind is DecisionKind.ADD:
        row["heard"] = heard(decision.becomes.evidence)
    return row


def due(
    walkround: str, assessment: Assessment, trail: Iterable[Decision], worded: bool = True
) -> dict[str, Row]:
    """The entries of a walkround as draft and trail have them, by item: what ``follow`` comes to.

    Args:
        walkround: its id.
        assessment: its draft.
        trail: every decision on it, oldest first.
        worded: with the words for searching, which take longer than all the rest.
    """
    rows = {row["item"]: row for row in drafted(walkround, assessment, worded)}
    for decision in trail:
        names = {name: rows[MACHINE][name] for name in _NAMES}
        held = rows.setdefault(decision.item, {"walkround": walkround, "item": decision.item, **names})
        held |= _change(decision, worded)
        if isinstance(decision.becomes, Machine):
            for row in rows.values():
                row |= _identity(decision.becomes)
    return rows


def renew(db: Connection, walkround: str, assessment: Assessment, trail: Iterable[Decision]) -> None:
    """Make a walkround's entries anew, each in its place, inside the caller's transaction."""
    known = {item for (item,) in db.execute("SELECT item FROM entries WHERE walkround = ?", [walkround])}
    rows = due(walkround, assessment, trail)
    for item in known - rows.keys():
        db.execute("DELETE FROM entries WHERE walkround = ? AND item = ?", [walkround, item])
    for item, row in rows.items():
        if item in known:
            _update(db, row, "walkround = ? AND item = ?", (walkround, item))
        else:
            insert(db, "entries", row)


def rebuild(db: Connection, there: str = "erased_at IS NULL") -> None:
    """Make all entries anew from the drafts and the trail, inside the caller's transaction.

    Args:
        db: the record.
        there: an SQL condition on ``walkrounds``; of erased ones nothing is made.
    """
    db.execute("DELETE FROM entries")
    drafts = db.execute(
        f"SELECT walkround, body FROM drafts JOIN walkrounds ON id = walkround WHERE {there} ORDER BY number"
    ).fetchall()
    for walkround, body in drafts:
        trail = db.execute(
            "SELECT body FROM decisions WHERE walkround = ? AND item IS NOT NULL ORDER BY seq", [walkround]
        ).fetchall()
        decided = [Decision.model_validate_json(made) for (made,) in trail]
        for row in due(walkround, Assessment.model_validate_json(body), decided).values():
            insert(db, "entries", row)


_NAMES = ("registration", "vin", "identity")
"""What every entry has of its walkround's machine."""


def _added(db: Connection, decision: Decision) -> Row:
    """What the entry of an added item has of its walkround."""
    of_machine = db.execute(
        f"SELECT {', '.join(_NAMES)} FROM entries WHERE walkround = ? LIMIT 1", [decision.walkround]
    ).fetchone()
    return {
        "walkround": decision.walkround,
        "item": decision.item,
        **dict(zip(_NAMES, of_machine, strict=True)),
    }


def _said(entry: Entry | Item, worded: bool) -> Row:
    """What an entry says, a column each and in words; every column, so that nothing is left of before."""
    blank = dict.fromkeys(_COLUMNS)
    held = {key: value for key, value in content(entry).items() if key in blank}
    return {**blank, **held, "words": in_words(entry) if worded else ""}


_COLUMNS = (
    "component", "machine_end", "side", "condition", "state", "quantity", "value", "unit", "work", "status",
)  # fmt: skip


def _identity(machine: Machine) -> Row:
    names = (machine.registration, plain(machine.registration), machine.vin, plain(machine.vin))
    identity = " ".join(dict.fromkeys(name for name in names if name))
    return {"registration": machine.registration, "vin": machine.vin, "identity": identity}


def in_words(entry: Entry | Item) -> str:
    """An entry in the words of the trade and of the owner's page, for searching."""
    from witnessmark.knowledge.plain import plain_words
    from witnessmark.knowledge.vocabulary import vocabulary

    if isinstance(entry, Machine):
        clock = entry.odometer
        return f"odometer {clock.value:g} {clock.unit}" if clock else ""
    assert isinstance(entry, Item)
    ids, own = vocabulary(), plain_words()
    component = ids.components.get(entry.component)
    words = [entry.end, entry.side, component.name if component else entry.component]
    words.append(own.part(entry.component).one)
    match entry:
        case Finding(condition=None):
            words.append("not seen")
        case Finding(condition=str(id)):
            told = own.conditions.get(id)
            words += [id, ids.conditions.get(id), own.pick(told.found, entry.component) if told else ""]
        case Reading():
            value = f"{entry.value:g}" if isinstance(entry.value, float) else entry.value
            words += [ids.quantities.get(entry.quantity, ("", entry.quantity))[1], value, entry.unit]
        case Action():
            words += [ids.actions.get(entry.kind, entry.kind), entry.status]
    return " ".join(dict.fromkeys(word for word in words if word))


def _update(db: Connection, row: Row, where: str, keys: tuple[str, ...]) -> None:
    columns = ", ".join(f"{column} = ?" for column in row)
    db.execute(f"UPDATE entries SET {columns} WHERE {where}", [*row.values(), *keys])
