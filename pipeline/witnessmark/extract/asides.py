"""Parts that only say where, that a hand is laid on, or that tell what another part is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.bare import is_beside, relocate
from witnessmark.extract.binding import subject_here
from witnessmark.extract.repeated import last_raws, say_all_again
from witnessmark.extract.talk import Part, Target
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader

_INTO = word_set("into")
_BESIDE = word_set("beside")
_DESCRIBING = word_set("describing")
_SIGHTING = word_set("sighting")
_STAMPING = word_set("stamping")
_STATED = word_set("states") | (word_set("measured") - {"it", "there", "at", "mine", "only"})
_GOES_ON = tuple(
    [",", "and", pronoun, verb]
    for pronoun in ("it", "they")
    for verb in ("is", "was", "'s", "are", "were", "came")
)
_FELT = frozenset(
    (
        "swingarm",
        "linkage",
        "head_bearing",
        "brake_lever",
        "brake_pedal",
        "clutch",
        "throttle",
        "side_stand",
        "gearbox",
    )
)


def is_aside(reader: Reader, event: Event) -> bool:
    """A part that only says where, or that a hand is laid on: "just above the seal", "swing the bars"."""
    assert event.part is not None
    at = event.start
    before = _leading_word(reader, event)
    if _is_complement(reader, event):
        return True
    after_work = not reader.talk.punctuated and reader.talk.ending(reader.talk.of("action"), at)
    if not reader.talk.punctuated and reader.talk.ending(reader.talk.cues("unseen"), at):
        return False  # "drive belt I haven't looked at | engine next"
    particle = after_work and before in ("off", "up", "down", "out")
    if particle or (after_work and reader.talk.at(event.end) in _STATED):
        return False  # "put a new set in disc measures three"
    if before in _INTO and _is_stamped(reader.talk.norms[max(0, at - 4) : at]):
        return True
    if reader.talk.at(at - 2) == "one" and before in _BESIDE | _INTO and reader.where.focus:
        return True  # "the one under the seat is chafed"
    stated = reader.talk.at(event.end) in ("is", "'s", "are", "was", "were", "has", "have")
    if before in ("down", "along", "over") and _SIGHTING & set(reader.talk.norms[max(0, at - 3) : at]):
        return False  # "I sighted down the tubes"
    if before == "down" and reader.talk.at(at) == "the" and reader.raws and not stated:
        return True  # "leaking all down the leg"
    beside = before in _BESIDE and (before != "onto" or is_beside(reader, event))
    if beside and reader.where.focus and (not stated or subject_here(reader, event)):
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


def _is_stamped(before: list[str]) -> bool:
    """ "stamped on the carrier is 4.5": where a figure stands; not "I've stamped on the pedal"."""
    marked = next((i for i, word in enumerate(before) if word in _STAMPING), None)
    return marked is not None and not {"i", "'ve", "have", "you", "we"} & set(before[:marked])


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


def _names_two(reader: Reader, index: int, part: Part) -> bool:
    """Whether the other of two parts that share a name is named next."""
    later = reader.events[index + 1] if index + 1 < len(reader.events) else None
    if later is None or later.part is None or later.part.component is None:
        return False
    joined = reader.talk.norms[part.end : later.start] in (["and"], ["&"], ["plus"], ["and", "on"])
    return joined and vocabulary().twofold.get(part.component or "") == later.part.component


def note_handled(reader: Reader, event: Event, part: Part) -> None:
    """Keeps what a hand is laid on: play, a notch or a firm feel said next is of it."""
    by_hand = reader.talk.between(reader.talk.cues("handle"), event.start - 4, event.start)
    if by_hand and part.component == "wheel" and len(part.ends) == 1:
        reader.where.head(part)  # "I did pull the front wheel."
    if by_hand and (part.component in _FELT or part.component in vocabulary().felt_by):
        focus, spoken = reader.where.focus, list(reader.where.spoken)
        reader.handled = reader.where.targets(part)
        reader.handled_in = reader.talk.clauses[event.clause].sentence
        reader.where.focus, reader.where.spoken = focus, spoken


def widen(reader: Reader, index: int, event: Event, part: Part) -> None:
    """ "cloudy in both reservoirs", "works on dip and main": where what was just said holds."""
    last = last_raws(reader, event)
    if last and last[-1].condition and _names_two(reader, index, part):
        reader.bound.add(index + 1)
        say_all_again(reader, last, (Target(vocabulary().twofold[part.component or ""]),))
        return
    if (
        last
        and part.component == last[-1].target.component
        and (part.ends or part.sides or part.word.startswith("both"))
    ):
        relocate(
            reader, Part(part.start, part.end, part.head, None, part.ends, part.sides, word=part.word), last
        )
