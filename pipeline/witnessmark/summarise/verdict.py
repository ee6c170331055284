"""The sentence at the top of the page, and how much of the machine it speaks for."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import NamedTuple

from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.carried import gravest
from witnessmark.summarise.page import Area, Carried, Entry, Named, Section
from witnessmark.summarise.words import and_list, lowered
from witnessmark.types import Grade, Together

MOST_NAMED = 6
"""Parts named in the sentence before the rest is only counted."""


BEFORE_RIDING = ("stop", "work", "again")
"""Verdicts that ask for something before the next ride."""
KIND = ("plan", "watch", "figures", "clear")
"""Verdicts that an owner may take for more than was looked at."""


class Said(NamedTuple):
    """The verdict: the key of its row, the sentence, and the findings that made it."""

    urgency: str
    sentence: str
    because: tuple[str, ...]


def verdict(
    words: PlainWords,
    graded: tuple[Section[Entry], ...],
    *,
    complete: bool,
    again: tuple[Carried, ...] = (),
    worked: bool,
    praised: bool,
    little: bool = False,
) -> Said:
    """The gravest verdict that holds.

    Args:
        words: the plain words.
        graded: the four graded sections.
        complete: whether the review is finished.
        again: grave faults of earlier visits that nobody looked at this time.
        worked: whether work was done.
        praised: whether anything was in order or put right.
        little: whether most parts were not looked at.
    """
    sections = {section.id: section.items for section in graded}
    asks = tuple(entry for entry in sections["noted"] if entry.advised)
    figures = tuple(entry for entry in sections["noted"] if not entry.advised)
    grave = sections["before"]
    cases: tuple[tuple[str, bool, tuple[Entry | Carried, ...]], ...] = (
        ("stop", any(entry.grade == Grade.DANGEROUS for entry in grave), grave),
        ("work", bool(grave), grave),
        ("again", bool(again), again),
        ("open", not complete, ()),
        ("ungraded", bool(asks), asks),
        ("plan", bool(sections["soon"]), sections["soon"]),
        ("watch", bool(sections["watch"]), sections["watch"]),
        ("figures", bool(figures), figures),
        ("clear", praised, ()),
        ("nothing", True, ()),
    )
    urgency, parts = next((key, named) for key, holds, named in cases if holds)
    scope = words.phrases["scope_after" if worked else "scope"]
    sentence = words.verdicts[urgency].format(scope=scope, parts=parts_text(words, parts))
    if little and urgency in KIND:
        sentence = f"{words.phrases['little']} {sentence}"
    return Said(urgency, sentence, tuple(_because(words, entry) for entry in parts))


def _because(words: PlainWords, entry: Entry | Carried) -> str:
    """``Rear tyre: tread depth 0.9 mm, which is below …``; the advice where nothing was found."""
    if isinstance(entry, Carried):
        found = f"{lowered(words, entry.found)}. {entry.when}"
    else:
        told = [line.text for line in entry.found] or list(entry.advised)
        found = "; ".join(lowered(words, text) for text in told)
    return words.paper.values["because"].format(part=entry.part, found=found)


def parts_text(words: PlainWords, entries: Sequence[Entry | Carried]) -> str:
    """The names of parts inside a sentence, the last of many only counted."""
    names = list(dict.fromkeys(lowered(words, entry.part) for entry in entries))
    if len(names) > MOST_NAMED:
        rest = len(names) - MOST_NAMED + 1
        names = [*names[: MOST_NAMED - 1], words.phrases["more"].format(n=rest)]
    return and_list(words, names)


def still_open(words: PlainWords, said: Said, earlier: Section[Carried]) -> str:
    """The faults of earlier visits that the verdict does not name; nothing where there are none."""
    named = gravest(earlier) if said.urgency == "again" else ()
    rest = [one for one in earlier.items if one.found and one not in named]
    return words.phrases["still"].format(parts=parts_text(words, rest)) if rest else ""


def coverage(
    words: PlainWords, not_seen: Section[Named], never: Section[Area], unconfirmed: Section[Named]
) -> str:
    """How many parts the page cannot speak for; nothing when it speaks for all."""
    counts = {
        "unseen": len(not_seen.items),
        "never": sum(len(area.parts) for area in never.items),
        "unconfirmed": len(unconfirmed.items),
    }
    told = [
        words.phrases[f"{key}_{'one' if count == 1 else 'many'}"].format(n=count)
        for key, count in counts.items()
        if count
    ]
    return words.phrases["not_covered"].format(list=and_list(words, told)) if told else ""


def mostly_unseen(
    looked_at: Collection[object], not_seen: Section[Named], never: Section[Area], unconfirmed: Section[Named]
) -> bool:
    """Whether more parts were not looked at than were.

    Args:
        looked_at: places of which something was confirmed.
        not_seen: named, and could not be seen.
        never: never mentioned.
        unconfirmed: mentioned and not confirmed.
    """
    missing = sum(len(area.parts) for area in never.items) + len(not_seen.items) + len(unconfirmed.items)
    return missing > len(looked_at)


def ask_first(words: PlainWords, grave: tuple[str, ...]) -> str:
    """The gravest of the parts never mentioned, by name; nothing where there are none."""
    names = list(grave)
    if len(names) > MOST_NAMED:
        names = [*names[: MOST_NAMED - 1], words.phrases["more"].format(n=len(names) - MOST_NAMED + 1)]
    return words.standing["first"].format(parts=and_list(words, names)) if names else ""


def add_up(words: PlainWords, together: Iterable[Together], open_faults: Collection[str]) -> tuple[str, ...]:
    """Faults of one area that together may be graver than each; none of which is put right or unconfirmed.

    Args:
        words: the plain words.
        together: what the assessment says may be classed higher.
        open_faults: keys of the faults that stand on the page.
    """
    return tuple(
        words.standing["together"].format(
            area=lowered(words, words.areas[one.group]), grade=lowered(words, words.grades[one.raised].label)
        )
        for one in together
        if set(one.items) <= set(open_faults)
    )
