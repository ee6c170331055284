"""Which figures apply to a reading: those said with it, the machine card's, the law's, common practice's."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from witnessmark.assess.context import Context
from witnessmark.assess.figures import Measure
from witnessmark.knowledge.figures import Curve, Figure, LimitRow, MachineFacts
from witnessmark.knowledge.tyres import tyres
from witnessmark.types import Basis, Reading
from witnessmark.units import convert


def concerns(figure: Figure | Curve, reading: Reading) -> bool:
    """Whether a row is of the reading's component and quantity."""
    return (figure.component, figure.quantity) == (reading.component, reading.quantity)


def said_with(reading: Reading) -> list[Measure]:
    """The limit given with the reading; bounds go before a target."""
    given = reading.limit.model_dump() if reading.limit else {}
    said = {name: figure for name, figure in given.items() if figure is not None and isfinite(figure)}
    if {"low", "high"} <= said.keys():
        low, high = sorted((said["low"], said["high"]))
        kind, said = "range", {"low": low, "high": high}
    else:
        kind = next((name for name in ("low", "high", "target") if name in said), "")
        said = {name: figure for name, figure in said.items() if name == kind}
    if not said:
        return []
    subject = {"id": "said", "component": reading.component, "quantity": reading.quantity}
    figure = Figure.model_validate({**subject, **said, "kind": kind, "unit": reading.unit})
    return [Measure(figure, Basis.SAID, "said with the reading", "said")]


def on_card(reading: Reading, context: Context) -> list[Measure]:
    """The maker's figures for this place, laden or not as was said."""
    rows = [
        figure
        for figure in (context.card.makers if context.card else ())
        if concerns(figure, reading) and figure.end in (None, reading.end)
    ]
    if any(row.laden for row in rows):
        laden = context.says(reading, tyres().laden)
        rows = [row for row in rows if row.laden == laden] or rows
    return [Measure(row, Basis.MACHINE_CARD, row.source, row.sureness) for row in rows]


def declared(reading: Reading, context: Context, machine: MachineFacts, basis: Basis) -> list[Measure]:
    """Rows of ``models/limits``: of law those of the nearest place that has any, of practice all.

    Rows for the words that were said go before those without.
    """
    matching = list(_matching(reading, context, machine, basis))
    if basis is Basis.LAW:
        places = [row.jurisdiction for row, _ in matching]
        nearest = next((code for code in context.rules.chain if code in places), None)
        matching = [(row, fit) for row, fit in matching if row.jurisdiction == nearest]
    chosen = [pair for pair in matching if pair[0].said] or matching
    return [_measure(row, basis, None if fit else row.machine.assume) for row, fit in chosen]


def _matching(
    reading: Reading, context: Context, machine: MachineFacts, basis: Basis
) -> Iterator[tuple[LimitRow, bool | None]]:
    for row in context.rules.limits:
        if row.basis is not basis or not concerns(row, reading) or row.end not in (None, reading.end):
            continue
        fit = row.machine.fits(machine)
        if (fit or (fit is None and row.machine.assume)) and (
            not row.said or context.says(reading, row.said)
        ):
            yield row, fit


def _measure(row: LimitRow, basis: Basis, assumed: str | None) -> Measure:
    edition = f"({row.edition})" if row.edition else ""
    source = ", ".join(filter(None, (row.source, " ".join(filter(None, (row.section, edition))))))
    return Measure(row, basis, source, row.sureness, assumed, row.verify)


def curve_words(reading: Reading, context: Context, machine: MachineFacts) -> str:
    """What the number stands for, such as a state of charge; empty outside the curve."""
    for curve in context.rules.practice.curves:
        fit = curve.machine.fits(machine)
        if concerns(curve, reading) and (fit or (fit is None and curve.machine.assume)):
            return _interpolated(curve, convert(float(reading.value), reading.unit or "", curve.unit))
    return ""


def _interpolated(curve: Curve, value: float) -> str:
    for (x0, y0), (x1, y1) in zip(curve.points, curve.points[1:], strict=False):
        if x0 <= value <= x1:
            return curve.gives.format(round(y0 + (y1 - y0) * (value - x0) / (x1 - x0)))
    return ""
