"""What has been understood of a talk so far, in words for who is talking."""

from __future__ import annotations

from datetime import date

from witnessmark import run
from witnessmark.desk.walk.forms import Asked, Said, Understood
from witnessmark.extract import extract
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.review.standing import Entry
from witnessmark.review.wording import part, printable, says
from witnessmark.types import Item, Machine, Reading, Transcript
from witnessmark.units import text_of

LAST = 5
DOUBTS = 20
WORDS = 40


def understand(transcript: Transcript, on: date, jurisdiction: str | None, chosen: str | None) -> Understood:
    """The findings, doubts and gaps of what was said so far.

    Args:
        transcript: so far.
        on: day of the inspection.
        jurisdiction: country whose limits apply.
        chosen: the machine chosen before the talk.
    """
    draft = extract(transcript.text, id="live", jurisdiction=jurisdiction, transcript=transcript)
    judged = run.judge(draft, on, draft.machine)
    newest = sorted(judged.draft.items, key=_place, reverse=True)
    entries: tuple[Item | Machine, ...] = (*newest, draft.machine)
    return Understood(
        seconds=round(transcript.recording.duration, 1),
        text=printable(" ".join(transcript.text.split()[-WORDS:])),
        last=tuple(_said(item) for item in newest[:LAST]),
        doubts=tuple(_asked(entry) for entry in entries if entry.doubts)[:DOUBTS],
        machine=machine_of(draft.machine) or (f"{chosen} (chosen at the start)" if chosen else ""),
        not_mentioned=tuple(_name(gap) for gap in judged.never_mentioned),
        count=len(newest),
    )


def machine_of(machine: Machine) -> str:
    """Registration, else VIN, as said; empty where neither was."""
    return machine.registration or machine.vin or ""


def _place(item: Item) -> int:
    return max((piece.char_end for piece in item.evidence), default=-1)


def _said(item: Item) -> Said:
    return Said(
        says=printable(says(item)),  # type: ignore[arg-type]  # items are of the kinds that can be told
        heard=printable(" … ".join(piece.text for piece in item.evidence)),
        doubts=tuple(doubt.message for doubt in item.doubts),
    )


def _asked(entry: Item | Machine) -> Asked:
    told = printable(says(entry))  # type: ignore[arg-type]
    return Asked(says=told, doubt=entry.doubts[0].message, question=printable(_question(entry, told)))


def _question(entry: Entry | Item, told: str) -> str:
    if isinstance(entry, Machine):
        return f"Machine {machine_of(entry) or 'without a registration'}?"
    if isinstance(entry, Reading):
        name = vocabulary().quantities.get(entry.quantity, (None, entry.quantity))[1]
        told = f"{part(entry)} {name}: {text_of(entry.value, entry.unit)}"
    return f"{told[:1].upper()}{told[1:]}?"


def _name(gap: str) -> str:
    """``brake_pads:rear`` as ``rear brake pads``."""
    component, _, place = gap.partition(":")
    known = vocabulary().components.get(component)
    return f"{place} {known.name if known else component}".strip()
