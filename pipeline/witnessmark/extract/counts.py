"""Whether a number is a measurement, or counts, names or stands for something."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.measures import KIND_OF
from witnessmark.extract.talk import Measure
from witnessmark.knowledge.grammar import words as word_set

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader

_ANNOUNCES = word_set("announces")
_FOLLOWS = word_set("follows")
_PRONOMINAL = word_set("pronominal")
_NUMBERED = frozenset(["cylinder", "cylinders", "plugs", "coils", "keys", "gears", "bay", "lift"])
_MOVES = word_set("moves_from")


def is_pronoun(reader: Reader, measure: Measure) -> bool:
    """ "a new one": no number."""
    one = reader.talk.at(measure.start) == "one" and measure.end - measure.start == 1
    described = (
        reader.talk.at(measure.start - 2) in ("a", "another", "the")
        and reader.talk.at(measure.start - 1).isalpha()
    )
    followed = reader.talk.at(measure.end) in (
        ".",
        ",",
        "",
        "since",
        "as",
        "because",
        "on",
        "in",
        "and",
        "for",
    )
    return one and (reader.talk.at(measure.start - 1) in _PRONOMINAL or (described and followed))


def is_figure(reader: Reader, index: int, event: Event) -> bool:
    """Whether a number without a unit is a measurement and not a count."""
    talk, measure = reader.talk, event.measure
    assert measure is not None
    after, before = talk.at(measure.end), talk.at(measure.start - 1)
    following = reader.events[index + 1] if index + 1 < len(reader.events) else None
    idles = any(m.id == "idle_speed" for m in talk.ending(talk.of("quantity"), measure.start - 1))
    if before == "at" and measure.value >= 1000 and not idles:
        return False
    if measure.value == 0 and talk.ending(talk.of("condition"), measure.start):
        return False  # "cracks nil"
    if talk.near_before(measure.start, _NUMBERED) and measure.number.plain and measure.value <= 8:
        return False  # "cylinders 1, 2 and 3"
    if before == "from" and after in ("down", "up", "to") and talk.near_before(measure.start - 1, _MOVES, 7):
        return True
    alone = talk.clauses[event.clause]
    if (
        alone.opener == "."
        and alone.start == measure.start
        and after in (".", "!", "?", "...")
        and not reader.open_list
    ):
        return False
    pronoun = before in _PRONOMINAL or bool(talk.starting(talk.parts, measure.end))
    if talk.at(measure.start) == "one" and measure.end - measure.start == 1 and pronoun:
        return False
    if after == "of" and any(m.id in KIND_OF for m in talk.starting(talk.of("quantity"), measure.end + 1)):
        return True
    if after in (
        "of",
        "times",
        "years",
        "stroke",
        "cylinder",
        "bikes",
        "more",
        "other",
        "days",
        "minutes",
        "hours",
        "wheels",
        "links",
        "pitches",
    ) or before in (
        "other",
        "number",
        "all",
        "these",
        "those",
        "the",
        "cylinder",
        "last",
        "next",
        "stage",
        "class",
    ):
        return False
    starts_part = bool(talk.starting(talk.parts, measure.end))
    of_part = bool(talk.ending(talk.parts, measure.start))
    if (
        following
        and not of_part
        and following.start == measure.end
        and following.kind == "condition"
        and measure.number.plain
        and measure.value < 10
    ):
        return False
    after_word = bool(talk.ending(talk.of("condition"), measure.start))
    named = any(p.component for p in talk.ending(talk.parts, measure.start))
    if (
        starts_part
        and not named
        and measure.number.plain
        and measure.value < 10
        and any(p.plural for p in talk.starting(talk.parts, measure.end))
    ):
        return False
    ends = (
        after in _FOLLOWS
        or any(talk.starting(mentions, measure.end) for mentions in talk.mentions.values())
        or not after.isalpha()
        or starts_part
        or bool(talk.starting(talk.clauses, measure.end))
    )
    announced = (
        before in _ANNOUNCES
        or after_word
        or bool(talk.ending(talk.codes, measure.start))
        or bool(talk.ending(talk.measures, measure.start))
        or any(
            m.id in KIND_OF and m.id != "remaining" for m in talk.starting(talk.of("quantity"), measure.end)
        )
        or bool(talk.ending(talk.parts, measure.start))
        or _word_ends(reader, measure.start)
    )
    return (ends or bool(following and following.start == measure.end)) and (
        announced or not before.isalpha()
    )


def _word_ends(reader: Reader, at: int) -> bool:
    talk = reader.talk
    return any(talk.ending(talk.of(family), at) for family in ("quantity", "place"))
