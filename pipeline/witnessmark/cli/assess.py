"""``witnessmark assess``: what a walkround comes to, and why, without storing anything."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.options import AsJson, Day, Files, Jurisdiction, Model
from witnessmark.cli.output import each, json_line

if TYPE_CHECKING:
    from witnessmark.knowledge.cards import MachineCard
    from witnessmark.transcribe import Transcriber
    from witnessmark.types import Assessment, Draft, Finding, Reading, Verdict

EPILOG = """\b
Examples:
  witnessmark assess monday.m4a --jurisdiction GB
  witnessmark assess talk.txt --jurisdiction DE --card larkspur-400 --on 2026-05-21
  witnessmark extract talk.txt --out drafts.jsonl && witnessmark assess drafts.jsonl --jurisdiction US-MD
"""


def assess(
    files: Files,
    jurisdiction: Jurisdiction = None,
    card: Annotated[
        str | None,
        typer.Option(
            "--card",
            metavar="CARD",
            help="Machine card: its id, a registration or a file. By default that of the registration heard.",
        ),
    ] = None,
    on: Day = None,
    model: Model = None,
    as_json: AsJson = False,
) -> None:
    """Judge walkrounds and explain each grade in two lines: what it comes to, and by which rule and source.

    Takes drafts as `extract` writes them, and whatever `extract` takes. Nothing is stored and nobody has
    confirmed what was heard. What a file says of its jurisdiction goes before the option.
    """
    from witnessmark.cli.ingest import warn_of_country
    from witnessmark.knowledge.cards import card_named
    from witnessmark.transcribe import Transcriber

    named = card_named(card) if card else None
    transcriber = Transcriber(model)

    def work(file: Path) -> None:
        for draft in drafts(file, transcriber, jurisdiction):
            warn_of_country(draft.jurisdiction)
            judged = _judged(draft, named, on.date() if on else _written(file))
            print(json_line(judged) if as_json else "\n".join(told(judged)))

    each(files, work)


def _written(file: Path) -> date:
    return datetime.fromtimestamp(file.stat().st_mtime).date()


def _judged(draft: Draft, card: MachineCard | None, on: date) -> Assessment:
    from witnessmark.assess import assess as judge
    from witnessmark.knowledge.cards import card_for
    from witnessmark.knowledge.limits import rules

    return judge(draft, rules(draft.jurisdiction), card or card_for(draft.machine.registration), on)


# ── what can be judged ───────────────────────────────────────────────────────────────────────


def drafts(file: Path, transcriber: Transcriber, jurisdiction: str | None) -> Iterator[Draft]:
    """The drafts in a file: those that ``extract`` wrote, or those of the talks in it.

    Raises:
        BadInputError: it cannot be read, or is neither.
        SpeechModelError: it is a recording and the speech model cannot be loaded.
    """
    from witnessmark.cli.sources import talks
    from witnessmark.extract import extract

    written = _written_drafts(file) if file.suffix.lower() in (".jsonl", ".json") else []
    for draft in written:
        yield draft if draft.jurisdiction else draft.model_copy(update={"jurisdiction": jurisdiction})
    if not written:
        for talk in talks(file, transcriber):
            country = talk.jurisdiction or jurisdiction
            yield extract(talk.text, id=talk.id, jurisdiction=country, transcript=talk.transcript)


def _written_drafts(file: Path) -> list[Draft]:
    """The drafts of ``extract`` in a file; none when it holds talks, or cannot be read as JSON."""
    from pydantic import ValidationError

    from witnessmark.errors import BadInputError
    from witnessmark.types import Draft

    try:
        rows = [json.loads(line) for line in file.read_text("utf-8-sig").splitlines() if line.strip()]
    except (OSError, ValueError):
        return []
    if not rows or not all(isinstance(row, dict) and "findings" in row for row in rows):
        return []
    try:
        return [Draft.model_validate(row) for row in rows]
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(map(str, first["loc"]))
        what = f"is not a draft: {key}: {first['msg']}."
        raise BadInputError(what, str(file), "Write it with `witnessmark extract`.") from error


# ── what is told ─────────────────────────────────────────────────────────────────────────────


def told(assessment: Assessment) -> Iterator[str]:
    """Every item, gravest first, in two lines; then what was not mentioned and what it comes to."""
    from witnessmark.assess.identity import ITEM
    from witnessmark.cli.limits_rows import sure
    from witnessmark.types import Grade

    order = list(Grade)
    draft = assessment.draft
    yield f"{draft.id}{f', by the rules of {draft.jurisdiction}' if draft.jurisdiction else ''}"
    judged = [(item, assessment.verdicts_of(item.key)) for item in draft.findings]
    for item, verdicts in sorted(judged, key=lambda pair: order.index(pair[1][0].grade)):
        yield from _item(item, verdicts)
    for verdict in assessment.verdicts_of(ITEM):
        yield from _verdict(verdict, "")
    for one in assessment.together:
        yield f"{'together':<10}{one.message}"
        yield f"{'':<10}by {one.source} ({sure(one.sureness)}) [{one.rule}]"
    if assessment.never_mentioned:
        yield f"Never mentioned, which is not the same as in order: {', '.join(_gaps(assessment))}."
    yield from _standing(assessment)


def _standing(assessment: Assessment) -> Iterator[str]:
    from witnessmark.assess.standing import standing
    from witnessmark.knowledge.standing import standings
    from witnessmark.review.wording import printable, says

    found = standing(assessment, standings())
    because = "; ".join(dict.fromkeys(printable(says(item)) for item in found.because))
    yield f"As found: {found.level.name}{f', because of {because}' if because else ''}."
    yield f"{found.scope} {found.note} Heard by a program and confirmed by nobody."


def _item(item: Finding | Reading, verdicts: tuple[Verdict, ...]) -> Iterator[str]:
    from witnessmark.review.wording import printable

    for number, verdict in enumerate(verdicts):
        yield from _verdict(verdict, "also: " if number else "")
    for doubt in item.doubts:
        yield f"{'':<10}doubtful: {printable(doubt.message)}"


def _verdict(verdict: Verdict, head: str) -> Iterator[str]:
    from witnessmark.cli.limits_rows import sure
    from witnessmark.review.wording import printable
    from witnessmark.types import Basis

    yield f"{verdict.grade.value.replace('_', ' '):<10}{head}{printable(verdict.message)}"
    if verdict.basis is Basis.NONE and verdict.source is None:
        yield f"{'':<10}by no rule{f' [{verdict.rule}]' if verdict.rule else ''}"
        return
    if verdict.basis is Basis.SAID:
        yield f"{'':<10}by the limit that the technician gave [{verdict.rule}]"
        return
    basis = "" if verdict.basis is Basis.NONE else f"{verdict.basis.value}: "
    yield f"{'':<10}by {basis}{printable(verdict.source or '')} ({sure(verdict.sureness)}) [{verdict.rule}]"


def _gaps(assessment: Assessment) -> Iterator[str]:
    from witnessmark.knowledge.vocabulary import vocabulary

    for gap in assessment.never_mentioned:
        component, _, place = gap.partition(":")
        part = vocabulary().components.get(component)
        yield " ".join(filter(None, (place.replace(":", " "), part.name if part else component)))
