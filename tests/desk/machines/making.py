"""A workshop with four visits of one machine over years, and two other machines. Own scenario."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import UTC, date, datetime
from typing import Any

from fastapi import FastAPI
from tests.desk.walk.making import take_in_text

from witnessmark.record import Store
from witnessmark.review import MACHINE, apply, queue
from witnessmark.types import Decision, DecisionKind, Machine, Reading

LARKSPUR = "Registration Kilo X-ray two one Whiskey Papa Tango."
FINCH = "Registration Lima Mike five six November Oscar Papa."
VISITS = (
    (
        date(2023, 3, 9),
        f"{LARKSPUR} Four thousand one hundred miles on the clock. Front tyre tread is five point six "
        "millimetres. Rear tyre tread is four point nine millimetres. Front pads are five point one "
        "millimetres. The front disc is four point nine against a minimum of four point five. The chain was "
        "dry, so I've oiled it. Chain slack was forty two millimetres, and I've adjusted it to thirty. "
        "Battery is twelve point eight volts. The left mirror was loose, so I've tightened it. The right "
        "fork seal is leaking.",
    ),
    (
        date(2024, 4, 18),
        f"{LARKSPUR} Seven thousand eight hundred miles on the clock. Front tyre tread is four point eight "
        "millimetres. Rear tyre tread is three point two millimetres. Front pads are four point three "
        "millimetres. The front disc is four point eight against a minimum of four point five. Chain slack "
        "was thirty eight millimetres, and I've adjusted it to thirty. Battery is twelve point seven volts. "
        "I've replaced the right fork seal. The rear brake fluid is dark and needs changing.",
    ),
    (
        date(2025, 3, 14),
        f"{LARKSPUR} Eleven thousand two hundred and forty miles on the clock. Front tyre tread is four "
        "point two millimetres. Rear tyre tread is one point nine millimetres. Front pads are three point "
        "four millimetres. The front disc is four point seven against a minimum of four point five. Chain "
        "slack was forty millimetres. The left rear indicator is dead. The horn works. Battery is twelve "
        "point five volts.",
    ),
    (
        date(2025, 10, 2),
        f"{LARKSPUR} Fourteen thousand eight hundred and sixty five miles on it now. Front tyre tread is "
        "three point one millimetres. Rear tyre tread is zero point nine millimetres. That tyre needs "
        "replacing. Front pads are two point six millimetres. The front disc is four point six against a "
        "minimum of four point five. I've replaced the left rear indicator bulb. The chain is worn "
        "and the rear sprocket is hooked. I'd change the chain and both sprockets. Battery is twelve "
        "point two volts.",
    ),
)
OTHERS = (
    (
        date(2026, 9, 1),
        f"{FINCH} Eight thousand kilometres on the clock. The chain is dry, so I've oiled it. The left fork "
        "seal is leaking. Front tyre tread is four point five millimetres. The rear brake pads are worn.",
    ),
    (
        date(2026, 11, 20),
        f"{FINCH} Nine thousand kilometres on the clock. Front tyre tread is four millimetres. The left "
        "mirror is loose. The chain is dry.",
    ),
)
UNDECIDED = (
    date(2026, 10, 2),
    "Registration Alpha Bravo one two Charlie Delta Echo. Twenty thousand kilometres on the clock. Rear tyre "
    "tread is zero point eight millimetres. The front brake pads are worn. The horn does not work.",
)
TODAY = date(2026, 11, 25)
HOSTILE = '<script>alert(1)</script> & "Q" <b>7</b>'


def fill(app: FastAPI) -> None:
    """All of it: everything confirmed but a loose mirror and one walkround."""
    for on, text in VISITS:
        visit(app, on, text)
    for on, text in OTHERS:
        visit(app, on, text, waiting=("mirror.left.loose",))
    take_in_text(app, UNDECIDED[1], UNDECIDED[0], "GB", seconds=2.0)


def visit(
    app: FastAPI, on: date, text: str, *, identity: Machine | None = None, waiting: Collection[str] = ()
) -> str:
    """A walkround that somebody decided on: everything confirmed, the identity corrected if one is given."""
    id = take_in_text(app, text, on, "GB", seconds=2.0)
    with app.state.desk.record() as store:
        if identity:
            decide(store, id, [MACHINE], "correct", identity)
        decide(store, id, [key for key in queue(store.walkround(id)) if key not in waiting])
    return id


def decide(
    store: Store,
    id: str,
    keys: Iterable[str],
    kind: str = "confirm",
    becomes: Machine | Reading | None = None,
    **more: Any,
) -> None:
    """The same decision on each of these items, by the foreman."""
    for key in keys:
        made = Decision(
            walkround=id,
            item=key,
            kind=DecisionKind(kind),
            who="Ada Foreman",
            when=datetime.now(UTC),
            why="Looked at again.",
            becomes=becomes,
            **more,
        )
        store.decide(made, apply(store.walkround(id), [made]))
