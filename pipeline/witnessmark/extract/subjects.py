"""Part names: headings, subjects, lists of subjects, and parts that are only asides."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.bare import ellipsis, last_raws, read_place, relocate, say_again, so_is
from witnessmark.extract.binding import joins, own_predicate, subject_here
from witnessmark.extract.controls import read_lone_control, take_control
from witnessmark.extract.heads import compound
from witnessmark.extract.talk import Part, Target
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader

_INTO = word_set("into")

_BESIDE = word_set("beside")
_DESCRIBING = word_set("describing")

_GOES_ON = tuple(
    [",", "and", pronoun, verb]
    for pronoun in ("it", "they")
    for verb in ("is", "was", "'s", "are", "were", "came")
)

_VERBS = frozenset(
    (
        "is",
        "are",
        "'s",
        "was",
        "were",
        "has",
        "have",
        "had",
        "need",
        "needs",
        "want",
        "wants",
        "feel",
        "feels",
    )
)
_ON_A_LEG = frozenset(("fork", "fork_seal", "dust_seal", "stanchion"))
_HOLDERS = frozenset(
    ("wheel", "brakes", "fork", "brake_caliper", "brake_drum", "swingarm", "yoke", "handlebar")
)
_PREDICATES = ("condition", "measure", "code", "unseen", "action")


def read_part(reader: Reader, index: int, event: Event) -> None:
    """Takes a part as subject, heading, one of a list, control of a lamp, or aside."""
    part = event.part
    if part is None or index in reader.bound:
        return
    if part.word == "zone":
        reader.where.head(part)
        reader.open_list = False
        return
    if part.component is None:
        read_place(reader, index, event, part)
        return
    if belongs(reader, index, event, part):
        return
    if read_lone_control(reader, event, part) or take_control(reader, event, part):
        return
    if is_aside(reader, event):
        widen(reader, event, part)
        return
    if opens_stretch(reader, event, part):
        reader.where.head(part)
        reader.where.targets(part)
        reader.open_list = False
        return
    borrow_place(reader, index, event, part)
    borrow_leg(reader, event, part)
    if _elliptic(reader, index, event, part) or _goes_along(reader, event, part):
        return
    joined = reader.open_list and joins(reader, index, event) and not _narrows(reader, index, part)
    before = reader.where.focus
    heading = is_heading(reader, index, event)
    if (
        reader.open_list
        and not joined
        and part.component == "wheel"
        and len(part.ends) == 1
        and stands_alone(reader, event)
    ):
        reader.where.only_place(part.ends[0])
        return
    if heading:
        reader.where.head(part)
    targets = reader.where.targets(part, reader.same_sentence(event))
    if joined and part.sides and part.end > part.head[1]:
        before = tuple(Target(t.component, t.end, t.side or part.sides[0]) for t in before)
    if joined:
        reader.where.focus = tuple(dict.fromkeys((*before, *targets)))
    else:
        reader.subject_at = event.start
    reader.subject_clause = event.clause
    reader.open_list = True


def opens_stretch(reader: Reader, event: Event, part: Part) -> bool:
    """ "At the rear wheel, the chain had ...": a place to begin from, and no subject."""
    clause = reader.talk.clauses[event.clause]
    lead = [
        w
        for w in reader.talk.norms[clause.start : part.head[0]]
        if w not in ("and", "so", "now", "then", "over")
    ]
    return (
        clause.opener == "."
        and part.component in ("wheel", "brakes")
        and len(part.ends) == 1
        and not part.sides
        and lead[:1] in (["at"], ["on"], ["to"], ["in"], ["round"], ["with"])
        and reader.talk.at(event.end) == ","
    )


def _elliptic(reader: Reader, index: int, event: Event, part: Part) -> bool:
    """ "main beam works, dip doesn't": what was just said, or its contrary, holds of another part."""
    inverted = reader.talk.norms[max(0, event.start - 2) : event.start]
    if len(inverted) == 2 and inverted[1] in ("is", "are", "does", "do", "has", "'s"):
        same = last_raws(reader, event)
        if inverted[0] in ("so", "neither", "nor") and same and same[-1].condition:
            so_is(reader, part, inverted[0] == "so")
            return True
    verb = reader.talk.at(event.end)
    has = verb in ("has", "have") and reader.talk.at(event.end + 1) == "not"
    if verb in ("has", "have") and reader.talk.at(event.end + 1) == "none":
        return _has_none(reader, index, event, part)
    if not (verb in ("is", "are", "does", "do") or has) or own_predicate(reader, index, event):
        return False
    polarity = ellipsis(reader, event)
    last = last_raws(reader, event)
    if polarity is None or not last or not last[-1].condition:
        return False
    so_is(reader, part, polarity)
    return True


def _goes_along(reader: Reader, event: Event, part: Part) -> bool:
    """ "Engine oil I've changed, and the filter with it": the same work on another part."""
    talk, at = reader.talk, event.end
    along = talk.norms[at : at + 2] in (["with", "it"], ["with", "them"], ["along", "with"], ["as", "well"])
    along = along or talk.at(at) in ("too", "likewise")
    if not along or "and" not in talk.norms[max(0, event.start - 2) : event.start + 1]:
        return False
    done = [r for r in last_raws(reader, event) if r.action]
    if not done or done[-1].action not in ("replace", "clean", "lubricate", "tighten", "adjust"):
        return False
    for target in reader.where.targets(part):
        say_again(reader, done[-1], target)
    return True


def _has_none(reader: Reader, index: int, event: Event, part: Part) -> bool:
    """ "The linkage has play, the swingarm has none"."""
    last = last_raws(reader, event)
    if not last or not last[-1].condition or last[-1].condition == "sound":
        return False
    so_is(reader, part, polarity=False)
    later = reader.events[index + 1] if index + 1 < len(reader.events) else None
    if later and later.start <= event.end + 1:
        reader.bound.add(index + 1)
    return True


def _narrows(reader: Reader, index: int, part: Part) -> bool:
    """ "Tyres, front knobbly has 6 mil": the second name is one of those that the first gives."""
    previous = reader.events[index - 1].part if index else None
    of_wheel = previous and previous.component == "wheel" and reader.talk.at(previous.end) == ","
    if of_wheel and part.component != "wheel" and reader.talk.at(part.start) == "the":
        return True  # "Front wheel, the spokes are rusty"
    of_brake = previous and previous.component == "brakes" and reader.talk.at(previous.end) == ","
    if of_brake and vocabulary().components[part.component or "machine"].group == "brakes":
        return True  # "Drum brake, shoes are good"
    leg = previous and previous.component == "fork" and previous.sides and not part.sides
    if leg and part.component in _ON_A_LEG:
        return True  # "on the right leg, dust seal fine"
    return bool(
        previous
        and previous.component == part.component
        and previous.plural
        and not (previous.ends or previous.sides)
        and (part.ends or part.sides)
    )


def belongs(reader: Reader, index: int, event: Event, part: Part) -> bool:
    """ "The axle nut of the rear wheel": the second name only says where the first is."""
    previous = reader.events[index - 1] if index else None
    if previous is None or previous.kind != "part" or not previous.part or not previous.part.component:
        return False
    between = [reader.talk.at(i) for i in range(previous.end, event.start)]
    of = between == ["of"] or (not between and reader.talk.at(part.start) == "of")
    placing = between in (["in"], ["on"], ["at"]) and reader.talk.at(event.end) in _VERBS
    of = of or (placing and part.component in _HOLDERS)
    of = of or (between == ["for"] and part.component in ("brakes", "wheel", "clutch"))
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


def borrow_place(reader: Reader, index: int, event: Event, part: Part) -> None:
    """ "Left front, pads at 5": a place said just before the name belongs to it."""
    previous = reader.events[index - 1] if index else None
    if previous is None or previous.kind != "part" or not previous.part:
        return
    between = [reader.talk.at(i) for i in range(previous.end, event.start)]
    if previous.part.component and between != ["'s"]:
        return
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
    if part.component not in _ON_A_LEG or part.sides or part.word or part.plural:
        return
    sentence = reader.talk.clauses[event.clause].sentence
    for earlier in reversed(reader.talk.between(reader.talk.parts, event.start - 40, event.start)):
        if reader.talk.sentence_of(earlier.start) != sentence:
            return
        if earlier.component in _ON_A_LEG and earlier.sides and earlier.component != part.component:
            part.sides = earlier.sides if len(earlier.sides) == 1 else ()
            return


def widen(reader: Reader, event: Event, part: Part) -> None:
    """ "cloudy in both reservoirs": an aside that says where what was just said holds."""
    last = last_raws(reader, event)
    if (
        last
        and part.component == last[-1].target.component
        and (part.ends or part.sides or part.word.startswith("both"))
    ):
        relocate(
            reader, Part(part.start, part.end, part.head, None, part.ends, part.sides, word=part.word), last
        )


def stands_alone(reader: Reader, event: Event) -> bool:
    """Whether marks stand on both sides of a phrase."""
    return reader.talk.at(event.start - 1) in (",", "-", ".", "on") and reader.talk.at(event.end) in (
        ",",
        ".",
        ":",
        "-",
        "",
    )


def is_aside(reader: Reader, event: Event) -> bool:
    """A part that only says where, or that a hand is laid on: "just above the seal", "swing the bars"."""
    assert event.part is not None
    at = event.start
    before = _leading_word(reader, event)
    if _is_complement(reader, event):
        return True
    stated = reader.talk.at(event.end) in ("is", "'s", "are", "was", "were", "has", "have")
    if before == "down" and reader.talk.at(at) == "the" and reader.raws and not stated:
        return True  # "leaking all down the leg"
    if before in _BESIDE and reader.where.focus and (not stated or subject_here(reader, event)):
        return True
    if reader.talk.at(event.end) == "side" and reader.where.focus:
        return True
    here = reader.talk.clauses[event.clause]
    alone = at - 1 <= here.start + 1 and here.opener == "," and before in _INTO
    if (
        alone
        and not stated
        and not reader.open_list
        and any(r.clause == event.clause - 1 for r in reader.raws[-2:])
    ):
        return True
    if before in _INTO and reader.raws and not reader.open_list and said_here(reader, event):
        return True
    if before in _INTO and before != "of" and subject_here(reader, event) and not stated:
        return True
    clause = reader.talk.clauses[event.clause]
    if reader.talk.norms[event.end : event.end + 4] in _GOES_ON:
        return False  # "I pulled the plug, and it was black"
    says = bool(reader.talk.ending(reader.talk.of("condition"), at))  # "does not work"
    return (
        not says
        and any(m.start >= clause.start for m in reader.talk.ending(reader.talk.cues("handle"), at))
        and reader.talk.at(event.end) not in ("is", "'s", "are")
    )


def _is_complement(reader: Reader, event: Event) -> bool:
    """ "Back brake, this is a drum, and it was dragging": what a part is, and no new subject."""
    at = event.start
    named = reader.talk.at(at - 2) in ("this", "that", "it") and reader.talk.at(at - 1) in ("is", "'s")
    kind = reader.talk.at(at) in ("a", "an") and reader.talk.at(event.end) in (",", ".")
    return named and kind and reader.open_list


def _leading_word(reader: Reader, event: Event) -> str:
    """The word before a phrase, over words like "lower" that only describe it."""
    at = event.start
    if reader.talk.at(at) in _INTO and reader.talk.at(at + 1) not in ("-", "side"):  # not "off-side"
        return reader.talk.at(at)
    steps = 0
    while steps < 2 and reader.talk.at(at - 1) in _DESCRIBING:
        at, steps = at - 1, steps + 1
    bare = event.part is not None and event.part.head[0] == at
    article = bare and reader.talk.at(at - 2) in ("the", "a", "its", "an") and reader.talk.at(at - 3) in _INTO
    plain = reader.talk.at(at - 1).isalpha() and reader.talk.at(at - 1) not in _INTO
    if steps == 0 and article and plain:
        return reader.talk.at(at - 3)
    return reader.talk.at(at - 1)


def said_here(reader: Reader, event: Event) -> bool:
    """Whether something was already said in this clause of a subject named in this sentence."""
    last = reader.raws[-1]
    return last.clause == event.clause and reader.same_sentence(event) and not last.dropped


def is_heading(reader: Reader, index: int, event: Event) -> bool:
    """Whether nothing is said of a part before the sentence ends or another part is named."""
    sentence = reader.talk.clauses[event.clause].sentence
    for later in reader.events[index + 1 :]:
        if reader.talk.clauses[later.clause].sentence != sentence:
            return True
        if later.kind in _PREDICATES:
            return False
        if later.kind == "part" and later.part and later.part.component:
            between = [reader.talk.at(i) for i in range(event.end, later.start)]
            return not any(w in ("and", "of", "or", ",", "in", "on", "'s", "to", "is") for w in between)
    return True
