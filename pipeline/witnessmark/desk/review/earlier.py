"""What the record has of the same part of the same machine."""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.desk.review.shapes import Earlier, Point, Told
from witnessmark.desk.review.trail import says
from witnessmark.desk.review.views import Present, item_view
from witnessmark.errors import StoreError
from witnessmark.record import History, Store, Visit
from witnessmark.types import Item, Limit, Machine, Odometer, Reading, Verdict, Walkround
from witnessmark.units import convert, text_of

MOST = 12
"""Points, and other lines, the newest kept."""


def earlier(store: Store, now: Present, key: str) -> Earlier:
    """Earlier figures and remarks on the part that an item is about; of the machine, its odometer."""
    machine = now.identity
    asked = machine.vin or machine.registration or ""
    if not asked:
        return Earlier(machine="", note="The machine is not named yet, so nothing can be looked up.")
    try:
        history = store.history(asked)
    except StoreError as error:
        return Earlier(machine=asked, note=f"{error.what}. {error.remedy or ''}".strip())
    visits = tuple(_before(history, now.walkround))
    if not visits:
        return Earlier(machine=asked, note="The record has nothing earlier of this machine.")
    entry = item_view(now, key, ()).entry
    clock = _clock(machine.odometer, visits)
    found = Earlier(machine=asked, note="", clock=clock, now_distance=_distance(machine.odometer, clock))
    if isinstance(entry, Machine):
        return _of_the_machine(found, visits)
    return _of_the_part(found, visits, entry, now.walkround.assessment.verdicts_of(key))


def _before(history: History, walkround: Walkround) -> Iterator[Visit]:
    for visit in history.until(walkround.on).visits:
        if visit.walkround != walkround.id:
            yield visit


def _clock(odometer: Odometer | None, visits: tuple[Visit, ...]) -> str:
    known = [odometer, *(visit.machine.odometer for visit in reversed(visits))]
    return next((one.unit for one in known if one), "km")


def _distance(odometer: Odometer | None, clock: str) -> float | None:
    return round(convert(odometer.value, odometer.unit, clock), 1) if odometer else None


def _of_the_machine(found: Earlier, visits: tuple[Visit, ...]) -> Earlier:
    points = [
        Point(
            on=visit.on,
            distance=_distance(visit.machine.odometer, found.clock),
            value=_distance(visit.machine.odometer, found.clock),
            says=text_of(visit.machine.odometer.value, visit.machine.odometer.unit),
            walkround=visit.walkround,
        )
        for visit in visits
        if visit.machine.odometer
    ]
    note = "" if points else "No odometer was confirmed before."
    update = {"points": tuple(points[-MOST:]), "unit": found.clock, "now": found.now_distance, "note": note}
    return found.model_copy(update=update)


def _of_the_part(
    found: Earlier, visits: tuple[Visit, ...], item: Item, verdicts: tuple[Verdict, ...]
) -> Earlier:
    unit = item.unit if isinstance(item, Reading) else None
    points, others = [], []
    for visit in visits:
        for past in (entered.item for entered in visit.entered if entered.item.place == item.place):
            if isinstance(item, Reading) and isinstance(past, Reading) and past.quantity == item.quantity:
                points.append(_point(visit, past, unit, found.clock))
            else:
                others.append(Told(on=visit.on, says=says(past)))
    note = "" if points or others else "The record has nothing earlier of this part."
    return found.model_copy(
        update={
            "points": tuple(points[-MOST:]),
            "others": tuple(others[::-1][:MOST]),
            "unit": unit,
            "now": item.value if isinstance(item, Reading) and isinstance(item.value, float) else None,
            "limit": _limit(verdicts, unit),
            "note": note,
        }
    )


def _point(visit: Visit, past: Reading, unit: str | None, clock: str) -> Point:
    after = " as left" if past.phase == "left" else ""
    return Point(
        on=visit.on,
        distance=_distance(visit.machine.odometer, clock),
        value=_in_unit(past.value, past.unit, unit),
        says=f"{text_of(past.value, past.unit)}{after}",
        walkround=visit.walkround,
    )


def _in_unit(value: float | str, unit: str | None, into: str | None) -> float | None:
    if isinstance(value, str) or unit is None or into is None:
        return None
    try:
        return convert(value, unit, into)
    except ValueError:
        return None


def _limit(verdicts: tuple[Verdict, ...], unit: str | None) -> Limit | None:
    """The limit of the first verdict that has one, in the item's unit."""
    held = next((verdict for verdict in verdicts if verdict.limit), None)
    if held is None or held.limit is None or unit is None:
        return None
    bounds = {
        name: None if value is None else _in_unit(value, held.unit, unit)
        for name, value in (("low", held.limit.low), ("high", held.limit.high), ("target", held.limit.target))
    }
    return Limit(**bounds)
