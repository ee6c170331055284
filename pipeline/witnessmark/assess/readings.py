"""Judges numbers: by the limit said with them, the machine card, the law, common practice, in that order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from math import isfinite

from witnessmark.assess.dates import assess_date
from witnessmark.assess.figures import Judged, Measure, judge
from witnessmark.assess.grading import FAILING, gravity
from witnessmark.assess.markings import assess_text
from witnessmark.assess.wording import asked_for, place_of, quantity_of, sentence, value_of
from witnessmark.assess.words import says, spoken
from witnessmark.knowledge.cards import MachineCard
from witnessmark.knowledge.figures import Curve, Figure, LimitRow, MachineFacts
from witnessmark.knowledge.limits import Rules
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Basis, Grade, Reading, Verdict
from witnessmark.units import UNITS, convert

_NOBODY = MachineFacts()


def assess_reading(
    reading: Reading, rules: Rules, card: MachineCard | None = None, on: date | None = None
) -> tuple[Verdict, ...]:
    """All verdicts on one reading, the deciding one first; at least one, and never an exception."""
    if reading.quantity == "manufactured":
        return _without_country((assess_date(reading, rules, on),), reading, rules)
    known = reading.component in vocabulary().components and reading.quantity in vocabulary().quantities
    if known and vocabulary().quantities[reading.quantity][0] is None:
        return _without_country((assess_text(reading, rules, card),), reading, rules)
    if trouble := _unusable(reading, known):
        return (_ungraded(reading, trouble),)
    return _without_country(_of_number(reading, rules, card), reading, rules)


def _unusable(reading: Reading, known: bool) -> str:
    """Why the number cannot be judged; empty when it can."""
    if not known:
        return "no rule knows this component or quantity"
    if isinstance(reading.value, str) or not isfinite(reading.value):
        return "it is not a number; read it again"
    canonical = vocabulary().quantities[reading.quantity][0]
    if reading.unit not in UNITS or canonical is None:
        return "its unit is not known; say the unit"
    try:
        convert(reading.value, reading.unit, canonical)
    except ValueError as error:
        return f"{error}; say the unit again"
    return ""


def _ungraded(reading: Reading, *words: str) -> Verdict:
    said = value_of(reading, 0.0, reading.unit)
    head = f"{place_of(reading)} {quantity_of(reading)}: {said}"
    return Verdict(item=reading.key, grade=Grade.UNGRADED, basis=Basis.NONE, message=sentence(head, *words))


def _of_number(reading: Reading, rules: Rules, card: MachineCard | None) -> tuple[Verdict, ...]:
    machine: MachineFacts = card or _NOBODY
    laws = list(_rows(reading, rules, machine, Basis.LAW))
    customs = list(_rows(reading, rules, machine, Basis.COMMON_PRACTICE))
    if withheld := next((m for m in customs if m.figure.grade is Grade.UNGRADED), None):
        return (judge(withheld, reading, rules).verdict,)
    groups = (_said(reading), _on_card(reading, card), laws, customs)
    judged = [_gravest(judge(measure, reading, rules) for measure in group) for group in groups if group]
    verdicts = _with_question(_in_order(judged), _end_wanted(reading, card))
    note = rules.note if not laws and (reading.component, reading.quantity) in rules.regulated else ""
    if not verdicts:
        return (_ungraded(reading, "no limit is declared for it", note),)
    remark = "" if _by_words(customs) else _curve_words(reading, rules, machine)
    return (_add(verdicts[0], remark, note), *verdicts[1:])


def _with_question(verdicts: tuple[Verdict, ...], asked: tuple[Verdict, ...]) -> tuple[Verdict, ...]:
    failing = verdicts and verdicts[0].grade in FAILING
    return (*verdicts, *asked) if failing else (*asked, *verdicts)


def _add(verdict: Verdict, *words: str) -> Verdict:
    return verdict.model_copy(update={"message": sentence(verdict.message, *words)})


# ── which figures apply ──────────────────────────────────────────────────────────────────────


def _concerns(figure: Figure | Curve, reading: Reading) -> bool:
    return (figure.component, figure.quantity) == (reading.component, reading.quantity)


def _said(reading: Reading) -> list[Measure]:
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


def _on_card(reading: Reading, card: MachineCard | None) -> list[Measure]:
    if card is None:
        return []
    return [
        Measure(figure, Basis.MACHINE_CARD, card.source, card.sureness)
        for figure in card.figures
        if _concerns(figure, reading) and figure.end in (None, reading.end)
    ]


def _end_wanted(reading: Reading, card: MachineCard | None) -> tuple[Verdict, ...]:
    """A question, where the card tells the ends apart and the reading does not."""
    rows = [figure for figure in (card.figures if card else ()) if _concerns(figure, reading) and figure.end]
    if reading.end is not None or not rows:
        return ()
    return (_ungraded(reading, "the machine card has a figure for each end; say which end"),)


def _rows(reading: Reading, rules: Rules, machine: MachineFacts, basis: Basis) -> Iterator[Measure]:
    """The rows of the nearest place that has any; those for the words that were said before those without."""
    matching = [
        (row, fit)
        for row in rules.limits
        if row.basis is basis
        and _concerns(row, reading)
        and row.end in (None, reading.end)
        and ((fit := row.machine.fits(machine)) or (fit is None and row.machine.assume))
        and (not row.said or says(spoken(reading), row.said, rules.severity.negations))
    ]
    nearest = next(
        (code for code in rules.chain if any(row.jurisdiction == code for row, _ in matching)), None
    )
    near = [(row, fit) for row, fit in matching if row.jurisdiction == nearest]
    chosen = [pair for pair in near if pair[0].said] or near
    for row, fit in chosen:
        source = ", ".join(filter(None, (row.source, row.section)))
        yield Measure(row, basis, source, row.sureness, None if fit else row.machine.assume)


def _by_words(measures: Iterable[Measure]) -> bool:
    return any(isinstance(m.figure, LimitRow) and m.figure.said for m in measures)


def _curve_words(reading: Reading, rules: Rules, machine: MachineFacts) -> str:
    """What the number stands for, such as a state of charge; empty outside the curve."""
    for curve in rules.practice.curves:
        fit = curve.machine.fits(machine)
        if _concerns(curve, reading) and (fit or (fit is None and curve.machine.assume)):
            return _interpolated(curve, convert(float(reading.value), reading.unit or "", curve.unit))
    return ""


def _interpolated(curve: Curve, value: float) -> str:
    for (x0, y0), (x1, y1) in zip(curve.points, curve.points[1:], strict=False):
        if x0 <= value <= x1:
            return curve.gives.format(round(y0 + (y1 - y0) * (value - x0) / (x1 - x0)))
    return ""


# ── which verdict decides ────────────────────────────────────────────────────────────────────


def _gravest(judged: Iterable[Judged]) -> Judged:
    """Of several figures of one kind the gravest verdict, the tightest figure among equals."""
    return max(judged, key=lambda one: (gravity(one.verdict.grade), -one.gap))


def _in_order(judged: list[Judged]) -> tuple[Verdict, ...]:
    """The deciding verdict, the law's, and those that disagree with what was told about pass or fail.

    The law decides where it fails what the limit said or the card lets pass, or fails it more gravely.
    Common practice that only advises disagrees with nobody, and it excuses nothing that the law judged.
    """
    if not judged:
        return ()
    lead = judged[0]
    for one in judged[1:]:
        graver = gravity(one.verdict.grade) > gravity(lead.verdict.grade)
        if one.measure.basis is Basis.LAW and one.standing == "fails" and graver:
            lead = one
    told = [lead]
    for one in judged:
        if one is not lead and _worth_telling(one, told):
            told.append(one)
    return tuple(one.verdict for one in told)


def _worth_telling(one: Judged, told: list[Judged]) -> bool:
    if one.measure.basis is Basis.LAW:
        return True
    if one.standing in {other.standing for other in told}:
        return False
    custom = one.measure.basis is Basis.COMMON_PRACTICE
    by_law = any(other.measure.basis is Basis.LAW for other in told)
    return not custom or (one.measure.figure.grade in FAILING and (one.standing == "fails" or not by_law))


def _without_country(verdicts: tuple[Verdict, ...], reading: Reading, rules: Rules) -> tuple[Verdict, ...]:
    """Where the country is not known nothing passes; a failing of the said or the card's limit is kept."""
    if rules.chain:
        return verdicts
    failing = tuple(_add(v, asked_for(rules)) for v in verdicts if v.grade in FAILING)
    text = verdicts[0].message if isinstance(reading.value, str) else ""
    return failing or (_ungraded(reading, text, asked_for(rules)),)
