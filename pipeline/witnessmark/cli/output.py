"""Where messages, results and progress go: results to standard output, all else to standard error."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import Any
from uuid import uuid4

import typer

from witnessmark.errors import BadInputError, WitnessmarkError
from witnessmark.intake import warnings


def note(message: str) -> None:
    """One message to the user, beside the results."""
    print(message, file=sys.stderr, flush=True)


def print_json(value: object) -> None:
    """One JSON document for a program."""
    print(json.dumps(value, indent=2))


def each(files: Sequence[Path], work: Callable[[Path], object]) -> None:
    """Do the work on every file; one that is bad is reported and does not lose the others.

    Raises:
        typer.Exit: at the end, when a file was bad or damaged.
    """
    status = 0
    for file in files:
        try:
            with warnings() as told:
                work(file)
            if told:
                raise BadInputError(f"{'; '.join(told)}; what is left was read.")
        except BadInputError as error:
            note(str(error))
            status = error.exit_code
    if status:
        raise typer.Exit(status)


@contextmanager
def progress(title: str) -> Iterator[Callable[[float, float], None]]:
    """A bar on standard error, or nothing where that is no terminal; takes what is done and the whole."""
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task(title, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)


@contextmanager
def lines_to(out: Path | None, sources: Iterable[Path] = ()) -> Iterator[Callable[[str], None]]:
    """A function that writes a line to ``out``, or to standard output if None, at once.

    Args:
        out: opened before the work starts, so that a wrong name costs no time.
        sources: files still to be read, which ``out`` must not overwrite.

    Raises:
        WitnessmarkError: it cannot be written, such as on a full disk.
    """
    if out and any(out.resolve() == source.resolve() for source in sources):
        raise WitnessmarkError("is also to be read.", str(out), "Write to another file.")
    with _writing(out), out.open("w", encoding="utf-8") if out else nullcontext(sys.stdout) as file:
        yield lambda line: print(line, file=file, flush=True)


def write_whole(content: str | bytes, out: Path) -> None:
    """Write a file, text as UTF-8; it appears whole or not at all.

    Raises:
        WitnessmarkError: it cannot be written.
    """
    data = content.encode() if isinstance(content, str) else content
    part = out.with_name(f".{out.name}.{uuid4().hex}")
    with _writing(out):
        if out.exists() and not out.is_file():  # a device or a pipe takes it as it comes
            out.write_bytes(data)
            return
        try:
            part.write_bytes(data)
            part.replace(out)
        finally:
            part.unlink(missing_ok=True)


@contextmanager
def _writing(out: Path | None) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        if out is None:
            raise
        what = f"cannot be written ({error.strerror})."
        raise WitnessmarkError(what, str(out), "Make room, or name another file.") from error


def json_line(value: Any) -> str:
    """A pydantic value as one line of JSON, in ASCII so that every terminal and pipe takes it."""
    return json.dumps(value.model_dump(mode="json"))
