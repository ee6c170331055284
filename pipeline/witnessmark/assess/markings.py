"""Judges readings that are text: tyre markings, grades of oil and fluid, fault codes."""

from __future__ import annotations

import re

from witnessmark.assess.context import Context
from witnessmark.assess.faultcodes import blink_words, blinked, code_words, is_letter_like, letter_code
from witnessmark.assess.fluids import brake_words, clutch_words, grade_text, grades_in, viscosity_words
from witnessmark.assess.grading import Ruling, reading_ruling
from witnessmark.assess.sizes import Marking as TyreMarking
from witnessmark.assess.sizes import differences, explained, implausible, parse
from witnessmark.assess.wording import meaning, place_of, quantity_of, sentence
from witnessmark.knowledge.cards import Marking
from witnessmark.knowledge.fluids import fluids
from witnessmark.knowledge.tyres import tyres
from witnessmark.types import Basis, Grade, Reading, Verdict


def assess_text(reading: Reading, context: Context) -> tuple[Verdict, ...]:
    """The verdicts on a reading that is text, the deciding one first; never raises."""
    if reading.quantity == "fault_code":
        return (_fault_code(reading, context),)
    if reading.component == "tyre" and reading.quantity in ("size_marking", "grade_marking"):
        return (_tyre(reading, context),)
    return _grade(reading, context)


def _text(reading: Reading) -> str:
    return reading.value if isinstance(reading.value, str) else f"{reading.value:g}"


def _said(reading: Reading, text: str = "") -> str:
    return f"{place_of(reading)} {quantity_of(reading)} {text or _text(reading)}"


def _ungraded(reading: Reading, *words: str) -> Verdict:
    return Verdict(
        item=reading.key, grade=Grade.UNGRADED, basis=Basis.NONE, message=sentence(_said(reading), *words)
    )


def _ruled(reading: Reading, context: Context, ruling: Ruling, *words: str) -> Verdict:
    asks = meaning(ruling.grade, context.rules)
    return ruling.verdict(reading.key, sentence(f"{_said(reading)}: {asks}", *words))


# ── fault codes ──────────────────────────────────────────────────────────────────────────────


def _fault_code(reading: Reading, context: Context) -> Verdict:
    text = _text(reading)
    code = letter_code(text)
    if code is None and is_letter_like(text):
        return _ungraded(
            reading, "no code is built so (P, C, B or U, 0 to 3, three of 0 to F); read it again"
        )
    counts = blinked(context.words(reading)) if code is None else None
    words = f"{code}: {code_words(code)}" if code else blink_words(*counts) if counts else ""
    ruling = reading_ruling(reading, context, "stated", Basis.NONE)
    return _ruled(reading, context, ruling, words) if ruling else _ungraded(reading, words)


# ── against the machine card ─────────────────────────────────────────────────────────────────


def _wanted(reading: Reading, context: Context, *quantities: str) -> Marking | None:
    rows = (
        row
        for row in (context.card.makers_markings if context.card else ())
        if row.component == reading.component and row.quantity in (quantities or (reading.quantity,))
    )
    return next((row for row in rows if row.end in (None, reading.end)), None)


def _compared(reading: Reading, context: Context, wanted: Marking, other: list[str], *words: str) -> Verdict:
    ruling = reading_ruling(reading, context, "other", Basis.MACHINE_CARD) if other else None
    grade = ruling.grade if ruling else Grade.SOUND
    verb = "is not" if other else "agrees with"
    what = f"{_said(reading)} {verb} the {wanted.text} of the machine card"
    return Verdict(
        item=reading.key,
        grade=grade,
        basis=Basis.MACHINE_CARD,
        rule=wanted.id,
        source=wanted.source,
        sureness=wanted.sureness,
        message=sentence(what, ", ".join(other), meaning(grade, context.rules), *words),
    )


def _uncompared(reading: Reading, wanted: Marking | None, *words: str) -> Verdict:
    remark = f"the machine card wants {wanted.text}; compare them" if wanted else "no rule judges it"
    return _ungraded(reading, *words, remark)


def _tyre(reading: Reading, context: Context) -> Verdict:
    mark = parse(_text(reading))
    wanted = _wanted(reading, context, "size_marking")
    if mark is None:
        return _uncompared(reading, wanted)
    if wrong := implausible(mark):
        return _ungraded(reading, f"no tyre has {wrong}; read it again")
    mark, ask = _structure_said(reading, context, mark)
    card = parse(wanted.text) if wanted else None
    other = differences(mark, card) if card else None
    if wanted is None or other is None:
        return _uncompared(reading, wanted, explained(mark), ask)
    return _compared(reading, context, wanted, other, explained(mark), ask)


def _structure_said(reading: Reading, context: Context, mark: TyreMarking) -> tuple[TyreMarking, str]:
    """A dash that was written for talk in which none was said is not known to be one."""
    if mark.structure != "-" or not reading.evidence:
        return mark, ""
    written = any(re.search(r"\d\s*[-–]\s*\d", evidence.text) for evidence in reading.evidence)
    if written or context.says(reading, tyres().diagonal_words):
        return mark, ""
    return mark._replace(
        structure=None
    ), "Its structure was not said: R for radial, B for bias-belted, or a dash"


def _grade(reading: Reading, context: Context) -> tuple[Verdict, ...]:
    text = grade_text(reading, context)
    clash = _mixed(reading, context)
    wanted = _wanted(reading, context)
    words = [brake_words(text)] if reading.component == "brake_fluid" else [viscosity_words(text)]
    against, clutch = False, ""
    if reading.component == "engine_oil":
        against, clutch = clutch_words(text, context.facts(reading).clutch)
    differs = _differs(reading, context, text, wanted.text) if wanted else None
    if wanted is not None and differs is not None:
        other = [clutch] if against else ["another grade"] if differs else []
        one = _compared(reading, context, wanted, other, *words, "" if against else clutch)
    elif against and (ruling := reading_ruling(reading, context, "other", Basis.COMMON_PRACTICE)):
        one = _ruled(reading, context, ruling, clutch, *words)
    else:
        one = _uncompared(reading, wanted, *words, clutch)
    return (clash, one) if clash else (one,)


def _differs(reading: Reading, context: Context, text: str, wanted: str) -> bool | None:
    """Whether a grade is another than the machine's; None when the two cannot be compared.

    A higher grade of the same family does not differ; a lower one does.
    """
    subject = (reading.component, reading.quantity)
    own = tuple(f for f in context.rules.practice.families if (f.component, f.quantity) == subject)
    said, card = grades_in(text, own), grades_in(wanted, own)
    both = said.keys() & card.keys()
    return any(said[k][0] != card[k][0] or said[k][1] < card[k][1] for k in both) if both else None


def _mixed(reading: Reading, context: Context) -> Verdict | None:
    """Two grades of brake fluid in one talk, of families that must never meet."""
    other = context.beside(reading, "grade_marking") if reading.component == "brake_fluid" else None
    if other is None:
        return None
    own = tuple(f for f in context.rules.practice.families if f.component == reading.component)
    one, two = grades_in(_text(reading), own), grades_in(_text(other), own)
    if not one or not two or one["family"][0] == two["family"][0]:
        return None
    ruling = reading_ruling(reading, context, "other", Basis.COMMON_PRACTICE)
    remark = f"{_text(other)} was said of it too, which is of another kind. {fluids().brake.remark}"
    return _ruled(reading, context, ruling, remark) if ruling else None
