"""Judges numbers: by the limit said with them, the machine card, the law, common practice, in that order."""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite

from witnessmark.assess.adjust import Adjusted, adjusted
from witnessmark.assess.applying import concerns, curve_words, declared, on_card, said_with
from witnessmark.assess.context import Context
from witnessmark.assess.dates import assess_date
from witnessmark.assess.figures import Judged, Measure, judge
from witnessmark.assess.grading import FAILING, gravity
from witnessmark.assess.lamps import assess_dip, is_dip
from witnessmark.assess.markings import assess_text
from witnessmark.assess.wording import asked_for, place_of, quantity_of, sentence, value_of
from witnessmark.knowledge.figures import LimitRow
from witnessmark.knowledge.limits import Rules
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Basis, Grade, Reading, Verdict
from witnessmark.units import UNITS, convert


def assess_reading(reading: Reading, context: Context) -> tuple[Verdict, ...]:
    """All verdicts on one reading, the deciding one first; at least one, and never an exception."""
    rules = context.rules
    if reading.quantity == "manufactured":
        return _without_country((assess_date(reading, rules, context.on),), reading, rules)
    known = reading.component in vocabulary().components and reading.quantity in vocabulary().quantities
    if known and vocabulary().quantities[reading.quantity][0] is None:
        return _without_country(assess_text(reading, context), reading, rules)
    if trouble := _unusable(reading, known):
        return (_ungraded(reading, trouble),)
    judged = assess_dip(reading, context) if is_dip(reading) else _of_number(reading, context)
    return _without_country(judged, reading, rules)


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


Group = list[tuple[Measure, Reading]]
"""Figures of one basis, each with the form of the measurement that it is held against."""


def _of_number(reading: Reading, context: Context) -> tuple[Verdict, ...]:
    change = adjusted(reading, context)
    groups = _groups(reading, change, context)
    customs = groups[-1]
    withheld = next((pair for pair in customs if pair[0].figure.grade is Grade.UNGRADED), None)
    if withheld:
        return (judge(*withheld, context).verdict,)
    if change.refused:
        return (_ungraded(reading, change.words),)
    judged = [
        _gravest(_judged(pair, reading, change, context) for pair in group) for group in groups if group
    ]
    verdicts = _with_question(_in_order(judged), _end_wanted(reading, context))
    if not verdicts:
        return (_ungraded(reading, "no limit is declared for it", change.words, *_asks(reading, context)),)
    by_words = any(isinstance(m.figure, LimitRow) and m.figure.said for m, _ in customs)
    remark = "" if by_words else curve_words(change.reading, context, context.facts(reading))
    return (_add(verdicts[0], change.words, remark, _note(reading, groups[2], context)), *verdicts[1:])


def _groups(reading: Reading, change: Adjusted, context: Context) -> tuple[Group, ...]:
    """Said, card, law, practice. A derived quantity is judged beside the measured one."""
    machine, derived = context.facts(reading), change.reading
    forms = [derived] if derived.quantity == reading.quantity else [reading, derived]
    return (
        [(measure, form) for form in forms for measure in said_with(form)],
        [(measure, form) for form in forms for measure in on_card(form, context)],
        [(m, form) for form in forms for m in declared(form, context, machine, Basis.LAW)],
        [(m, form) for form in forms for m in declared(form, context, machine, Basis.COMMON_PRACTICE)],
    )


def _judged(pair: tuple[Measure, Reading], reading: Reading, change: Adjusted, context: Context) -> Judged:
    """The verdict of one figure; a limit of a derived quantity is told in the measured one."""
    measure, form = pair
    one = judge(measure, form, context)
    if change.back is None or form.quantity == reading.quantity or one.verdict.limit is None:
        return one
    limit, unit = change.back(one.verdict.limit)
    return one._replace(verdict=one.verdict.model_copy(update={"limit": limit, "unit": unit}))


def _note(reading: Reading, laws: Group, context: Context) -> str:
    regulated = (reading.component, reading.quantity) in context.rules.regulated
    return context.rules.note if not laws and regulated else ""


def _asks(reading: Reading, context: Context) -> tuple[str, ...]:
    asks = [
        row.says
        for row in context.rules.practice.asks
        if (row.component, row.quantity) == (reading.component, reading.quantity)
    ]
    note = _note(reading, [], context)
    return (*asks, note) if note else tuple(asks)


def _with_question(verdicts: tuple[Verdict, ...], asked: tuple[Verdict, ...]) -> tuple[Verdict, ...]:
    failing = verdicts and verdicts[0].grade in FAILING
    return (*verdicts, *asked) if failing else (*asked, *verdicts)


def _add(verdict: Verdict, *words: str) -> Verdict:
    return verdict.model_copy(update={"message": sentence(verdict.message, *words)})


def _end_wanted(reading: Reading, context: Context) -> tuple[Verdict, ...]:
    """A question, where the card tells the ends apart and the reading does not."""
    makers = context.card.makers if context.card else ()
    rows = [figure for figure in makers if concerns(figure, reading) and figure.end]
    if reading.end is not None or not rows:
        return ()
    return (_ungraded(reading, "the machine card has a figure for each end; say which end"),)


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
