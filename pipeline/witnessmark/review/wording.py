"""The words in which a reviewer sees an item: what it says, what was heard, how it was judged."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.review.standing import Entry, Standing
from witnessmark.types import (
    Action,
    Basis,
    Evidence,
    Finding,
    Item,
    Limit,
    Machine,
    Reading,
    Verdict,
    Walkround,
)
from witnessmark.units import text_of

AROUND = 70
"""Characters of the talk shown on each side of the words heard."""

NAMED = 6
"""Parts never mentioned that are named; the rest is counted."""

_STATES = {
    "present": "{}",
    "absent": "looked for {} and found none",
    "unsure": "perhaps {}",
    "unseen": "could not be seen",
}
_STATUSES = {"done": "done in the walkround", "wanted": "wanted"}


def lines(walkround: Walkround, standing: Standing) -> tuple[str, ...]:
    """Everything a reviewer needs to decide on one item, a line each.

    First what it says, then its doubts, the words it was heard in, and its verdicts.
    """
    entry = standing.proposal
    shown = [says(entry)]
    if standing.postponed:
        shown.append("Put back earlier.")
    if isinstance(entry, Item) and entry.said_first:
        shown.append(f"Said first, then corrected: {entry.said_first}")
    shown += [f"Doubt: {doubt.message}" for doubt in entry.doubts]
    if entry.evidence:
        shown += [f"Heard {heard(walkround.draft.text, piece)}" for piece in entry.evidence]
    elif standing.drafted is None:
        shown.append("Added by a reviewer, not from the talk.")
    else:
        shown.append("No words of the talk stand behind this.")
    verdicts = walkround.assessment.verdicts_of(standing.key)
    shown += [judged(verdict) for verdict in verdicts]
    if not verdicts and isinstance(entry, Finding | Reading):
        shown.append("Not judged.")
    return tuple(printable(line) for line in shown)


def says(entry: Entry) -> str:
    """One line for what an item says: ``left front tyre: tread depth 1.2 mm``."""
    match entry:
        case Machine():
            return "machine: " + "; ".join(_identity(entry))
        case Finding():
            name = vocabulary().conditions.get(entry.condition or "", entry.condition)
            return f"{part(entry)}: {_STATES[entry.state].format(name)}"
        case Reading():
            name = vocabulary().quantities.get(entry.quantity, (None, entry.quantity))[1]
            after = ", as left after work" if entry.phase == "left" else ""
            said = f" (limit said: {bounds(entry.limit, entry.unit)})" if entry.limit else ""
            return f"{part(entry)}: {name} {text_of(entry.value, entry.unit)}{after}{said}"
        case Action():
            work = vocabulary().actions.get(entry.kind, entry.kind)
            return f"{part(entry)}: {work}, {_STATUSES[entry.status]}"


def _identity(machine: Machine) -> Iterator[str]:
    yield f"registration {machine.registration or 'not said'}"
    yield f"VIN {machine.vin or 'not said'}"
    clock = machine.odometer
    yield f"odometer {text_of(clock.value, clock.unit) if clock else 'not said'}"


def part(item: Item) -> str:
    """``left rear indicator``: side, end and name of the part."""
    known = vocabulary().components.get(item.component)
    name = known.name if known else item.component
    return " ".join(word for word in (item.side, item.end, name) if word)


def measured(reading: Reading) -> str:
    """What a reading is of: ``left front tyre: tread depth, as left``."""
    name = vocabulary().quantities.get(reading.quantity, (None, reading.quantity))[1]
    return f"{part(reading)}: {name}{', as left' if reading.phase == 'left' else ''}"


def is_amiss(finding: Finding) -> bool:
    """Whether it says, or half says, that something is not in order."""
    return finding.state in ("present", "unsure") and finding.condition != "sound"


def gaps(never: Iterable[str], named: int | None = NAMED) -> list[str]:
    """Names of parts never mentioned, in their order.

    Args:
        never: as an assessment has them: component ids, some with a place after a colon.
        named: how many are named; the rest is only counted. None names all.
    """
    parts = [
        (place, vocabulary().components.get(id), id) for id, _, place in (g.partition(":") for g in never)
    ]
    names = [" ".join(filter(None, (place, known.name if known else id))) for place, known, id in parts]
    if named is None or len(names) <= named:
        return names
    return [*names[:named], f"{len(names) - named} more"]


def heard(text: str, piece: Evidence, around: int = AROUND) -> str:
    """The words between marks, with whole words of the talk on either side and the seconds if known."""
    before = text[max(0, piece.char_start - around) : piece.char_start]
    if piece.char_start > around:
        before = "… " + before.partition(" ")[2]
    after = text[piece.char_end : piece.char_end + around]
    if piece.char_end + around < len(text):
        after = after.rpartition(" ")[0] + " …"
    when = ""
    if piece.start is not None:
        until = "" if piece.end is None else f" to {piece.end:.1f}"
        when = f"at {piece.start:.1f}{until} s: "
    return " ".join(f"{when}{before}»{piece.text}«{after}".split())


def judged(verdict: Verdict) -> str:
    """One line for a verdict: grade, whose limit, the limit itself and its source."""
    grade = verdict.grade.value.replace("_", " ")
    basis = "" if verdict.basis is Basis.NONE else f", {verdict.basis.value}"
    limit = f", limit {bounds(verdict.limit, verdict.unit)}" if verdict.limit else ""
    source = f" [source: {verdict.source}; {verdict.sureness}]" if verdict.source else ""
    message = f": {verdict.message}" if verdict.message else ""
    return f"Judged {grade}{basis}{limit}{message}{source}"


def bounds(limit: Limit | None, unit: str | None) -> str:
    """``at least 1.6 mm, at most 3 mm, aim for 2 mm``."""
    if limit is None:
        return "none"
    named = (("at least", limit.low), ("at most", limit.high), ("aim for", limit.target))
    return ", ".join(f"{word} {text_of(value, unit)}" for word, value in named if value is not None)


def printable(line: str) -> str:
    """The line without control characters, which a transcript from a file might carry to the terminal."""
    return "".join(letter if letter.isprintable() else "\N{REPLACEMENT CHARACTER}" for letter in line)
