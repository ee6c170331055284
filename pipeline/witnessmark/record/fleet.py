"""What the record says of all machines together."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Literal, NamedTuple

from witnessmark.types import Odometer

if TYPE_CHECKING:
    from sqlite_utils import Database


class MachineRow(NamedTuple):
    """One machine in a list, under the names that were confirmed last."""

    registration: str | None
    vin: str | None
    last_seen: date
    odometer: Odometer | None
    """The last that was confirmed."""
    walkrounds: int
    waiting: int
    """Items of its walkrounds without a decision or postponed."""
    revision: tuple[int, int] = (0, 0)
    """Another one as soon as anything was decided on any of its walkrounds, or these are others."""


class Commonness(NamedTuple):
    """How often a defect was confirmed."""

    component: str
    condition: str
    found: int


class _Seen(NamedTuple):
    """One walkround of a machine."""

    walkround: str
    on: str
    registration: str | None
    vin: str | None
    registration_key: str | None
    vin_key: str | None
    odometer: float | None
    odometer_unit: Literal["mi", "km"] | None
    decided: int
    """Number of the last decision."""


def machines(db: Database) -> list[MachineRow]:
    """Every machine whose identity was confirmed, the one seen last first."""
    waiting = dict(
        db.execute(
            "SELECT walkround, count(*) FROM entries INDEXED BY entries_waiting "
            "WHERE standing = 'waiting' GROUP BY walkround"
        )
    )
    seen = [
        _Seen(*row)
        for row in db.execute(
            "SELECT m.walkround, w.inspected_on, m.registration, m.vin, m.registration_key, m.vin_key, "
            "m.odometer, m.odometer_unit, "
            "(SELECT max(seq) FROM decisions AS d WHERE d.walkround = m.walkround) "
            "FROM machines AS m JOIN walkrounds AS w ON w.id = m.walkround "
            "ORDER BY w.inspected_on DESC, w.number DESC"
        )
    ]
    together: dict[tuple[str, str | None], list[_Seen]] = {}
    owners = _owners(seen)
    for one in seen:
        vin = one.vin_key or owners.get(one.registration_key or "")
        together.setdefault(("vin", vin) if vin else ("registration", one.registration_key), []).append(one)
    return [_machine(each, sum(waiting.get(one.walkround, 0) for one in each)) for each in together.values()]


def _owners(seen: list[_Seen]) -> dict[str, str]:
    """Registration → the only VIN that ever carried it."""
    vins: dict[str, set[str]] = {}
    for one in seen:
        if one.vin_key and one.registration_key:
            vins.setdefault(one.registration_key, set()).add(one.vin_key)
    return {registration: min(carried) for registration, carried in vins.items() if len(carried) == 1}


def _machine(seen: list[_Seen], waiting: int) -> MachineRow:
    """One machine of its walkrounds, the last first."""
    clock = next((one for one in seen if one.odometer is not None and one.odometer_unit), None)
    return MachineRow(
        next((one.registration for one in seen if one.registration), None),
        next((one.vin for one in seen if one.vin), None),
        date.fromisoformat(seen[0].on),
        Odometer(value=clock.odometer, unit=clock.odometer_unit) if clock else None,
        len(seen),
        waiting,
        (max(one.decided for one in seen), sum(one.decided for one in seen)),
    )


def most_found(db: Database, since: date | None, until: date | None) -> list[Commonness]:
    """Defects by how often they were confirmed as present, the commonest first."""
    # Between days the walkrounds come first; of all years the index of defects alone has the answer.
    source, days = "confirmed_findings AS f", ""
    if since or until:
        source = f"walkrounds AS w CROSS JOIN {source} ON f.walkround = w.id"
        days = "AND w.inspected_on BETWEEN :since AND :until "
    rows = db.execute(
        f"SELECT f.component, f.condition, count(*) FROM {source} "
        f"WHERE f.state = 'present' AND f.condition <> 'sound' {days}GROUP BY 1, 2 ORDER BY 3 DESC, 1, 2",
        {"since": (since or date.min).isoformat(), "until": (until or date.max).isoformat()},
    ).fetchall()
    return [Commonness(*row) for row in rows]
