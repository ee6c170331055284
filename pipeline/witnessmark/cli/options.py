"""The options that several commands share."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from witnessmark.record import Store

Files = Annotated[
    list[Path], typer.Argument(metavar="FILE", show_default=False, help="Recordings, transcripts or talks.")
]
Recordings = Annotated[
    list[Path],
    typer.Argument(
        metavar="AUDIO", show_default=False, help="Recordings: wav, flac, mp3, m4a, ogg, opus, webm."
    ),
]
StorePath = Annotated[
    Path | None,
    typer.Option(
        "--store",
        metavar="PATH",
        envvar="WITNESSMARK_STORE",
        help="The record's file. By default one in your own data folder; `witnessmark doctor` says where.",
    ),
]
Model = Annotated[
    str | None,
    typer.Option(
        "--model",
        metavar="NAME",
        envvar="WITNESSMARK_MODEL",
        help="Speech model: a name in models/speech.toml, a folder with a CTranslate2 Whisper model, "
        "or a name that faster-whisper can fetch from the internet.",
    ),
]
Jurisdiction = Annotated[
    str | None,
    typer.Option(
        "--jurisdiction",
        metavar="CODE",
        envvar="WITNESSMARK_JURISDICTION",
        help="Country (and state) whose limits apply, such as GB, DE, US-MD, AU-WA, IN. "
        "Without it readings are stated and not judged by law.",
    ),
]
Day = Annotated[
    datetime | None,
    typer.Option(
        "--on", formats=["%Y-%m-%d"], help="Day of the inspection. By default the day the file was written."
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON, for programs.")]
Which = Annotated[
    str,
    typer.Argument(
        metavar="WALKROUND", show_default=False, help="Its id, the beginning of its id, or `latest`."
    ),
]

Who = Annotated[str, typer.Option("--who", metavar="NAME", help="Who does this; it stands in the trail.")]
Why = Annotated[str, typer.Option("--why", metavar="TEXT", help="The reason; it stands in the trail.")]


def opened(path: Path | None, *, new: bool = False) -> Store:
    """The record at ``path`` or at its usual place.

    Args:
        path: as given by the user, if at all.
        new: make one where there is none.

    Raises:
        StoreError: it cannot be opened, or is not there.
    """
    from witnessmark.errors import StoreError
    from witnessmark.record import Store

    where = path or Store.default_path()
    if not new and not where.exists():
        raise StoreError("there is no record here.", str(where), "`witnessmark ingest` makes one.")
    return Store.open(where)
