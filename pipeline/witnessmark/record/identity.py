"""Which walkrounds are of one machine: by VIN for good, by registration while no other machine carried it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.errors import StoreError
from witnessmark.record.rows import plain
from witnessmark.types import Machine, Odometer

if TYPE_CHECKING:
    from sqlite_utils import Database


class SeveralMachines(StoreError):  # noqa: N818 - a question back, not a fault
    """A registration that was confirmed on machines of different VINs.

    Args:
        asked: the registration.
        vins: the machines, in capitals and digits only.
    """

    def __init__(self, asked: str, vins: tuple[str, ...]) -> None:
        what = f"this registration was confirmed on {len(vins)} machines: VIN {', '.join(vins)}"
        super().__init__(what, asked, "Ask by VIN.")
        self.vins = vins


def walkrounds_of(db: Database, asked: str) -> list[str]:
    """Ids of the walkrounds whose confirmed identity is the machine asked for.

    A VIN names a machine; a registration may move to another. So a VIN's visits are those under it, and
    those where only a registration was confirmed that no other VIN ever carried.
    """
    key = plain(asked)
    named = _named(db, "registration_key = ?1 OR vin_key = ?1", [key])
    vins = {vin for _, _, vin in named if vin}
    if key in vins:
        vins = {key}
    if len(vins) > 1:
        raise SeveralMachines(asked, tuple(sorted(vins)))
    if not vins:
        return [walkround for walkround, _, _ in named]
    (vin,) = vins
    under = _named(db, "vin_key = ?", [vin])
    own = {registration for _, registration, _ in under if registration}
    for registration in own:
        carried = _named(db, "registration_key = ?", [registration])
        if all(other in (None, vin) for _, _, other in carried):
            under += [row for row in carried if row[2] is None]
    return [walkround for walkround, _, _ in under]


def _named(db: Database, where: str, names: list[str | None]) -> list[tuple[str, str | None, str | None]]:
    """Walkround, registration and VIN of confirmed identities, the names for looking up."""
    rows = db.execute(f"SELECT walkround, registration_key, vin_key FROM machines WHERE {where}", names)
    return [(walkround, registration, vin) for walkround, registration, vin in rows.fetchall()]


def carrier_of(db: Database, walkround: str, registration: str) -> str | None:
    """VIN of the machine that carried a registration when a walkround without VIN was made.

    That is so where visits under this VIN lie before and after (or on the day), none under another VIN
    between them, and the odometer fits between theirs.
    """
    rows = db.execute(
        "SELECT w.id, w.inspected_on, m.vin_key, m.body FROM machines AS m JOIN walkrounds AS w "
        "ON w.id = m.walkround WHERE m.registration_key = ? AND (m.vin_key IS NOT NULL OR w.id = ?) "
        "ORDER BY w.inspected_on, w.number",
        [registration, walkround],
    ).fetchall()
    at = next(place for place, row in enumerate(rows) if row[0] == walkround)
    around = [rows[at - 1] if at else None, rows[at + 1] if at + 1 < len(rows) else None]
    vins = {row[2] if row else None for row in around}
    if len(vins) > 1 or None in vins:
        return None
    before, here, after = (
        Machine.model_validate_json(body).odometer for _, _, _, body in rows[at - 1 : at + 2]
    )
    return vins.pop() if _in_order(before, here) and _in_order(here, after) else None


def _in_order(earlier: Odometer | None, later: Odometer | None) -> bool:
    """Whether the second could be the first's clock on a later day, as far as both are known."""
    if earlier is None or later is None:
        return True
    return earlier.unit == later.unit and earlier.value <= later.value
