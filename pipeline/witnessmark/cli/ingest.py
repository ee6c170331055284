"""``witnessmark ingest``: recordings into the record's review queue."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from witnessmark.cli.options import AsJson, Day, Jurisdiction, Model, Recordings, StorePath, opened
from witnessmark.cli.output import each, note, print_json, progress
from witnessmark.intake import take_in

if TYPE_CHECKING:
    from witnessmark.intake import Taken

EPILOG = """\b
Examples:
  witnessmark ingest monday.m4a --jurisdiction GB
  witnessmark ingest *.m4a --on 2026-05-21 --store shop.sqlite
"""


def ingest(
    recordings: Recordings,
    jurisdiction: Jurisdiction = None,
    on: Day = None,
    damaged: Annotated[
        bool, typer.Option("--damaged", help="Take in what is left of a recording that is cut off.")
    ] = False,
    keep: Annotated[
        bool, typer.Option("--keep", help="Keep the recordings beside the record too, as they are.")
    ] = False,
    spoken_by: Annotated[
        str, typer.Option("--spoken-by", metavar="NAME", help="Who inspected; the owner's page names them.")
    ] = "",
    store: StorePath = None,
    model: Model = None,
    as_json: AsJson = False,
) -> None:
    """Take recordings in: transcribe, draft, judge, and queue the findings for review.

    The same recording, by its content, is one walkround however often it comes. A recording in which nobody
    speaks is refused. The sound is kept beside the record, so that a reviewer can listen.
    """
    from witnessmark.knowledge.cards import all_cards
    from witnessmark.record import Originals
    from witnessmark.transcribe import Transcriber

    rows: list[dict[str, Any]] = []
    warn_of_country(jurisdiction)
    all_cards()  # a bad card is told before minutes go into transcribing
    with opened(store, new=True) as record:
        transcriber = Transcriber(model)

        def work(file: Path) -> None:
            day = on and on.date()
            with progress(file.name) as bar:
                taken = take_in(
                    file, record, transcriber, day, jurisdiction, damaged=damaged, speaker=spoken_by.strip(),
                    progress=bar, note=note,
                )  # fmt: skip
            if keep and not record.sound_removed(taken.walkround.id):
                Originals(record).keep(file)
            rows.append({"file": str(file), **counts(taken)})
            if not as_json:
                print(_told(rows[-1]))

        try:
            each(recordings, work)
        finally:
            if as_json:
                print_json(rows)


def warn_of_country(jurisdiction: str | None) -> None:
    """Say so when no limits of law will apply."""
    from witnessmark.knowledge.limits import jurisdictions, rules

    if jurisdiction is None:
        note("No country is given (--jurisdiction): readings are stated, and nothing passes or fails by law.")
    elif not rules(jurisdiction).chain:
        known = ", ".join(sorted(jurisdictions()))
        note(f"{jurisdiction}: its limits are not known, so nothing passes or fails. Known: {known}.")


def counts(taken: Taken) -> dict[str, Any]:
    """A walkround in figures."""
    from witnessmark.review import queue
    from witnessmark.types import Grade

    walkround = taken.walkround
    draft, verdicts_of = walkround.draft, walkround.assessment.verdicts_of
    gravest = [
        min(verdicts_of(f.key), key=lambda v: list(Grade).index(v.grade)).grade for f in draft.findings
    ]
    return {
        "walkround": walkround.id,
        "new": taken.new,
        "on": walkround.on.isoformat(),
        "registration": draft.machine.registration,
        "findings": len(draft.findings),
        "actions": len(draft.actions),
        "dangerous": gravest.count(Grade.DANGEROUS),
        "doubtful": sum(bool(item.doubts) for item in draft.items) + bool(draft.machine.doubts),
        "waiting": len(queue(walkround)),
    }


def _told(row: dict[str, Any]) -> str:
    if not row["new"]:
        return (
            f"{row['walkround']}: {row['file']} was taken in before; {row['waiting']} items wait for review."
        )
    return (
        f"{row['walkround']}: {row['file']}, inspected on {row['on']}: {row['findings']} findings and "
        f"{row['actions']} jobs drafted, {row['dangerous']} dangerous, {row['doubtful']} doubtful. "
        f"Next: witnessmark review {row['walkround']}"
    )
