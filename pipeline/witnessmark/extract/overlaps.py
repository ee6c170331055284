"""Words that a reading makes superfluous, or whose sense the work settles."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from typing import TYPE_CHECKING

from witnessmark.extract.repeated import say_again
from witnessmark.extract.talk import Target
from witnessmark.knowledge.vocabulary import vocabulary

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.raw import Raw
    from witnessmark.extract.reader import Reader


def dry_where_greased(reader: Reader) -> None:
    """ "Fork is dry, greased it": dry is in order of a seal, but not of what is then lubricated."""
    oiled_in = {
        (r.target, sentence)
        for r in reader.raws
        if r.action == "lubricate"
        for sentence in (reader.talk.sentence_of(r.start), reader.talk.sentence_of(r.end - 1))
    }
    for raw in reader.raws:
        dry = raw.condition == "sound" and raw.word and reader.talk.at(raw.word[0]) == "dry"
        if dry and raw.word and (raw.target, reader.talk.sentence_of(raw.word[0])) in oiled_in:
            raw.condition = raw.condition if raw.dropped else "dry"


def drop_withdrawn(reader: Reader) -> None:
    """ "Bearing might rumble, no, that's the compressor. Bearing's fine.": in order after a correction."""
    denials = [e.start for e in reader.events if e.kind == "correct" and _says_no(reader, e.start, e.end)]
    latest: dict[Target, list[Raw]] = defaultdict(list)
    for raw in reader.raws:
        if raw.dropped or not raw.is_observation:
            continue
        for earlier in latest[raw.target] if raw.condition == "sound" else ():
            said = (
                bisect_left(denials, earlier.end),
                bisect_left(denials, raw.word[0] if raw.word else raw.start),
            )
            near = reader.talk.sentence_of(raw.start) - reader.talk.sentence_of(earlier.start) <= 2
            if said[0] < said[1] and near and earlier.state in ("present", "unsure"):
                earlier.dropped = earlier.dropped or earlier.condition != "sound"
        latest[raw.target].append(raw)


def _says_no(reader: Reader, start: int, end: int) -> bool:
    """Whether a correction cue denies: "no, that's ...", "eh no", "correction"."""
    return bool({"no", "nope", "nah", "correction", "lie", "scratch"} & set(reader.talk.norms[start:end]))


def drop_read_lamp(reader: Reader) -> None:
    """ "Engine light stays on. Let me plug in. Code's P0131.": the code says more than the lamp."""
    codes = [
        reader.talk.sentence_of(r.start) for r in reader.raws if r.quantity == "fault_code" and not r.dropped
    ]
    for raw in reader.raws:
        if raw.condition == "fault_code" and raw.target.component == "warning_lamp":
            said = reader.talk.sentence_of(raw.start)
            raw.dropped = raw.dropped or any(0 <= code - said <= 2 for code in codes)


def drop_as_left(reader: Reader) -> None:
    """ "was loose, bolted it up tight": in order after the work is not how it was found."""
    by_sentence: dict[int, list[Raw]] = {}
    for raw in reader.raws:
        by_sentence.setdefault(reader.talk.sentence_of(raw.end - 1), []).append(raw)
    for raw in reader.raws:
        if raw.condition != "sound" or raw.word is None or raw.dropped:
            continue
        sentence = reader.talk.sentence_of(raw.word[0])
        before = [
            r
            for r in by_sentence.get(sentence, ())
            if r.target == raw.target and not r.dropped and r.end <= raw.word[0]
        ]
        worked = any(r.action and r.status == "done" for r in before)
        raw.dropped = worked and any(r.state == "present" and r.condition != "sound" for r in before)


def drop_low_of_working(reader: Reader) -> None:
    """ "Horn sounds like a sick goose, but it works"."""
    said = _by_sentence(reader)
    for event in reader.events:
        works = event.kind == "condition" and event.mention is not None and event.mention.id == "sound"
        before = reader.talk.norms[max(0, event.start - 3) : event.start]
        if (
            not works
            or before[:2] not in (["but", "it"], [",", "but"])
            or "works" not in _words(reader, event)
        ):
            continue
        for raw in said[reader.talk.sentence_of(event.start)]:
            raw.dropped = raw.dropped or (raw.target.component == "horn" and raw.condition == "low")


def _words(reader: Reader, event: Event) -> list[str]:
    return reader.talk.norms[event.start : event.end]


def drop_lamp_of_switches(reader: Reader) -> None:
    """ "Comes on with the lever as it should": of the lamp nothing more is said than of its switch."""
    switches = {lamp: {s for s, _ in rows.values()} for lamp, rows in vocabulary().worked_by.items()}
    judged = {(r.target.component, r.clause) for r in reader.raws if r.is_observation and not r.dropped}
    for raw in reader.raws:
        mine = switches.get(raw.target.component, set())
        if raw.condition == "sound" and any((s, raw.clause) in judged for s in mine):
            raw.dropped = True


def drop_sound_of_intermittent(reader: Reader) -> None:
    """ "works only sometimes" does not work."""
    bad = {
        (r.target, reader.talk.sentence_of(r.end - 1))
        for r in reader.raws
        if r.condition == "intermittent" and r.state != "absent" and not r.dropped
    }
    for raw in reader.raws:
        if raw.condition == "sound" and (raw.target, reader.talk.sentence_of(raw.end - 1)) in bad:
            raw.dropped = True


def spread_over_ends(reader: Reader) -> None:
    """ "Tread's good, front four, rear five": praise at no end holds at the ends that have figures."""
    ends: dict[tuple[str, int], list[Target]] = defaultdict(list)
    for raw in reader.raws:
        if raw.quantity and raw.target.end and not raw.dropped:
            ends[raw.target.component, reader.talk.sentence_of(raw.end - 1)].append(raw.target)
    for raw in list(reader.raws):
        found = ends[raw.target.component, reader.talk.sentence_of(raw.end - 1)]
        both = dict.fromkeys(Target(t.component, t.end) for t in found)
        if raw.condition == "sound" and raw.target.end is None and len(both) == 2 and not raw.target.side:
            for target in both:
                say_again(reader, raw, target)
            raw.dropped = True


def drop_implied(reader: Reader) -> None:
    """ "All work but the front right. That one's intermittent.": what is said of it says more."""
    said: dict[Target, list[int]] = defaultdict(list)
    for raw in reader.raws:
        if raw.is_observation and raw.condition != "sound" and raw.why != ["cue:except"] and not raw.dropped:
            said[raw.target].append(reader.talk.sentence_of(raw.end - 1))
    for raw in reader.raws:
        if raw.why == ["cue:except"]:
            sentence = reader.talk.sentence_of(raw.end - 1)
            raw.dropped = any(0 <= s - sentence <= 2 for s in said[raw.target])


def drop_sound_of_dead(reader: Reader) -> None:
    """ "Blinkers are good, right rear doesn't work": what was said of all does not hold of the one named."""
    dead = {
        (r.target, reader.talk.sentence_of(r.end - 1)): r.start
        for r in reader.raws
        if r.condition == "inoperative" and r.state == "present" and not r.dropped
    }
    for raw in reader.raws:
        later = dead.get((raw.target, reader.talk.sentence_of(raw.end - 1)), -1)
        if raw.condition == "sound" and raw.end <= later:
            raw.dropped = True


def drop_sound_before_exception(reader: Reader) -> None:
    """ "Wiring is fine other than a chafed wire": of the part with the exception only that is said."""
    said = _by_sentence(reader)
    for event in reader.events:
        if event.kind != "except" or reader.talk.at(event.start) in ("but", "only"):
            continue
        here = said[reader.talk.sentence_of(event.start)]
        excepted = {r.target for r in here if r.state == "present" and r.word and r.word[0] >= event.end}
        for raw in here:
            if raw.condition == "sound" and raw.end <= event.start and raw.target in excepted:
                raw.dropped = True


def _by_sentence(reader: Reader) -> dict[int, list[Raw]]:
    """What was found in each sentence, dropped findings left out."""
    found: dict[int, list[Raw]] = defaultdict(list)
    for raw in reader.raws:
        if not raw.dropped:
            found[reader.talk.sentence_of(raw.end - 1)].append(raw)
    return found


def drop_measured_conditions(reader: Reader) -> None:
    """An amount of play, slack or water is a reading only, unless it is called too much."""
    readings: dict[int, list[Raw]] = defaultdict(list)
    for raw in reader.raws:
        if raw.quantity and not raw.dropped:
            for said in {reader.talk.sentence_of(raw.start), reader.talk.sentence_of(raw.end - 1)}:
                readings[said].append(raw)
    for raw in reader.raws:
        if raw.word is None or raw.condition is None or raw.condition in vocabulary().never_measured:
            continue
        named = {
            row.id
            for m in reader.talk.between(reader.talk.of("quantity"), raw.word[0] - 8, raw.word[1])
            if raw.word[0] < m.end
            for row in m.rows
        }
        if raw.condition == "fault_code":
            named = {"fault_code"}
        sentence = reader.talk.sentence_of(raw.word[0])
        if any(
            r.quantity in named and (r.target == raw.target or raw.condition == "fault_code")
            for r in readings[sentence]
        ):
            too_much = "too" in reader.talk.norms[max(0, raw.word[0] - 2) : raw.word[1]]
            raw.dropped = raw.dropped or not too_much
