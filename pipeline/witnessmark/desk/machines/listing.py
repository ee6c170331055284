"""The list of machines as values."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from witnessmark.desk.machines import shown, wording
from witnessmark.desk.machines.knowing import names
from witnessmark.record import MachineRow, Store
from witnessmark.record.rows import plain

A_PAGE = 100
"""Machines shown at once."""

_ORDERS: dict[shown.Order, Callable[[tuple[str, MachineRow]], Any]] = {
    "seen": lambda one: (-one[1].last_seen.toordinal(), one[0].casefold()),
    "name": lambda one: one[0].casefold(),
    "walkrounds": lambda one: (-one[1].walkrounds, one[0].casefold()),
    "waiting": lambda one: (-one[1].waiting, one[0].casefold()),
}


def view(store: Store, words: str, order: shown.Order, page: int) -> shown.Machines:
    """One page of the list.

    Args:
        store: the record.
        words: part of a registration or VIN; spaces, hyphens and case do not matter. Empty for all.
        order: by the last visit (newest first), by name, by walkrounds or items waiting (most first).
        page: from 1; beyond the last one it is the last one.
    """
    rows = store.machines()
    fitting = [one for one in zip(names(rows), rows, strict=True) if _fits(one[1], words)]
    fitting.sort(key=_ORDERS[order])
    pages = max(-(-len(fitting) // A_PAGE), 1)
    page = min(page, pages)
    here = fitting[(page - 1) * A_PAGE : page * A_PAGE]
    lines = tuple(_line(name, row) for name, row in here)
    return shown.Machines(machines=lines, total=len(fitting), page=page, pages=pages)


def _fits(row: MachineRow, words: str) -> bool:
    wanted = plain(words)
    if not wanted:
        return not words.strip()
    return any(wanted in (plain(name) or "") for name in (row.registration, row.vin))


def _line(name: str, row: MachineRow) -> shown.MachineLine:
    return shown.MachineLine(
        name=name,
        registration=row.registration,
        vin=row.vin,
        last_seen=row.last_seen,
        odometer=wording.clock(row.odometer),
        walkrounds=row.walkrounds,
        waiting=row.waiting,
    )


def choices(store: Store, vins: tuple[str, ...]) -> tuple[shown.Choice, ...]:
    """The machines of these VINs, given in capitals and digits only."""
    rows = {plain(row.vin): row for row in store.machines() if row.vin}
    return tuple(
        shown.Choice(
            vin=rows[vin].vin or vin,
            last_seen=rows[vin].last_seen,
            odometer=wording.clock(rows[vin].odometer),
            walkrounds=rows[vin].walkrounds,
        )
        for vin in vins
        if vin in rows
    )
