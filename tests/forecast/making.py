"""Short ways to make a machine's history."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from witnessmark.forecast import forecast
from witnessmark.knowledge.wear import wear_rules
from witnessmark.types import (
    Action,
    Basis,
    Doubt,
    Forecast,
    Grade,
    Limit,
    Odometer,
    PastAction,
    PastReading,
    Reading,
    Verdict,
)
from witnessmark.units import convert

RULES = wear_rules()
START = date(2025, 1, 1)


def read(
    value: float | str,
    km: float | None,
    on: date = START,
    *,
    component: str = "tyre",
    quantity: str = "tread_depth",
    end: Any = "rear",
    unit: str = "mm",
    clock: Any = "km",
    doubts: Iterable[str] = (),
    **more: Any,
) -> PastReading:
    return PastReading(
        walkround=more.pop("walkround", f"w-{on}"),
        on=on,
        odometer=None if km is None else Odometer(value=km, unit=clock),
        reading=Reading(
            component=component,
            quantity=quantity,
            end=end,
            value=value,
            unit=unit,
            doubts=tuple(Doubt(kind=kind, message="") for kind in doubts),
            **more,
        ),
    )


def replaced(on: date, component: str = "tyre", end: Any = "rear", status: Any = "done") -> PastAction:
    action = Action(component=component, end=end, kind="replace", status=status)
    return PastAction(walkround=f"w-{on}", on=on, action=action)


def limit(value: float = 1.0, unit: str = "mm", side: str = "low") -> Verdict:
    return Verdict(
        item="", grade=Grade.SOUND, basis=Basis.LAW, source="Own Act", limit=Limit(**{side: value}), unit=unit
    )


def only(
    past: Iterable[PastReading], work: Iterable[PastAction] = (), held: Verdict | None = None
) -> Forecast:
    """The one forecast of a history, against a limit of 1 mm."""
    held = held or limit()
    (found,) = forecast(tuple(past), tuple(work), lambda one: held, RULES, "GB")
    return found


def reason(found: Forecast) -> str:
    """Key of the reason that a forecast gives; nothing when it gives none."""
    texts = {text.partition("{")[0]: key for key, text in RULES.reasons.items()}
    starts = [start for start in texts if found.reason.startswith(start)]
    return texts[max(starts, key=len)] if found.reason and starts else ""


def inches(parts: float, of: float = 32) -> float:
    """32nds of an inch in millimetres."""
    return convert(parts / of, "in", "mm")
