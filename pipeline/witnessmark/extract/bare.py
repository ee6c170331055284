"""Places said without a part: "the left one", "same on the other side", "... but the rear one is"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.listing import own_predicate
from witnessmark.extract.raw import Raw
from witnessmark.extract.repeated import goes_along, last_raws, repeat, say_again, say_all_again
from witnessmark.extract.talk import Target
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader
    from witnessmark.extract.talk import Part

_BESIDE = word_set("beside")
_MOVING = word_set("moving")
_PLENTY = word_set("plenty")


def read_place(reader: Reader, index: int, event: Event, part: Part) -> None:
    """A bare place: a new subject, a repetition, or where the thing just said is."""
    if not (part.ends or part.sides or part.pairs or part.word):
        return None
    if is_beside(reader, event) and reader.talk.at(event.end) not in (
        "is",
        "'s",
        "are",
        "has",
    ):
        return None
    if reader.talk.at(event.start - 1) == "than":
        return None  # "younger than the front one"
    own = own_predicate(reader, index, event)
    if not own and (polarity := ellipsis(reader, event)) is not None:
        so_is(reader, part, polarity)
        return None
    if reader.talk.norms[event.end : event.end + 2] in (["has", "none"], ["have", "none"]):
        live = [r for r in reader.raws[-3:] if r.condition and r.condition != "sound" and not r.dropped]
        if live:
            later = reader.events[index + 1] if index + 1 < len(reader.events) else None
            if later and later.start <= event.end + 1:
                reader.bound.add(index + 1)
            return so_is(reader, part, polarity=False)  # "the left has some pitting, the right one has none"
    if part.word == "same" and len(part.sides) == 2 and last_raws(reader, event):
        part.word = ""  # "8 mil, left and right the same"
        return relocate(reader, part, last_raws(reader, event))
    if part.word.startswith("same") and (not own or reader.talk.at(part.head[0]) == "so"):
        repeat(reader, index, part)
        return None
    if part.word == "same":
        return None
    last = last_raws(reader, event)
    if (
        not own
        and last
        and last[-1].state == "absent"
        and "none" in reader.talk.norms[event.start - 2 : event.start]
    ):
        for target in reader.where.targets(part):
            say_again(reader, last[-1], target)  # "no chafing at the front, none at the rear"
        return None
    if not own and last and last[-1].state == "absent" and _has_plenty(reader, event):
        for target in reader.where.targets(part):
            say_again(reader, last[-1], target)
            reader.raws[-1].state = "present"  # "no play in the front, plenty in the back"
        return None
    if not own and last and last[-1].condition and goes_along(reader, event):
        return say_all_again(reader, last, reader.where.targets(part))
    if own and last and _completes(reader, event, part, last):
        own = False
    if not own and part.word == "that":
        return None
    here = bool(last) and (
        last[-1].clause == event.clause
        or bool(part.word)
        or _led(reader, event)
        or _trails(reader, event, last)
    )
    if not own and here and not part.word.startswith("other"):
        relocate(reader, part, last)
        return None
    if not own and part.ends and not part.sides and not part.word:
        return lone_end(reader, part)
    if reader.where.targets(part):
        reader.subject_at, reader.subject_clause, reader.open_list = event.start, event.clause, True
    return None


def is_beside(reader: Reader, event: Event) -> bool:
    """Whether a phrase only says where something is: "behind the rear one", not "Onto the rear"."""
    before = reader.talk.at(event.start - 1)
    moving = before == "onto" and reader.talk.at(event.start - 2) in _MOVING
    return before in _BESIDE and not moving


def _has_plenty(reader: Reader, event: Event) -> bool:
    """Whether the words right before a place say that there is some of it there."""
    talk = reader.talk
    at = event.start - 1
    while talk.at(at) in ("the", "on", "in", "at", "round", "around"):
        at -= 1
    if talk.at(event.start) in ("on", "in", "at"):
        at = event.start - 1
    return talk.at(at) in _PLENTY


def _led(reader: Reader, event: Event) -> bool:
    """Whether a preposition leads to a place: ", on the left"."""
    leads = ("on", "at", "in", "off", "from")
    first = event.start if reader.talk.at(event.start) in leads else event.start - 1
    if reader.talk.norms[max(0, first - 2) : first] == ["the", "one"]:
        return False  # "the one on the right is there": another subject
    return reader.talk.at(event.start) in leads or reader.talk.at(event.start - 1) in leads


def _trails(reader: Reader, event: Event, last: list[Raw]) -> bool:
    """ "Pads are 2 mm, front.": a place that ends the sentence, of what was said without one."""
    part, ends = event.part, reader.talk.at(event.end) in (".", "", ";")
    assert part is not None
    group = [r.target for r in last if r.end == last[-1].end]
    places = {t.end for t in group} if part.ends else {t.side for t in group}
    return ends and reader.talk.at(event.start - 1) == "," and (places == {None} or len(places) > 1)


def _completes(reader: Reader, event: Event, part: Part, last: list[Raw]) -> bool:
    """ "three sixteenths on the left five thirty-seconds on the right": the side is of the figure before."""
    figure = last[-1].quantity is not None and last[-1].end >= event.start - 2
    said = reader.talk.at(event.start) == "on" or reader.talk.at(event.start - 1) in ("on", "the")
    said = said or _in_turn(reader, event, part)
    return figure and said and bool(part.sides) and last[-1].target.side is None and not part.ends


def _in_turn(reader: Reader, event: Event, part: Part) -> bool:
    """ "5.2 left 5 right": each side follows its figure; the second has nothing after it to be of."""
    talk = reader.talk
    measure = next(iter(talk.starting(talk.measures, event.end)), None)
    second = next(iter(talk.starting(talk.parts, measure.end)), None) if measure else None
    if second is None or second.component or len(part.sides) != 1 or len(second.sides) != 1:
        return False
    return second.sides != part.sides and not talk.number_at(second.end)


def ellipsis(reader: Reader, event: Event) -> bool | None:
    """ "... but the rear one is" (True), "the rear one isn't either" (False), anything else (None)."""
    at = event.end + (reader.talk.at(event.end) in ("itself", "themselves"))
    before = [reader.talk.at(i) for i in range(event.start - 3, event.start)]
    if (before[-3:-1] == ["there", "is"] and before[-1] in ("in", "on")) or before[-2:] == ["there", "is"]:
        return True
    if reader.talk.at(at) == "not" and reader.talk.at(at + 1) in (".", ",", ""):
        return False
    if reader.talk.at(at) not in ("is", "are", "does", "has", "was", "do"):
        return None
    denied = reader.talk.at(at + 1) == "not"
    stop = at + 1 + denied
    ends = reader.talk.at(stop) in (".", ",", "", "either", "too", "as", "but", "and")
    next_named = denied and any(p.component for p in reader.talk.starting(reader.talk.parts, stop))
    return not denied if ends or next_named else None


def so_is(reader: Reader, part: Part, polarity: bool) -> None:
    """Says of another place what was last said, or that it is not so."""
    live = [r for r in reader.raws if r.is_observation and not r.dropped and r.condition]
    if not live:
        return
    source = live[-1]
    group = [r for r in live if r.end == source.end and r.target == source.target]
    switches = {"brake_lever": "front", "brake_pedal": "rear"}
    for target in reader.where.targets(part):
        if source.target.component == "brake_light_switch" and target.component in switches:
            target = Target("brake_light_switch", switches[target.component])  # type: ignore[arg-type]
        for raw in group:
            say_again(reader, raw, target)
            if raw.flipped:  # "doesn't work, the other does"
                reader.raws[-1].condition = "sound" if polarity else raw.condition
                reader.raws[-1].flipped = not polarity
            elif raw.condition == "sound" and not polarity:
                reader.raws[-1].condition = raw.denied or "inoperative"
                reader.raws[-1].flipped = True
            else:
                reader.raws[-1].state = "present" if polarity else "absent"


def lone_end(reader: Reader, part: Part) -> None:
    """ "At the back now": a place alone is a heading."""
    if len(part.ends) == 1:
        reader.where.heading, reader.where.local = part.ends[0], None


def relocate(reader: Reader, part: Part, last: list[Raw]) -> None:
    """ "a touch of rust on the left": the place belongs to what was just said."""
    anchor = last[-1]
    group = [
        r
        for r in last
        if r.end == anchor.end
        or (anchor.state == "absent" and r.state == "absent" and r.target == anchor.target)
    ]
    component = anchor.target.component
    if "both" in part.word and len({r.target.component for r in group}) > 1:
        return  # "swingarm and linkage, no play in either of them"
    reader.where.spoken.append(anchor.target)
    for raw in group:
        raw.dropped = True
    info = vocabulary().components[component]
    both = "both" in part.word and not (part.ends or part.sides)
    targets: tuple[Target, ...]
    if both and len(group) == 1 and info.takes_end and not reader.where.is_twin(component):
        targets = (Target(component, "front"), Target(component, "rear"))
    elif "both" in part.word and len(group) > 1:
        targets = tuple(r.target for r in group)
    else:
        targets = reader.where.targets(part)
        if part.ends == ("front", "rear") and info.takes_end and not part.sides:
            targets = tuple(Target(component, e, anchor.target.side) for e in part.ends)
        if part.sides and info.takes_end:
            targets = tuple(Target(t.component, anchor.target.end or t.end, t.side) for t in targets)
    if _names_its_twin(reader, part, component, targets):
        component = targets[0].component
    if not any(t.component == component for t in targets) and "both" not in part.word:
        for raw in group:
            raw.dropped = False
        return
    if any(t.component == component for t in targets) and component not in vocabulary().twofold:
        targets = tuple(t for t in targets if t.component == component)
    elif "both" in part.word and component not in vocabulary().twofold:
        targets = (
            tuple(Target(component, e, None) for e in ("front", "rear"))
            if info.takes_end
            else (anchor.target,)
        )
    kinds = {(r.condition, r.quantity, r.action): r for r in group}
    for raw in kinds.values():
        for target in dict.fromkeys(targets):
            say_again(reader, raw, target)


def _names_its_twin(reader: Reader, part: Part, component: str, targets: tuple[Target, ...]) -> bool:
    """ "Rear sprocket's good; couldn't see the front one": front and rear have ids of their own."""
    one = reader.talk.at(part.end - 1) == "one" and len({t.component for t in targets}) == 1
    families = vocabulary().families
    return one and any({component, targets[0].component} <= set(f.values()) for f in families)
