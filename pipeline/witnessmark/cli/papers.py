"""What the commands share that write papers for the owner and the bench."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.output import note, write_whole
from witnessmark.errors import BadInputError
from witnessmark.pages import reviewed as reviewed  # for the commands that write papers

if TYPE_CHECKING:
    from witnessmark.record import Store
    from witnessmark.summarise import Summary
    from witnessmark.types import Outcome

PaperOut = Annotated[
    Path | None,
    typer.Option(
        "--out",
        metavar="FILE",
        allow_dash=True,
        help="Write here: PDF for a name in .pdf, else HTML; `-` is standard output. "
        "By default an HTML file named after machine and day.",
    ),
]
Language = Annotated[
    str,
    typer.Option("--language", metavar="CODE", envvar="WITNESSMARK_LANGUAGE", help="Language of the page."),
]


def is_pdf(out: Path | None) -> bool:
    """Whether the name asks for PDF."""
    return out is not None and out.suffix.lower() == ".pdf"


def put(content: str | bytes, out: Path) -> None:
    """Write a paper to a file, whose name is then told, or to standard output for ``-``."""
    if str(out) != "-":
        write_whole(content, out)
        print(out)
    elif isinstance(content, str):
        print(content)
    else:
        sys.stdout.buffer.write(content)


def checked_language(language: str) -> str:
    """The language, if there is a file of it.

    Raises:
        BadInputError: there is none.
    """
    from witnessmark.knowledge.paper import languages

    if language not in languages():
        raise BadInputError(
            "there are no words in this language.", language, f"There are: {', '.join(languages())}."
        )
    return language


def summary_of(
    record: Store, which: str, made_on: date | None, language: str = "en"
) -> tuple[Outcome, Summary]:
    """As ``pages.summary_of``; a picture that is left out is told on standard error."""
    from witnessmark import pages

    return pages.summary_of(record, which, made_on, language, note)


def file_name(outcome: Outcome, kind: str = "", suffix: str = ".html") -> str:
    """``KX21WPT-2026-05-21.html``: the machine (or the walkround while none is confirmed) and the day."""
    machine = outcome.machine
    name = (machine.registration or machine.vin) if machine else None
    plain = "".join(filter(str.isalnum, name or "")) or outcome.walkround.id
    return f"{plain}-{outcome.walkround.on}{kind}{suffix}"
