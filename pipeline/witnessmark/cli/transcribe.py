"""``witnessmark transcribe``: what is said, word by word."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.options import Model, Recordings
from witnessmark.cli.output import each, json_line, lines_to, note, write_whole

if TYPE_CHECKING:
    from witnessmark.types import Transcript

EPILOG = """\b
Examples:
  witnessmark transcribe monday.m4a > monday.json
  witnessmark transcribe monday.m4a --vtt > monday.vtt
  witnessmark transcribe *.m4a --folder transcripts
"""


def transcribe(
    recordings: Recordings,
    vtt: Annotated[bool, typer.Option("--vtt", help="Write captions (WebVTT) instead of JSON.")] = False,
    folder: Annotated[
        Path | None,
        typer.Option("--folder", metavar="FOLDER", help="Write a file for each recording into this folder."),
    ] = None,
    model: Model = None,
) -> None:
    """Print what is said, with the time and the probability of every word.

    JSON, one object a line for each recording; `witnessmark extract` reads it. English only.
    """
    from witnessmark.cli.sources import heard
    from witnessmark.transcribe import Transcriber
    from witnessmark.transcribe import vtt as captions

    if vtt and len(recordings) > 1 and folder is None:
        raise typer.BadParameter("Captions of several recordings need a folder of their own: --folder.")
    if folder and len({file.stem for file in recordings}) < len(recordings):
        raise typer.BadParameter("Two recordings have the same name and would overwrite each other.")
    transcriber = Transcriber(model)
    form: Callable[[Transcript], str] = captions if vtt else json_line
    suffix = ".vtt" if vtt else ".json"
    if folder is None:
        with lines_to(None) as write:
            each(recordings, lambda file: write(form(heard(file, transcriber))))
        return
    _make(folder)
    each(recordings, lambda file: _keep(form(heard(file, transcriber)), folder / f"{file.stem}{suffix}"))


def _keep(text: str, out: Path) -> None:
    write_whole(text.rstrip("\n") + "\n", out)
    note(str(out))


def _make(folder: Path) -> None:
    from witnessmark.errors import WitnessmarkError

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise WitnessmarkError(
            f"cannot be made ({error.strerror}).", str(folder), "Name another folder."
        ) from error
