"""Which part work was done on, or is wanted on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.binding import object_after
from witnessmark.extract.listing import own_predicate, take_listed
from witnessmark.extract.places import MANY
from witnessmark.extract.talk import Target
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader


_PRONOUNS = word_set("claimed_pronouns")
_STATES = word_set("states")
_MEASURED = word_set("measured") - {"it", "there", "at", "mine", "only"}
_CLAIMING = word_set("claiming")


def objects_of(reader: Reader, index: int, event: Event) -> tuple[Target, ...]:
    """What was worked on: named right after the work word, or before it, or the part spoken of."""
    talk = reader.talk
    around = range(max(0, index - 6), min(index + 7, len(reader.events)))
    inside = [
        i for i in around if reader.events[i].part and event.start <= reader.events[i].start < event.end
    ]
    inside = [i for i in inside if reader.events[i].start > event.start]
    form = {r.data.get("form") for r in event.mention.rows} if event.mention else set()
    if event.mention and event.mention.id == "repair" and "past" not in form:
        inside = []  # a puncture that wants a plug
    if inside and event.mention:
        reader.bound.update(inside)
        part = reader.events[inside[0]].part
        if part and part.component is None and talk.at(part.head[0]) in ("pair", "set"):
            return reader.where.focus  # "I'd put a new pair in"
        if part and part.component is None:
            return reader.where.targets(part) or reader.where.focus
        oil = part is not None and part.component in (
            "engine_oil",
            "two_stroke_oil",
            "brake_fluid",
            "coolant",
        )
        fitting = part is not None and part.rule.startswith("shared") and _named_in_sentence(reader, event)
        if fitting:
            return reader.where.focus  # "Final drive is weeping, wants a new seal"
        if event.mention.id not in ("lubricate", "top_up") or not oil:
            return take_listed(reader, inside[0])
        return reader.where.focus
    if also := _that_and(reader, index, event) or _the_bad_one(reader, event):
        return also
    if _of_pronoun(reader, event):
        return reader.where.focus
    if "her" in talk.norms[event.start : event.end] or talk.at(event.end) == "her":
        return ()  # the machine as a whole
    if {"it", "that", "them", "those"} & set(talk.norms[event.start : event.end]):
        return _them(reader, event)
    if not ({"ing"} >= form) or talk.at(event.end) in (
        "the",
        "both",
        "all",
        "this",
        "that",
        "those",
        "these",
    ):
        for at in range(index + 1, min(index + 3, len(reader.events))):
            later = reader.events[at]
            between = talk.norms[event.end : later.start]
            if event.mention and event.mention.id == "repair" and later.start < event.end:
                continue  # the plug of "that'll need a plug"
            if later.kind == "action" and between in (["and"], [","]) and at == index + 1:
                return objects_of(reader, at, later)  # "cleaned and lubed the chain"
            if later.part and later.part.pointed and _is_pronoun(reader, later):
                return reader.where.focus  # "I would change those | chain slack is 55"
            pronoun = any(
                w in ("it", "them", "that", "those", "up", ",", "and", "so", "but", "because", "to", "now")
                for w in between
            )
            if (
                later.kind == "part"
                and later.part
                and later.part.component
                and len(between) <= 4
                and not pronoun
                and not _new_statement(reader, later, event)
            ):
                return take_listed(reader, at)
            place = later.part if later.kind == "part" and later.part and not later.part.component else None
            if place and place.word != "same" and not between and not own_predicate(reader, at, later):
                reader.bound.add(at)
                if "pair" in talk.norms[place.start : place.end] and reader.where.focus:
                    return _two_of(reader.where.focus[0])
                return reader.where.targets(place) or reader.where.focus
            if later.kind in ("action", "condition", "measure", "unseen"):
                break
    if "thing" in form:
        found = object_after(reader, index, reach=4)
        if found:
            return found
    return reader.where.focus


def _two_of(one: Target) -> tuple[Target, ...]:
    """ "I'd change the pair of them": both of what is spoken of."""
    info = vocabulary().components[one.component]
    if one.component in MANY:
        return (one,)  # "that's two loose, I've tightened the pair of them"
    if info.placing == "pair":
        return tuple(Target(one.component, one.end, side) for side in ("left", "right"))
    return tuple(Target(one.component, end) for end in ("front", "rear")) if info.takes_end else (one,)


def _is_pronoun(reader: Reader, later: Event) -> bool:
    """Whether the "those" before a name in the singular stands by itself."""
    assert later.part is not None
    return reader.talk.at(later.part.start) in ("those", "these") and not later.part.plural


def _the_bad_one(reader: Reader, event: Event) -> tuple[Target, ...]:
    """ "I'd change the leaking one": that of which it was said."""
    talk = reader.talk
    if talk.at(event.end) != "the":
        return ()
    named = [
        m for m in talk.starting(talk.of("condition"), event.end + 1) if talk.at(m.end) in ("one", "ones")
    ]
    found = (r.target for r in reader.raws[-12:] if r.state == "present" and not r.dropped)
    said = {r.target for r in reader.raws[-12:] for m in named if r.condition == m.id}
    return tuple(dict.fromkeys(t for t in found if t in said))


def _that_and(reader: Reader, index: int, event: Event) -> tuple[Target, ...]:
    """ "I'd change that and the chain": what was spoken of, and one more."""
    later = reader.events[index + 1] if index + 1 < len(reader.events) else None
    if later is None or later.part is None or not later.part.component:
        return ()
    between = reader.talk.norms[event.end : later.start]
    if between not in (["that", "and"], ["it", "and"], ["them", "and"], ["those", "and"]):
        return ()
    if own_predicate(reader, index + 1, later):
        return ()
    before = reader.where.focus
    return (*before, *take_listed(reader, index + 1))


def _them(reader: Reader, event: Event) -> tuple[Target, ...]:
    """ "26 front and 30 rear, brought them up": all of which figures were just found."""
    focus = reader.where.focus
    if len(focus) != 1 or "them" not in reader.talk.norms[event.start : event.end]:
        return focus
    found = [r for r in reader.since(reader.talk.sentence_of(event.start) - 1) if r.quantity]
    alike = (r.target for r in found if r.target.component == focus[0].component and r.phase == "found")
    targets = tuple(dict.fromkeys(alike))
    return targets if focus[0] in targets and len(targets) == 2 else focus


def _of_pronoun(reader: Reader, event: Event) -> bool:
    """ "that's got to be replaced | rear pads": what was spoken of, whatever comes next."""
    words = reader.talk.norms[max(0, event.start - 6) : event.start]
    pairs = [i for i in range(len(words) - 1) if words[i] in _PRONOUNS and words[i + 1] in _CLAIMING]
    return not reader.talk.punctuated and bool(pairs) and "," not in words[pairs[-1] :]


def _named_in_sentence(reader: Reader, event: Event) -> bool:
    """Whether the part spoken of was named or judged in this sentence."""
    return bool(reader.where.focus) and (
        reader.same_sentence(event) or bool(reader.since(reader.talk.clauses[event.clause].sentence))
    )


def _new_statement(reader: Reader, later: Event, event: Event) -> bool:
    return (
        reader.talk.clauses[later.clause].sentence != reader.talk.clauses[event.clause].sentence
        or reader.talk.at(later.end) in _STATES
        or (not reader.talk.punctuated and reader.talk.at(later.end) in _MEASURED)
    )
