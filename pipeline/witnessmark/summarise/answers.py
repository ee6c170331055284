"""What the owner said to the lines of an estimate, in words."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.bill import Earlier, EarlierLine
from witnessmark.summarise.words import capital, isolated, name_of, written
from witnessmark.types import Action, Answer, End, Item, PastAction, Side

RENEW = "replace"
"""Work that makes other work on the part needless."""


def line_key(item: Item, work: str) -> str:
    """The part, its place and the work."""
    return f"{':'.join(filter(None, (item.component, item.end, item.side)))}/{work}"


def answered(words: PlainWords, answer: Answer) -> str:
    """``Go ahead, said B. Hale on 3 March 2026``."""
    row = words.paper.estimate[f"answered_{answer.kind}"]
    return row.format(who=isolated(answer.who), date=written(words, answer.on))


def earlier_answers(answers: Iterable[Answer], done: Iterable[PastAction]) -> tuple[Earlier, ...]:
    """The last answer to each line, with the day on which the work was done since.

    Args:
        answers: of earlier visits, oldest first.
        done: the machine's confirmed work.
    """
    last = {answer.line: answer for answer in answers}
    finished = [one for one in done if one.action.status == "done"]
    return tuple(Earlier(answer, _done_on(answer, finished)) for answer in last.values())


def _done_on(answer: Answer, done: Iterable[PastAction]) -> date | None:
    """When the work of a line, or the replacement that spares it, was first done after the answer."""
    _, _, work = answer.line.partition("/")
    place = place_of(answer.line)
    return min(
        (
            one.on
            for one in done
            if one.action.place == place and one.action.kind in (work, RENEW) and one.on >= answer.on
        ),
        default=None,
    )


def said_to(words: PlainWords, action: Action, answers: Iterable[Earlier]) -> str:
    """What the owner said last to this very work, while it is not done; else nothing."""
    line = line_key(action, action.kind)
    one = next((one.answer for one in answers if one.answer.line == line and one.done is None), None)
    if one is None:
        return ""
    return words.paper.estimate[f"earlier_{one.kind}"].format(
        who=isolated(one.who), date=written(words, one.on)
    )


def earlier_line(words: PlainWords, one: Earlier) -> EarlierLine:
    """An answer of an earlier visit in words."""
    says = words.paper.estimate
    place, _, work = one.answer.line.partition("/")
    part, work_name = place_name(words, place), words.paper.work.get(work, work)
    said = says[f"earlier_{one.answer.kind}"]
    return EarlierLine(
        name=says["earlier_line"].format(part=part, work=work_name),
        said=said.format(who=isolated(one.answer.who), date=written(words, one.answer.on)),
        since=says["since_done"].format(date=written(words, one.done)) if one.done else says["since_open"],
    )


def place_of(line: str) -> tuple[str, End | None, Side | None]:
    """Component, end and side of a line."""
    place, _, _ = line.partition("/")
    component, *spot = place.split(":")
    end: End | None = "front" if "front" in spot else "rear" if "rear" in spot else None
    side: Side | None = "left" if "left" in spot else "right" if "right" in spot else None
    return component, end, side


def place_name(words: PlainWords, place: str) -> str:
    """``Rear tyre`` for ``tyre:rear``."""
    component, end, side = place_of(place)
    return capital(name_of(words, component, [(end, side)]))
