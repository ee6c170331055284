"""``witnessmark certificate``: lets phones on the workshop's network reach the desk encrypted."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from witnessmark.cli.output import note

EPILOG = """\b
Examples:
  witnessmark certificate desk.workshop.internal 192.168.1.20
  witnessmark certificate 192.168.1.20 --folder keys
"""


def certificate(
    names: Annotated[
        list[str],
        typer.Argument(
            metavar="NAME",
            show_default=False,
            help="How phones call this computer: names and addresses in the workshop's network.",
        ),
    ],
    folder: Annotated[
        Path | None,
        typer.Option(
            "--folder",
            metavar="PATH",
            help="Where the files lie. By default a folder in your own data folder.",
        ),
    ] = None,
) -> None:
    """Make the desk's certificate, and a certificate authority of this workshop's own that signs it.

    A browser gives a page the microphone only where the page comes encrypted or from the same computer. So
    phones need this, and have to be told once to trust the authority; docs/desk.md has the steps. Run again
    within a year: the authority stays, so that phones need nothing new.
    """
    from witnessmark.desk.access import authority

    files, new = authority.issue(folder or usual_folder(), tuple(names))
    if new:
        note(f"Tell each phone once to trust {files.authority}. It holds no secret; the .key files do.")
    note(f"Valid until {authority.ends(files.certificate):%Y-%m-%d}. Start the desk with:")
    print(f"witnessmark desk --host 0.0.0.0 --certificate {files.certificate} --key {files.key}")


def usual_folder() -> Path:
    """Where the files lie when nobody says otherwise."""
    from platformdirs import user_data_path

    return user_data_path("witnessmark", appauthor=False) / "certificate"
