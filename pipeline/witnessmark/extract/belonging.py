"""What a name takes from the one before it: its whole, its place, its leg, or a narrower meaning."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.heads import compound
from witnessmark.extract.talk import Part
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader

_VERBS = word_set("belonging_verbs")
_HOLDERS = word_set("holders")
ON_A_LEG = frozenset(("fork", "fork_seal", "dust_seal", "stanchion"))


def belongs(reader: Reader, index: int, event: Event, part: Part) -> bool:
    """ "The axle nut of the rear wheel": the second name only says where the first is."""
    previous = reader.events[index - 1] if index else None
    if previous is None or previous.kind != "part" or not previous.part or not previous.part.component:
        return False
    between = [reader.talk.at(i) for i in range(previous.end, event.start)]
    of = between == ["of"] or (not between and reader.talk.at(part.start) == "of")
    placing = between in (["in"], ["on"], ["at"]) and reader.talk.at(event.end) in _VERBS
    of = of or (placing and part.component in _HOLDERS)
    for_it = between == ["for"] and part.component in ("brakes", "wheel", "clutch")
    if for_it and len(part.ends) == 1 and (own := _of_family(previous.part, part)):
        reader.where.targets(Part(previous.part.start, part.end, part.head, own, rule=part.rule))
        return True
    of = of or for_it
    if whole := _fronted(reader, previous.part, event, part):
        reader.where.targets(Part(event.start, part.end, part.head, whole, rule=part.rule))
        reader.subject_at, reader.subject_clause = event.start, event.clause
        return True
    if not of or not reader.open_list or not part.component:
        return False
    if whole := compound(reader.talk.norms, part.head, previous.part.head):
        joined = Part(previous.part.start, part.end, part.head, whole, part.ends, part.sides, rule=part.rule)
        reader.where.targets(joined)
        return True
    if previous.part.rule.startswith("shared") or previous.part.component == "fasteners":
        reader.where.targets(part)
        return True
    if part.ends or part.sides:
        first = previous.part
        joined = Part(
            first.start,
            part.end,
            first.head,
            first.component,
            first.ends or part.ends,
            first.sides or part.sides,
        )
        joined.plural, joined.word, joined.rule = first.plural, first.word, first.rule
        reader.where.targets(joined)
    return True


def _of_family(first: Part, part: Part) -> str | None:
    """ "The hand lever for the back brake": the one of two that works what is named."""
    family = next((f for f in vocabulary().families if first.component in f.values()), None)
    return family[part.ends[0]] if family and part.component == "brakes" else None


def _fronted(reader: Reader, first: Part, event: Event, part: Part) -> str | None:
    """ "On the centre stand a spring is missing": the part that both names together are."""
    led = {"on", "in", "at"} & {reader.talk.at(first.start), reader.talk.at(first.start - 1)}
    if not led or not reader.open_list or reader.talk.at(event.start) not in ("a", "the", "one"):
        return None
    return compound(reader.talk.norms, first.head, part.head)


def borrow_place(reader: Reader, index: int, event: Event, part: Part) -> None:
    """ "Left front, pads at 5": a place said just before the name belongs to it."""
    previous = reader.events[index - 1] if index else None
    if previous is None or previous.kind != "part" or not previous.part:
        return
    between = [reader.talk.at(i) for i in range(previous.end, event.start)]
    if previous.part.component and between != ["'s"]:
        return
    if reader.talk.ending(reader.talk.measures, previous.start):
        return  # "5.2 left, 5 right, levers firm"
    if (
        previous.part.word
        or part.ends
        or part.sides
        or not all(w in (",", ":", "the", "'s") for w in between)
        or len(between) > 2
    ):
        return
    if reader.talk.clauses[previous.clause].sentence == reader.talk.clauses[event.clause].sentence:
        part.ends, part.sides = previous.part.ends, previous.part.sides


def borrow_leg(reader: Reader, event: Event, part: Part) -> None:
    """ "Right fork leg: the seal is leaking": the leg said before in the sentence is that of its seals."""
    if part.component not in ON_A_LEG or part.sides or part.word or part.plural:
        return
    sentence = reader.talk.clauses[event.clause].sentence
    for earlier in reversed(reader.talk.between(reader.talk.parts, event.start - 40, event.start)):
        if reader.talk.sentence_of(earlier.start) != sentence:
            return
        if earlier.component in ON_A_LEG and earlier.sides and earlier.component != part.component:
            part.sides = earlier.sides if len(earlier.sides) == 1 else ()
            return


def narrows(reader: Reader, index: int, part: Part) -> bool:
    """ "Tyres, front knobbly has 6 mil": the second name is one of those that the first gives."""
    previous = reader.events[index - 1].part if index else None
    of_wheel = previous and previous.component == "wheel" and reader.talk.at(previous.end) == ","
    if of_wheel and part.component != "wheel" and reader.talk.at(part.start) == "the":
        return True  # "Front wheel, the spokes are rusty"
    of_brake = previous and previous.component == "brakes" and reader.talk.at(previous.end) == ","
    if of_brake and vocabulary().components[part.component or "machine"].group == "brakes":
        return True  # "Drum brake, shoes are good"
    comma = previous is not None and reader.talk.at(previous.end) == ","
    leg = (
        previous
        and previous.component == "fork"
        and (comma or (previous.sides and part.sides in ((), previous.sides)))
    )
    if leg and part.component in ON_A_LEG:
        return True  # "on the right leg, dust seal fine"
    return bool(
        previous
        and previous.component == part.component
        and previous.plural
        and not (previous.ends or previous.sides)
        and (part.ends or part.sides)
    )
