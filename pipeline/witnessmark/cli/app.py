"""All commands under one name, with what they share."""

from __future__ import annotations

from typing import Annotated

import typer

from witnessmark import __version__
from witnessmark.cli import demo, doctor, extract, history, ingest, review, summarise, transcribe

EPILOG = """\b
From a recording to the owner's page:
  witnessmark ingest monday.m4a --jurisdiction GB
  witnessmark review
  witnessmark summarise latest --out monday.html

Nothing enters the record that a person has not confirmed. Witnessmark does not replace the maker's manual,
local law or a licensed inspection.
"""

app = typer.Typer(
    name="witnessmark",
    epilog=EPILOG,
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


app.command(epilog=demo.EPILOG)(demo.demo)
app.command(epilog=ingest.EPILOG)(ingest.ingest)
app.command(epilog=review.EPILOG)(review.review)
app.command(epilog=summarise.EPILOG)(summarise.summarise)
app.command(epilog=history.EPILOG)(history.history)
app.command(epilog=transcribe.EPILOG)(transcribe.transcribe)
app.command(epilog=extract.EPILOG)(extract.extract)
app.command(epilog=doctor.EPILOG)(doctor.doctor)
