"""What was just said, said of more parts: "and the rears too", "same on the other side", "ditto"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.raw import Raw
from witnessmark.extract.talk import Target
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader
    from witnessmark.extract.talk import Part

_ALONG = word_set("along")


def last_raws(reader: Reader, event: Event) -> list[Raw]:
    """What was said last in the same sentence."""
    sentence = reader.talk.clauses[event.clause].sentence
    recent = [r for r in reader.since(sentence) if reader.talk.clauses[r.clause].sentence == sentence]
    if not recent:
        return []
    clause = recent[-1].clause
    return [r for r in recent if r.clause == clause]


def say_again(reader: Reader, raw: Raw, target: Target) -> None:
    """Writes the same down of another part."""
    copy = Raw(**{name: getattr(raw, name) for name in raw.__slots__})
    copy.target, copy.dropped = target, False
    copy.why, copy.doubts = list(raw.why), list(raw.doubts)
    reader.raws.append(copy)


def say_all_again(reader: Reader, last: list[Raw], targets: tuple[Target, ...]) -> None:
    """Writes what was said last, all of it, down of other parts."""
    group = [r for r in last if r.end == last[-1].end]
    for raw in {(r.condition, r.action): r for r in group}.values():
        for target in targets:
            say_again(reader, raw, target)


def goes_along(reader: Reader, event: Event) -> bool:
    """Whether what was just said is said of one more: ", sprockets too", "and the disc as well"."""
    talk, at = reader.talk, event.end
    along = talk.norms[at : at + 2] in (["with", "it"], ["with", "them"], ["along", "with"], ["as", "well"])
    along = along or (talk.at(at) in _ALONG and talk.at(at + 1) in (".", ",", "", ";", "and", "but"))
    return along and bool({"and", ","} & set(talk.norms[max(0, event.start - 2) : event.start + 1]))


def likewise(reader: Reader, index: int, part: Part) -> tuple[Target, ...]:
    """Where a repetition holds: its own place, or the part or place named just before it."""
    if part.ends or part.sides or part.word != "same":
        return reader.where.targets(part)
    following = reader.events[index + 1] if index + 1 < len(reader.events) else None
    onward = reader.talk.at(part.head[0]) == "so" or reader.talk.at(part.end - 1) == "for"
    if (
        onward
        and following
        and following.kind == "part"
        and following.part
        and following.start - part.end <= 1
    ):
        reader.bound.add(index + 1)
        return reader.where.targets(following.part)
    previous = reader.events[index - 1].part if index and reader.events[index - 1].kind == "part" else None
    if previous is None or index - 1 in reader.bound:
        return ()
    return reader.where.focus if previous.component else reader.where.targets(previous)


def repeat(reader: Reader, index: int, part: Part) -> None:
    """ "same on the other side", "ditto rear"."""
    live = [r for r in reader.raws if not r.dropped]
    reader.open_list = False
    if not live:
        return
    if live[-1].action is None or reader.talk.at(part.end - 1) != "for":
        live = [r for r in live if r.action is None]
    if not live:
        return
    source = live[-1].target
    statement = []
    for raw in reversed(live):
        alike = raw.end == live[-1].end or reader.talk.at(part.head[0]) != "so"
        if raw.target != source or not alike:
            break
        statement.append(raw)
    targets = likewise(reader, index, part)
    named = index and reader.events[index - 1].kind == "part" and reader.events[index - 1].part
    free = (
        reader.talk.at(part.head[0]) == "so"
        or reader.talk.at(part.end - 1) == "for"
        or bool(named and named.component and part.word == "same")
    )
    for target in targets:
        if target != source and (
            free or target.component == source.component or related(reader, target, source)
        ):
            for raw in reversed(statement):
                say_again(reader, raw, target)


def related(reader: Reader, one: Target, two: Target) -> bool:
    """Whether two parts are the front and rear one of a family."""
    return any({one.component, two.component} <= set(f.values()) for f in vocabulary().families)
