"""What a machine card may and should hold, read from ``models/cards.yaml``."""

from __future__ import annotations

import re
from functools import cache
from typing import Annotated, Literal

from pydantic import AfterValidator

from witnessmark.knowledge.figures import MachineClass
from witnessmark.knowledge.rows import (
    ComponentId,
    QuantityId,
    Sureness,
    UnitId,
    meant,
    parse_rows,
    refuse_twins,
    sections,
)
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Frozen

FILE = "cards.yaml"
LOOK = "look"
"""In place of an action: the interval from one inspection to the next."""


def _work(value: str) -> str:
    known = (LOOK, *vocabulary().actions)
    if value not in known:
        raise ValueError(f"{value!r} is neither an action nor {LOOK}{meant(value, known)}")
    return value


def _pattern(value: str) -> str:
    try:
        re.compile(value)
    except re.error as error:
        raise ValueError(f"is no regular expression: {error}") from error
    return value


WorkId = Annotated[str, AfterValidator(_work)]


class Span(Frozen):
    """The widest span, in ``unit``, in which a figure of a card can lie."""

    id: str
    component: ComponentId | None = None
    quantity: QuantityId
    low: float
    high: float
    unit: UnitId


class Size(Frozen):
    """The largest engine of a class, in cubic centimetres."""

    id: str
    machine_class: MachineClass
    up_to_cc: float
    source: str
    sureness: Sureness


class Form(Frozen):
    """What a marking has to look like, spaces aside."""

    id: str
    component: ComponentId
    quantity: QuantityId
    like: str
    pattern: Annotated[str, AfterValidator(_pattern)]

    def fits(self, text: str) -> bool:
        """Whether a text has this form."""
        return re.fullmatch(self.pattern, re.sub(r"\s", "", text.upper())) is not None


class Wanted(Frozen):
    """A figure or marking that a handbook gives and a walkround needs."""

    id: str
    component: ComponentId
    quantity: QuantityId
    kind: Literal["low", "high", "target", "range", "marking"]
    unit: UnitId | None = None
    laden: bool = False
    asks: str


class Fact(Frozen):
    """A key of a card that limits depend on."""

    id: Literal["machine_class", "capacity_cc", "chemistry", "rims", "fluid", "clutch", "rear_teeth"]
    when: tuple[str, ...] = ()
    """Ids of alternatives of ``coverage.yaml``; asked only on machines built so."""
    asks: str


class WantedWork(Frozen):
    """An interval that a handbook gives."""

    id: str
    component: ComponentId
    work: WorkId
    asks: str


class CardRules(Frozen):
    """The file."""

    spans: tuple[Span, ...]
    sizes: tuple[Size, ...]
    forms: tuple[Form, ...]
    facts: tuple[Fact, ...]
    wanted: tuple[Wanted, ...]
    work: tuple[WantedWork, ...]

    def span_of(self, component: str, quantity: str) -> Span | None:
        """The span of a quantity of a component; its own row before that of any component."""
        rows = [row for row in self.spans if row.quantity == quantity and row.component in (None, component)]
        return max(rows, key=lambda row: row.component is not None, default=None)

    def form_of(self, component: str, quantity: str) -> Form | None:
        """The form of a marking, where one is declared."""
        same = (component, quantity)
        return next((row for row in self.forms if (row.component, row.quantity) == same), None)


@cache
def card_rules() -> CardRules:
    """The file, checked.

    Raises:
        KnowledgeError: on a bad row or an id used twice.
    """
    raw = sections(FILE, CardRules.model_fields)
    found = CardRules(
        spans=parse_rows(Span, raw.get("spans"), FILE, "spans"),
        sizes=parse_rows(Size, raw.get("sizes"), FILE, "sizes"),
        forms=parse_rows(Form, raw.get("forms"), FILE, "forms"),
        facts=parse_rows(Fact, raw.get("facts"), FILE, "facts"),
        wanted=parse_rows(Wanted, raw.get("wanted"), FILE, "wanted"),
        work=parse_rows(WantedWork, raw.get("work"), FILE, "work"),
    )
    for rows in (found.spans, found.sizes, found.forms, found.facts, found.wanted, found.work):
        refuse_twins((row.id for row in rows), FILE)
    return found
