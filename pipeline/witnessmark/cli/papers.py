"""What the commands share that write papers for the owner and the bench."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.output import note, write_whole
from witnessmark.errors import BadInputError

if TYPE_CHECKING:
    from witnessmark.record import History, Store
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
NEAR = 20.0
"""Seconds between a picture and the words that it is taken to belong to."""


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


def reviewed(record: Store, which: str) -> tuple[Outcome, History]:
    """What the review of a walkround came to, and what the record knows of its machine.

    Raises:
        StoreError: there is no such walkround.
    """
    from witnessmark.record import History
    from witnessmark.review import apply

    outcome = apply(record.walkround(which))
    machine = outcome.machine
    name = (machine.vin or machine.registration) if machine else None
    return outcome, record.history(name) if name else History("")


def summary_of(
    record: Store, which: str, made_on: date | None, language: str = "en"
) -> tuple[Outcome, Summary]:
    """What the review of a walkround came to, and its page as values.

    Raises:
        StoreError: there is no such walkround, or a picture of it is not what was stored.
    """
    from witnessmark import run

    outcome, known = reviewed(record, which)
    photos = pictures(record, outcome, language)
    return outcome, run.summary(outcome, known, made_on, language=language, photos=photos)


def pictures(record: Store, outcome: Outcome, language: str) -> list[tuple[bytes, str]]:
    """The pictures of a walkround that can be shown, each with the confirmed part spoken of at its moment."""
    from witnessmark.summarise.photographs import shown

    found = []
    for photo in record.photos(outcome.walkround.id):
        data = record.photo_bytes(photo.sha256)
        try:
            shown(data, f"picture {photo.sha256[:12]}")
        except BadInputError as error:
            note(f"{error} It is left out.")
            continue
        found.append((data, _caption(outcome, photo.seconds, language)))
    return found


def _caption(outcome: Outcome, seconds: float | None, language: str) -> str:
    from witnessmark.knowledge.plain import plain_words
    from witnessmark.summarise.words import capital, name_of
    from witnessmark.types import Item

    if seconds is None:
        return ""
    spoken = [
        (abs(heard.start - seconds), entry.item)
        for entry in outcome.confirmed
        if isinstance(entry.item, Item)
        for heard in entry.item.evidence
        if heard.start is not None
    ]
    away, item = min(spoken, key=lambda pair: pair[0], default=(NEAR + 1, None))
    if item is None or away > NEAR:
        return ""
    return capital(name_of(plain_words(language), item.component, [(item.end, item.side)]))


def file_name(outcome: Outcome, kind: str = "", suffix: str = ".html") -> str:
    """``KX21WPT-2026-05-21.html``: the machine (or the walkround while none is confirmed) and the day."""
    machine = outcome.machine
    name = (machine.registration or machine.vin) if machine else None
    plain = "".join(filter(str.isalnum, name or "")) or outcome.walkround.id
    return f"{plain}-{outcome.walkround.on}{kind}{suffix}"
