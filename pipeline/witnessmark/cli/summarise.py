"""``witnessmark summarise``: the owner's page."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.options import StorePath, Which, opened
from witnessmark.cli.output import note, write_whole

if TYPE_CHECKING:
    from witnessmark.record import Store
    from witnessmark.types import Outcome

EPILOG = """\b
Examples:
  witnessmark summarise latest
  witnessmark summarise 3f2a --out monday.html
  witnessmark summarise 3f2a --out - | mail -s "Your motorcycle" ...
"""


def summarise(
    walkround: Which,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FILE",
            allow_dash=True,
            help="Write here, or to standard output for `-`. By default a file named after machine and day.",
        ),
    ] = None,
    store: StorePath = None,
) -> None:
    """Write the owner's page as one HTML file: what to do before riding, soon, and what to watch.

    Only what a reviewer confirmed is told. What was not looked at is listed as such.
    """
    with opened(store) as record:
        outcome, html = page_of(record, walkround)
    if outcome.waiting:
        note(f"{len(outcome.waiting)} items still wait for review; the page says so and leaves them out.")
    if str(out) == "-":
        print(html)
        return
    target = out or Path(file_name(outcome))
    write_whole(html, target)
    print(target)


def page_of(record: Store, which: str) -> tuple[Outcome, str]:
    """What the review of a walkround came to, and its page.

    Raises:
        StoreError: there is no such walkround.
    """
    from witnessmark import run
    from witnessmark.record import History
    from witnessmark.review import apply
    from witnessmark.summarise import render

    outcome = apply(record.walkround(which))
    machine = outcome.machine
    name = (machine.vin or machine.registration) if machine else None
    known = record.history(name) if name else History("")
    return outcome, render(run.summary(outcome, known, date.today()))


def file_name(outcome: Outcome) -> str:
    """``KX21WPT-2026-05-21.html``: the machine (or the walkround while none is confirmed) and the day."""
    machine = outcome.machine
    name = (machine.registration or machine.vin) if machine else None
    plain = "".join(filter(str.isalnum, name or "")) or outcome.walkround.id
    return f"{plain}-{outcome.walkround.on}.html"
