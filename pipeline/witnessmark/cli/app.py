"""All commands under one name, with what they share."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Annotated

import typer

from witnessmark import __version__
from witnessmark.cli import (
    assess,
    backlog,
    card,
    certificate,
    demo,
    desk,
    doctor,
    estimate,
    export,
    extract,
    fleet,
    history,
    ingest,
    jobsheet,
    limits,
    review,
    store,
    summarise,
    transcribe,
)

EPILOG = """\b
From a recording to the owner's page:
  witnessmark ingest monday.m4a --jurisdiction GB
  witnessmark review
  witnessmark summarise latest --out monday.html

Nothing enters the record that a person has not confirmed. Witnessmark does not replace the maker's manual,
local law or a licensed inspection.
"""


def _flowing(text: str) -> str:
    """Each paragraph on one line, for the terminal to break, but those that begin with ``\\b``."""
    paragraphs = inspect.cleandoc(text).split("\n\n")
    return "\n\n".join(p if p.startswith("\b") else " ".join(p.split()) for p in paragraphs)


app = typer.Typer(
    name="witnessmark",
    epilog=_flowing(EPILOG),
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(wanted: bool) -> None:
    if wanted:
        print(f"witnessmark {__version__}")
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and exit.")
    ] = False,
) -> None:
    """A spoken motorcycle walkround becomes a record that a person has checked, and a page for the owner."""


COMMANDS: tuple[tuple[Callable[..., None], str], ...] = (
    (demo.demo, demo.EPILOG),
    (ingest.ingest, ingest.EPILOG),
    (review.review, review.EPILOG),
    (summarise.summarise, summarise.EPILOG),
    (jobsheet.jobsheet, jobsheet.EPILOG),
    (estimate.estimate, estimate.EPILOG),
    (fleet.fleet, fleet.EPILOG),
    (history.history, history.EPILOG),
    (transcribe.transcribe, transcribe.EPILOG),
    (extract.extract, extract.EPILOG),
    (assess.assess, assess.EPILOG),
    (limits.limits, limits.EPILOG),
    (doctor.doctor, doctor.EPILOG),
    (desk.desk, desk.EPILOG),
    (backlog.backlog, backlog.EPILOG),
    (export.export, export.EPILOG),
    (export.adopt, export.ADOPT_EPILOG),
    (certificate.certificate, certificate.EPILOG),
)
for command, epilog in COMMANDS:
    app.command(help=_flowing(command.__doc__ or ""), epilog=_flowing(epilog))(command)

cards = typer.Typer(no_args_is_help=True, rich_markup_mode="rich")
for command, epilog in (
    (card.new, card.NEW_EPILOG),
    (card.check, card.CHECK_EPILOG),
    (card.show, card.SHOW_EPILOG),
):
    cards.command(help=_flowing(command.__doc__ or ""), epilog=_flowing(epilog))(command)
app.add_typer(
    cards, name="card", help="Machine cards: what the maker says of one model. Make, check and show them."
)

records = typer.Typer(no_args_is_help=True, rich_markup_mode="rich")
for command, epilog in store.COMMANDS:
    records.command(help=_flowing(command.__doc__ or ""), epilog=_flowing(epilog))(command)
app.add_typer(
    records, name="store", help="The record itself: check, copy, bring up to date; what stays and what goes."
)
