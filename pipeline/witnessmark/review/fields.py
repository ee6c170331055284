"""Asks for an item field by field, with what is there as the default."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.review.standing import Entry
from witnessmark.review.words import component_names, find, nearest, quantity_names, unit_names
from witnessmark.types import Action, Finding, Limit, Machine, Odometer, Reading

Ask = Callable[[str], str]
Was = Mapping[str, Any]
"""The fields of the item as it stands; empty but for its key when it is new."""

_NUMBER = re.compile(r"-?(\d+|\d{1,3}( \d{3})+)(\.\d+)?")

LEAVE = "."
"""Typed for any field: give the whole item up."""
NOTHING = "none"
"""Typed for a field that may be empty: leave it empty."""

ENDS = {"front": "front", "rear": "rear"}
SIDES = {"left": "left", "right": "right"}
STATES = {
    "present": "found",
    "absent": "looked for, not there",
    "unsure": "uncertain",
    "unseen": "could not be seen",
}
STATUSES = {"done": "done already", "wanted": "to be done"}
PHASES = {"found": "as found", "left": "as left after work"}
CLOCKS = {"mi": "miles", "km": "kilometres"}
KINDS = {"finding": "observation", "reading": "measurement", "work": "job"}
FEW = 6
"""Up to so many choices are listed in the question."""


class GivenUpError(Exception):
    """The reviewer left an item half way."""


class Form:
    """Asks until an answer fits.

    Args:
        ask: puts a question and returns what was typed.
        tell: says one line to the reviewer.
    """

    def __init__(self, ask: Ask, tell: Callable[[str], None]) -> None:
        self.ask, self.tell = ask, tell

    def text(self, label: str, default: str | None = None, *, optional: bool = False) -> str | None:
        """A line of text; None only when ``optional``."""
        while True:
            now = default or (NOTHING if optional else "")
            typed = self.ask(f"{label}{f' ({now})' if now else ''}: ").strip()
            if typed == LEAVE:
                raise GivenUpError
            if optional and typed.casefold() == NOTHING:
                return None
            if typed or default or optional:
                return typed or default
            self.tell(f"This cannot be left empty. A single {LEAVE} leaves the item as it was.")

    def number(self, label: str, default: float | None = None, *, optional: bool = False) -> float | None:
        """A number with a decimal point; a comma is refused, because it means two things."""
        while True:
            typed = self.text(label, None if default is None else f"{default:.12g}", optional=optional)
            if typed is None:
                return None
            value = _number(typed)
            if value is not None:
                return value
            self.tell(f"{typed!r} is no number here: use digits and a decimal point, no comma.")

    def choice(
        self, label: str, names: Mapping[str, str], default: str | None = None, *, optional: bool = False
    ) -> str | None:
        """An id of ``names``, typed as id or name; near misses are offered."""
        few = len(names) <= FEW
        question = f"{label}, {' or '.join(names)}" if few else label
        shown = default if few else names.get(default or "", default)
        while True:
            typed = self.text(question, shown, optional=optional)
            if typed is None:
                return None
            chosen = find(typed, names)
            if chosen is not None:
                return chosen
            near = nearest(typed, names)
            offer = f" Nearest: {', '.join(near)}." if near else ""
            self.tell(f"{typed!r} is not known.{offer}")


def _number(typed: str) -> float | None:
    return float(typed.replace(" ", "")) if _NUMBER.fullmatch(typed) else None


def correction(form: Form, entry: Entry) -> Entry:
    """The entry as the reviewer wants it, asked for field by field.

    It keeps its key and its evidence; the doubts are settled by the reviewer having looked.

    Raises:
        GivenUpError: when the reviewer leaves half way.
    """
    match entry:
        case Machine():
            return _machine(form, entry)
        case Finding():
            return _finding(form, entry.model_dump())
        case Reading():
            return _reading(form, entry.model_dump())
        case Action():
            return _action(form, entry.model_dump())


def addition(form: Form, key: str) -> Entry:
    """A new item under ``key``, asked for field by field.

    Raises:
        GivenUpError: when the reviewer leaves half way.
    """
    was = {"key": key}
    match form.choice("What to add", KINDS):
        case "reading":
            return _reading(form, was)
        case "work":
            return _action(form, was)
        case _:
            return _finding(form, was)


def _machine(form: Form, now: Machine) -> Machine:
    registration = form.text("Registration", now.registration, optional=True)
    vin = form.text("VIN", now.vin, optional=True)
    clock = now.odometer
    distance = form.number("Odometer", clock.value if clock else None, optional=True)
    odometer = None
    if distance is not None:
        unit = form.choice("Odometer unit", CLOCKS, clock.unit if clock else None)
        odometer = Odometer.model_validate({"value": distance, "unit": unit})
    return Machine(registration=registration, vin=vin, odometer=odometer, evidence=now.evidence)


def _finding(form: Form, was: Was) -> Finding:
    fields = _place(form, was)
    state = form.choice("State", STATES, was.get("state", "present"))
    condition = None
    if state != "unseen":
        condition = form.choice("Condition", vocabulary().conditions, was.get("condition"))
    return Finding.model_validate({**fields, "state": state, "condition": condition})


def _reading(form: Form, was: Was) -> Reading:
    fields = _place(form, was)
    quantity = form.choice("Quantity", quantity_names(), was.get("quantity")) or ""
    if quantity != was.get("quantity"):  # then its value, unit and limit mean nothing
        was = {"phase": was.get("phase")}
    numeric = vocabulary().quantities[quantity][0] is not None
    measured = _number_and_unit(form, was, quantity) if numeric else _marking(form, was)
    phase = form.choice("Phase", PHASES, was.get("phase") or "found")
    return Reading.model_validate({**fields, "quantity": quantity, **measured, "phase": phase})


def _marking(form: Form, was: Was) -> dict[str, Any]:
    now = was.get("value")
    return {"value": form.text("Value", None if now is None else str(now))}


def _number_and_unit(form: Form, was: Was, quantity: str) -> dict[str, Any]:
    now = was.get("value")
    value = form.number("Value", now if isinstance(now, float) else None)
    unit = form.choice("Unit", unit_names(), was.get("unit") or vocabulary().quantities[quantity][0])
    return {"value": value, "unit": unit, "limit": _limit(form, was.get("limit") or {}, unit)}


def _limit(form: Form, was: Was, unit: str | None) -> Limit | None:
    """A limit said with the reading is asked for again, because it is in the reading's unit."""
    named = {"low": "at least", "high": "at most", "target": "aim for"}
    bounds = {
        field: form.number(f"Limit said, {named[field]}, in {unit}", value, optional=True)
        for field, value in was.items()
        if value is not None
    }
    return Limit(**bounds) if any(value is not None for value in bounds.values()) else None


def _action(form: Form, was: Was) -> Action:
    fields = _place(form, was)
    kind = form.choice("Work", vocabulary().actions, was.get("kind"))
    status = form.choice("Status", STATUSES, was.get("status"))
    return Action.model_validate({**fields, "kind": kind, "status": status})


def _place(form: Form, was: Was) -> dict[str, Any]:
    """Key, evidence, component, end and side: what all items have in common."""
    component = form.choice("Component", component_names(), was.get("component")) or ""
    part = vocabulary().components[component]
    end = form.choice("End", ENDS, was.get("end"), optional=True) if part.takes_end else None
    side = None
    if part.placing != "once" or was.get("side"):
        side = form.choice("Side", SIDES, was.get("side"), optional=True)
    kept = {field: was[field] for field in ("key", "evidence", "said_first") if field in was}
    return {**kept, "component": component, "end": end, "side": side}
