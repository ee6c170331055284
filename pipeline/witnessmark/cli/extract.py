"""``witnessmark extract``: draft findings from talks, for programs."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.options import Files, Jurisdiction, Model
from witnessmark.cli.output import each, lines_to

if TYPE_CHECKING:
    from witnessmark.cli.sources import Talk
    from witnessmark.types import Draft

EPILOG = """\b
Examples:
  witnessmark extract talk.txt --jurisdiction GB
  witnessmark extract monday.m4a tuesday.m4a --out drafts.jsonl
  witnessmark transcribe monday.m4a > monday.json && witnessmark extract monday.json
"""


def extract(
    files: Files,
    jurisdiction: Jurisdiction = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Write here instead of to standard output.")
    ] = None,
    model: Model = None,
) -> None:
    """Draft findings: one JSON object a line, stored nowhere.

    Takes recordings, transcripts written by `transcribe`, plain text (.txt), and talks as .json or .jsonl
    with the keys id, text and jurisdiction. What a file says of its jurisdiction goes before the option.

    A draft is what was heard, with its evidence and its doubts. Nobody has confirmed it.
    """
    from witnessmark.cli.sources import talks
    from witnessmark.transcribe import Transcriber

    transcriber = Transcriber(model)
    with lines_to(out, files) as write:
        each(files, lambda file: [write(_line(_draft(t, jurisdiction))) for t in talks(file, transcriber)])


def _draft(talk: Talk, jurisdiction: str | None) -> Draft:
    from witnessmark.extract import extract as extract_findings

    country = talk.jurisdiction or jurisdiction
    return extract_findings(talk.text, id=talk.id, jurisdiction=country, transcript=talk.transcript)


def _line(draft: Draft) -> str:
    row = draft.model_dump(mode="json")
    for finding in row["findings"]:
        if finding.get("limit"):
            finding["limit"] = {key: bound for key, bound in finding["limit"].items() if bound is not None}
    return json.dumps(row)
