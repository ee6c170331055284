"""Builds what the review page shows of a walkround: the stages' own words, composed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import chain
from typing import NamedTuple

from witnessmark import run
from witnessmark.desk.review.shapes import (
    ItemView,
    Live,
    PhotoView,
    Printed,
    Sort,
    Standing,
    TrailLine,
    VerdictView,
    WalkroundView,
)
from witnessmark.desk.review.trail import grade_word, says
from witnessmark.desk.review.trail import trail as trail_of
from witnessmark.extract.heard import UNSURE
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.record import Photo
from witnessmark.review import MACHINE, apply, queue
from witnessmark.review import wording as worded
from witnessmark.review.standing import Entry, gravest, is_doubtful, is_named, keyed, standings
from witnessmark.review.standing import Standing as Stands
from witnessmark.types import (
    Action,
    Assessment,
    Basis,
    Decision,
    DecisionKind,
    Finding,
    Item,
    Machine,
    Reading,
    Verdict,
    Walkround,
)

_STANDS: dict[DecisionKind, Standing] = {
    DecisionKind.CONFIRM: "confirmed",
    DecisionKind.CORRECT: "corrected",
    DecisionKind.REJECT: "rejected",
    DecisionKind.ADD: "added",
    DecisionKind.POSTPONE: "postponed",
}
_SURE = {
    "read": "read in the source",
    "read second-hand": "read at second hand",
    "memory": "from memory: check it",
    "computed": "computed",
    "said": "as said in the talk",
    "none": "",
}
_SORTS: dict[type[Entry], Sort] = {
    Machine: "machine",
    Finding: "finding",
    Reading: "reading",
    Action: "work",
}


class Present(NamedTuple):
    """A walkround as it stands now."""

    walkround: Walkround
    """With the verdicts on what the reviewers have made of it; the draft is as it came in."""
    stands: Mapping[str, Stands]

    @property
    def identity(self) -> Machine:
        """The machine as decided, or else as drafted."""
        stands = self.stands[MACHINE]
        now = in_force(stands)
        rejected = stands.last is not None and stands.last.kind is DecisionKind.REJECT
        return Machine() if rejected or not isinstance(now, Machine) else now


def present(walkround: Walkround) -> Present:
    """The walkround judged as the reviewers have it so far."""
    stands = standings(walkround)
    if any(one.last is not None and _judged_anew(one.last) for one in stands.values()):
        anew = run.judged_again(apply(walkround)).walkround.assessment
        assessment = anew.model_copy(update={"draft": walkround.draft})
        walkround = walkround.model_copy(update={"assessment": assessment})
    return Present(walkround, stands)


def _judged_anew(decision: Decision) -> bool:
    return decision.kind in (DecisionKind.CORRECT, DecisionKind.ADD) or decision.grade is not None


def walkround_view(now: Present, photos: Iterable[Photo], soundless: str = "") -> WalkroundView:
    """Everything on the page; ``soundless`` says why there is no sound, where there is none."""
    walkround = now.walkround
    return WalkroundView(
        **dict(live_view(now)),
        id=walkround.id,
        on=walkround.on,
        jurisdiction=walkround.draft.jurisdiction,
        seconds=walkround.transcript.recording.duration,
        sound=not soundless,
        soundless=soundless,
        text=walkround.draft.text,
        printed=tuple(_printed(walkround)),
        photos=tuple(PhotoView(sha256=one.sha256, seconds=one.seconds, who=one.who) for one in photos),
    )


def live_view(now: Present) -> Live:
    """What changes with each decision."""
    walkround = now.walkround
    lines = trail_of(walkround)
    return Live(
        count=len(walkround.decisions),
        title=title(now.identity),
        queue=queue(walkround),
        items=tuple(item_view(now, key, lines[key]) for key in now.stands),
        never_mentioned=part_names(walkround.assessment.never_mentioned),
        together=tuple(dict.fromkeys(one.message for one in walkround.assessment.together)),
        trail=tuple(sorted(chain(*lines.values()), key=lambda line: line.when)),
    )


def one_item(now: Present, key: str) -> ItemView:
    """One item alone."""
    return item_view(now, key, trail_of(now.walkround)[key])


def item_view(now: Present, key: str, trail: tuple[TrailLine, ...]) -> ItemView:
    """One item; ``trail`` is that of the item."""
    stands, walkround = now.stands[key], now.walkround
    entry = in_force(stands)
    verdicts = walkround.assessment.verdicts_of(key)
    own = stands.last.grade if stands.last else None
    grade = own or gravest(verdicts)
    return ItemView(
        key=key,
        sort=_SORTS[type(entry)],
        part=worded.part(entry) if isinstance(entry, Item) else "machine",
        says=says(entry),
        drafted=says(stands.drafted) if stands.drafted else None,
        entry=entry,
        standing="waiting" if stands.last is None else _STANDS[stands.last.kind],
        waiting=stands.waiting,
        doubtful=is_doubtful(entry),
        seen=len(trail),
        grade=grade,
        word=grade_word(grade) if verdicts else "",
        verdicts=tuple(map(verdict_view, verdicts)),
        doubts=tuple(_doubts(entry)),
        said_first=entry.said_first if isinstance(entry, Item) else None,
        evidence=entry.evidence,
        confidence=entry.confidence if isinstance(entry, Item) else None,
        trail=trail,
    )


def in_force(stands: Stands) -> Entry:
    """What the item says now: as corrected, or else as proposed."""
    return (stands.last and keyed(stands.last)) or stands.proposal


def _doubts(entry: Entry) -> Iterator[str]:
    yield from (doubt.message for doubt in entry.doubts)
    if isinstance(entry, Machine) and not is_named(entry):
        yield "Neither registration nor VIN was understood, so the record could not file this walkround."


def title(machine: Machine) -> str:
    """What a machine is called in headings."""
    return worded.printable(machine.registration or machine.vin or "machine not named")


def verdict_view(verdict: Verdict) -> VerdictView:
    """One verdict in words."""
    return VerdictView(
        grade=verdict.grade,
        word=grade_word(verdict.grade),
        basis="" if verdict.basis is Basis.NONE else verdict.basis.value,
        limit=worded.bounds(verdict.limit, verdict.unit) if verdict.limit else "",
        source=verdict.source or "",
        sure=_SURE[verdict.sureness],
        message=verdict.message,
    )


def part_names(places: Iterable[str]) -> tuple[str, ...]:
    """Names of parts given as ``component`` or ``component:end``."""
    known = vocabulary().components
    split = ((place, id) for id, _, place in (one.partition(":") for one in places))
    return tuple(" ".join(filter(None, (at, known[id].name if id in known else id))) for at, id in split)


def _printed(walkround: Walkround) -> Iterator[Printed]:
    for word in walkround.transcript.words:
        if word.probability < UNSURE or word.first_printed:
            yield Printed(
                text=word.text,
                char_start=word.char_start,
                char_end=word.char_end,
                probability=round(word.probability, 3),
                first=word.first_printed,
            )


def regraded(before: Assessment, after: Assessment, keys: Iterable[str]) -> Iterator[tuple[str, str, str]]:
    """Items whose gravest verdict differs: key, word before, word after."""
    for key in keys:
        was, now = gravest(before.verdicts_of(key)), gravest(after.verdicts_of(key))
        if was is not now:
            yield key, grade_word(was), grade_word(now)
