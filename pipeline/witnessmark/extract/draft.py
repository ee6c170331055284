"""Puts what was read into a `Draft`: evidence, confidence, doubts, keys."""

from __future__ import annotations

import re

from witnessmark.extract.cardinals import ONES, SCALES, TEENS, TENS
from witnessmark.extract.heard import UNSURE, heard, is_unsure
from witnessmark.extract.measures import KIND_OF
from witnessmark.extract.raw import Raw
from witnessmark.extract.talk import Talk
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Action, Doubt, Draft, Evidence, Finding, Machine, Reading, Transcript, Word

DOUBTS = {
    "impossible_date": "The week of this date code does not exist.",
    "three_digit_date": "A three-digit date code: the tyre is from before 2000 or the code was misheard.",
    "implausible": "The figure is outside what is usually read here.",
    "digits_run_together": "The digits came one after the other; the decimal point was inferred.",
    "misheard_number": "The recogniser printed a word where a number was meant.",
    "limit_unsure": "The limit that was said with it may have been misheard.",
    "misheard_word": "The recogniser printed other words where a trade word was meant.",
    "unit_assumed": "No unit was said; the usual one was taken.",
    "unit_carried": "No unit was said; that of the reading before was taken.",
    "place_unsaid": "It was not understood which of them this was read on, the front or the rear one.",
    "odd_part": "This is not usually measured on this part, which may have been misheard.",
    "place_inferred": "Two figures were said for two places; they were given in the order of the places.",
    "range_said": "A range was said; its lower figure was taken.",
    "corrected_in_speech": "The speaker corrected himself.",
    "hedged": "The speaker was not sure.",
    "low_probability": "The recogniser was not sure of these words.",
}
"""Kind → what the reviewer is told, most important first."""
_WEIGHTS = {"low_probability": 0.6, "implausible": 0.5, "misheard_number": 0.6, "unit_assumed": 0.8}
_FIGURES = frozenset(("point", "half", "quarter", "quarters", "eighth", "eighths", "seconds", "oh", "double"))


def draft_of(talk: Talk, *, id: str, jurisdiction: str | None, transcript: Transcript | None) -> Draft:
    """The draft of an annotated talk."""
    words = transcript.words if transcript else ()
    keys: dict[str, int] = {}
    findings: list[Finding | Reading] = []
    actions: list[Action] = []
    for raw in talk.raws:
        item = _item(talk, raw, words, keys)
        if isinstance(item, Action):
            actions.append(item)
        else:
            findings.append(item)
    return Draft(
        id=id,
        jurisdiction=jurisdiction,
        text=talk.doc.text,
        machine=_machine(talk, words),
        findings=tuple(findings),
        actions=tuple(actions),
    )


def _machine(talk: Talk, words: tuple[Word, ...]) -> Machine:
    """The identity with the words it was heard in; each run of them is a piece of evidence."""
    said = sorted(talk.taken)
    begins = [at for at in said if at - 1 not in talk.taken]
    ends = [at + 1 for at in said if at + 1 not in talk.taken]
    spans = [talk.doc[start:end] for start, end in zip(begins, ends, strict=True)]
    evidence = tuple(_evidence(span.text, span.start_char, span.end_char, words) for span in spans)
    doubts = talk.machine.doubts
    if any(is_unsure(words, piece.char_start, piece.char_end) for piece in evidence):
        doubts = (*doubts, Doubt(kind="low_probability", message=DOUBTS["low_probability"]))
    return talk.machine.model_copy(update={"evidence": evidence, "doubts": doubts})


def _item(talk: Talk, raw: Raw, words: tuple[Word, ...], keys: dict[str, int]) -> Finding | Reading | Action:
    start = min(raw.start, raw.end - 1)
    span = talk.doc[start : raw.end]
    evidence = _evidence(span.text, span.start_char, span.end_char, words)
    doubts = _doubts(talk, raw, start, words, span.start_char, span.end_char)
    common = {
        "key": _key(raw, keys),
        "component": raw.target.component,
        "end": raw.target.end,
        "side": raw.target.side,
        "evidence": (evidence,),
        "doubts": doubts,
        "confidence": _confidence(doubts),
        "why": tuple(raw.why),
        "said_first": raw.said_first,
    }
    if raw.state is not None:
        return Finding.model_validate({**common, "condition": raw.condition, "state": raw.state})
    if raw.quantity is not None:
        value = raw.value if isinstance(raw.value, str) else round(raw.value, 6)
        return Reading.model_validate(
            {
                **common,
                "quantity": raw.quantity,
                "value": value,
                "unit": raw.unit,
                "limit": raw.limit,
                "phase": raw.phase,
            }
        )
    return Action.model_validate({**common, "kind": raw.action, "status": raw.status})


def _key(raw: Raw, keys: dict[str, int]) -> str:
    """``tyre.front.tread_depth.2``: the same for the same talk."""
    place = [raw.target.component, raw.target.end or "", raw.target.side or ""]
    what = raw.condition or raw.quantity or raw.action or "unseen"
    base = ".".join(p for p in (*place, what, raw.phase if raw.phase == "left" else "") if p)
    keys[base] = keys.get(base, 0) + 1
    return base if keys[base] == 1 else f"{base}.{keys[base]}"


def _evidence(text: str, start: int, end: int, words: tuple[Word, ...]) -> Evidence:
    behind = heard(words, start, end)
    if not behind:
        return Evidence(text=text, char_start=start, char_end=end)
    return Evidence(text=text, char_start=start, char_end=end, start=behind[0].start, end=behind[-1].end)


def _doubts(
    talk: Talk, raw: Raw, first: int, words: tuple[Word, ...], start: int, end: int
) -> tuple[Doubt, ...]:
    kinds = list(raw.doubts)
    if raw.state == "unsure":
        kinds.append("hedged")
    if any(i in talk.misheard for i in range(first, raw.end)):
        kinds.append("misheard_word")
    if raw.quantity is not None and raw.target.end is None and _has_two(raw.target.component):
        kinds.append("place_unsaid")
    if raw.quantity in KIND_OF and raw.quantity not in lexicon().measured.get(raw.target.component, ()):
        kinds.append("odd_part")
    figure_words = [w for w in heard(words, start, end) if raw.quantity is None or _tells_figure(w.text)]
    if any(w.probability < UNSURE for w in figure_words):
        kinds.append("low_probability")
    order = list(DOUBTS)
    return tuple(Doubt(kind=k, message=DOUBTS[k]) for k in sorted(set(kinds), key=order.index))


def _has_two(component: str) -> bool:
    """Whether a machine has one at either end."""
    return vocabulary().components[component].placing == "end"


def _tells_figure(printed: str) -> bool:
    """Whether a printed word holds a digit or says a number: "4,", "four", "point"."""
    if any(c.isdigit() for c in printed):
        return True
    said = re.findall(r"[a-z]+", printed.lower())
    return any(w in ONES or w in TEENS or w in TENS or w in SCALES or w in _FIGURES for w in said)


def _confidence(doubts: tuple[Doubt, ...]) -> float:
    value = 0.97
    for doubt in doubts:
        value *= _WEIGHTS.get(doubt.kind, 0.85)
    return round(value, 3)
