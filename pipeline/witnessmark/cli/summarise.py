"""``witnessmark summarise``: the owner's page."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.options import StorePath, opened
from witnessmark.cli.output import note
from witnessmark.cli.papers import Language, PaperOut, checked_language, file_name, is_pdf, put, summary_of

if TYPE_CHECKING:
    from witnessmark.record import Store
    from witnessmark.types import Outcome

EPILOG = """\b
Examples:
  witnessmark summarise latest
  witnessmark summarise 3f2a --out monday.pdf
  witnessmark summarise 3f2a --out - | mail -s "Your motorcycle" ...
  witnessmark summarise --check monday.pdf
"""


def summarise(
    walkround: Annotated[
        str | None,
        typer.Argument(
            metavar="WALKROUND", show_default=False, help="Its id, the beginning of its id, or `latest`."
        ),
    ] = None,
    out: PaperOut = None,
    language: Language = "en",
    check: Annotated[
        str | None,
        typer.Option(
            "--check",
            metavar="FILE|CODE",
            help="Say whether a page (or the code on it) is what the record says. Nothing is written.",
        ),
    ] = None,
    store: StorePath = None,
) -> None:
    """Write the owner's page as HTML or PDF: what to do before riding, soon, and what to watch.

    Only what a reviewer confirmed is told. What was not looked at is listed as such.
    """
    if check is not None:
        from witnessmark.cli import genuine

        with opened(store) as record:
            print(genuine.check(record, check))
        return
    if walkround is None:
        raise typer.BadParameter("name a walkround, or `latest`", param_hint="WALKROUND")
    with opened(store) as record:
        outcome, content = paper_of(record, walkround, pdf=is_pdf(out), language=checked_language(language))
    if outcome.waiting:
        note(f"{len(outcome.waiting)} items still wait for review; the page says so and leaves them out.")
    put(content, out or Path(file_name(outcome)))


def paper_of(record: Store, which: str, *, pdf: bool, language: str = "en") -> tuple[Outcome, str | bytes]:
    """What the review of a walkround came to, and its page.

    Raises:
        StoreError: there is no such walkround.
    """
    from witnessmark.summarise import render, render_pdf

    outcome, page = summary_of(record, which, date.today(), language)
    return outcome, render_pdf(page) if pdf else render(page)
