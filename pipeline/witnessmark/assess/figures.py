"""Judges a number against one figure."""

from __future__ import annotations

from math import isclose
from typing import Literal, NamedTuple

from witnessmark.assess.context import Context
from witnessmark.assess.grading import FAILING, gravity, reading_ruling
from witnessmark.assess.wording import against, place_of, quantity_of, sentence, value_of
from witnessmark.knowledge.figures import Figure, Margin, Tolerance
from witnessmark.knowledge.limits import Rules
from witnessmark.knowledge.rows import Sureness
from witnessmark.types import Basis, Grade, Limit, Reading, Verdict
from witnessmark.units import convert

Side = Literal["below", "above"]


class Measure(NamedTuple):
    """A figure with where it comes from."""

    figure: Figure
    basis: Basis
    source: str
    sureness: Sureness
    assumed: str | None = None
    """What was taken for granted of the machine."""
    verify: bool = False
    """Whether the figure is too unsure to pass by."""


class Judged(NamedTuple):
    """A verdict with what orders it among others."""

    verdict: Verdict
    measure: Measure
    gap: float = 0.0
    """Distance to the nearest bound, in the figure's unit."""

    @property
    def standing(self) -> str:
        """``fails``, ``passes`` or ``unknown``."""
        if self.verdict.grade in FAILING:
            return "fails"
        return "unknown" if self.verdict.grade is Grade.UNGRADED else "passes"


def _same(one: float, other: float) -> bool:
    return isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)


def broken(figure: Figure, value: float) -> Side | None:
    """On which side the value lies outside the bounds; a figure's own value is inside unless ``reached``."""

    def breaks(bound: float | None, excess: float) -> bool:
        return bound is not None and (figure.reached if _same(value, bound) else excess > 0)

    if breaks(figure.low, (figure.low or 0.0) - value):
        return "below"
    return "above" if breaks(figure.high, value - (figure.high or 0.0)) else None


def judge(measure: Measure, reading: Reading, context: Context) -> Judged:
    """The verdict of one figure on a number whose unit can be converted into the figure's."""
    figure = measure.figure
    if figure.kind == "none":
        head = f"{place_of(reading)} {quantity_of(reading)}: {value_of(reading, 0.0, reading.unit)}"
        return Judged(_verdict(measure, reading, figure.grade or Grade.UNGRADED, head, figure.says), measure)
    value = convert(float(reading.value), reading.unit or "", figure.unit or "")
    gap = min(abs(value - bound) for bound in (figure.low, figure.high, figure.target) if bound is not None)
    said = f"{place_of(reading)} {quantity_of(reading)}: {value_of(reading, value, figure.unit)}"
    message = f"{said}, {against(figure, measure.basis, value, gap)}"
    if figure.target is not None:
        return Judged(_off_target(measure, reading, context.rules, value, message), measure, gap)
    if side := broken(figure, value):
        return Judged(_broken(measure, reading, context, side, message), measure, gap)
    return Judged(_met(measure, reading, context.rules, gap, message), measure, gap)


def _broken(measure: Measure, reading: Reading, context: Context, side: Side, message: str) -> Verdict:
    grade = measure.figure.grade
    if grade is None:
        ruling = reading_ruling(reading, context, side, measure.basis)
        grade = ruling.grade if ruling else Grade.UNGRADED
    return _verdict(measure, reading, grade, message, measure.figure.says)


def _met(measure: Measure, reading: Reading, rules: Rules, gap: float, message: str) -> Verdict:
    """Sound, unless the figure is unsure or so near that common practice advises on it.

    The basis stays that of the limit, which it meets; the source says whose the advice is.
    """
    unsure = Grade.ADVISORY if measure.basis is Basis.LAW else Grade.UNGRADED
    verdict = _verdict(measure, reading, unsure if measure.verify else Grade.SOUND, message)
    margin = next((row for row in rules.practice.margins if _near(row, measure.figure, gap)), None)
    if margin is None:
        return verdict
    return verdict.model_copy(
        update={
            "grade": Grade.ADVISORY,
            "rule": margin.id,
            "source": f"{verdict.source}; that near to it is advised on: common practice, no source",
            "message": sentence(verdict.message, margin.says),
        }
    )


def _near(margin: Margin, figure: Figure, gap: float) -> bool:
    if (margin.component, margin.quantity) != (figure.component, figure.quantity) or _is_advice(figure):
        return False
    within = convert(margin.within, margin.unit, figure.unit or "")
    return gap <= within or _same(gap, within)


def _is_advice(figure: Figure) -> bool:
    """Whether breaking the figure is no failure."""
    return figure.grade is not None and figure.grade not in FAILING


def _exceeded(row: Tolerance, reading: Reading, difference: float, figure: Figure) -> bool:
    if row.quantity != reading.quantity or row.component not in (None, reading.component):
        return False
    allowed = row.over if difference > 0 else row.under
    if row.unit == "%" != figure.unit:
        allowed *= abs(figure.target or 0.0) / 100
    else:
        allowed = convert(allowed, row.unit, figure.unit or "")
    return abs(difference) > allowed and not _same(abs(difference), allowed)


def _off_target(measure: Measure, reading: Reading, rules: Rules, value: float, message: str) -> Verdict:
    """Sound within the tolerance, else by the gravest row exceeded; without rows any is advised on."""
    figure = measure.figure
    difference = value - (figure.target or 0.0)
    rows = [row for row in rules.practice.tolerances if row.quantity == reading.quantity]
    over = [row.grade for row in rows if _exceeded(row, reading, difference, figure)]
    if not rows and not _same(difference, 0):
        over = [Grade.ADVISORY]
    return _verdict(
        measure, reading, max(over, key=gravity, default=Grade.SOUND), message, figure.says if over else ""
    )


def _verdict(measure: Measure, reading: Reading, grade: Grade, *words: str) -> Verdict:
    figure = measure.figure
    taken = f"The machine was taken as {measure.assumed}" if measure.assumed else ""
    doubt = "The figure is unsure; look it up before relying on it" if measure.verify else ""
    limit = None if figure.kind == "none" else Limit(low=figure.low, high=figure.high, target=figure.target)
    return Verdict(
        item=reading.key,
        grade=grade,
        basis=measure.basis,
        rule=figure.id,
        source=measure.source,
        sureness=measure.sureness,
        limit=limit,
        unit=figure.unit,
        message=sentence(*words, taken, doubt),
    )
