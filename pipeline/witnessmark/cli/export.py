"""``witnessmark export`` and ``witnessmark adopt``: what is confirmed goes to others, and comes from them."""

from __future__ import annotations

import io
import json
import sys
from contextlib import closing
from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any
from uuid import uuid4

import typer

from witnessmark.cli.options import StorePath, Who, opened
from witnessmark.cli.output import lines_to, note, write_whole
from witnessmark.errors import BadInputError, WitnessmarkError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from witnessmark.record import Store

EPILOG = """\b
Examples:
  witnessmark export > everything.jsonl
  witnessmark export --since 2026-05-01 --out may.csv
  witnessmark export --out readings.parquet
  witnessmark export --out follow-ups.ics
  witnessmark export --as whole --out move.jsonl
"""


class Form(StrEnum):
    """What an export is written as."""

    JSONL = "jsonl"
    CSV = "csv"
    PARQUET = "parquet"
    ICS = "ics"
    WHOLE = "whole"


def export(
    since: Annotated[
        datetime | None,
        typer.Option(
            "--since",
            formats=["%Y-%m-%d", "%Y-%m-%dT%H:%M:%S"],
            help="Only what was decided from then on, in your local time, and what was withdrawn since.",
        ),
    ] = None,
    form: Annotated[
        Form | None,
        typer.Option(
            "--as",
            help="jsonl, csv or parquet: a line each for confirmed findings, readings and work. ics: a "
            "calendar of what comes next. whole: walkrounds with their trails, for another record. "
            "By default by the ending of --out, or else jsonl.",
        ),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Write here, not to standard output.")
    ] = None,
    store: StorePath = None,
) -> None:
    """Write what is confirmed for other programs: findings, readings, work, follow-ups.

    What still waits or was rejected is never written. docs/exchange.md has the form of each line.
    """
    chosen = form or _form_of(out)
    moment = since.astimezone(UTC) if since else None
    if chosen is Form.PARQUET and out is None:
        raise BadInputError("Parquet does not go to a terminal or a pipe", remedy="Give --out FILE.")
    with opened(store) as record:
        WRITERS[chosen](record, moment, out)


def _form_of(out: Path | None) -> Form:
    ending = out.suffix.lower().lstrip(".") if out else "jsonl"
    if ending not in ("jsonl", "csv", "parquet", "ics"):
        raise BadInputError("its ending says nothing of its form", str(out), "Give --as too.")
    return Form(ending)


def _jsonl(record: Store, since: datetime | None, out: Path | None) -> None:
    from witnessmark.cli.exchange_files import json_lines
    from witnessmark.record import Exchange

    with lines_to(out) as write, closing(Exchange(record).lines(since)) as lines:
        for line in json_lines(lines):
            write(line)


def _csv(record: Store, since: datetime | None, out: Path | None) -> None:
    from witnessmark.cli.exchange_files import write_csv
    from witnessmark.record import Exchange

    with lines_to(out) as write, closing(Exchange(record).lines(since)) as lines:
        write_csv(lines, _Lines(write))


class _Lines(io.TextIOBase):
    """Hands what a table writes on, line by line."""

    def __init__(self, write: Callable[[str], None]) -> None:
        self._write = write

    def write(self, text: str) -> int:
        """One row with its line end."""
        self._write(text.removesuffix("\n"))
        return len(text)


def _parquet(record: Store, since: datetime | None, out: Path | None) -> None:
    from witnessmark.cli.exchange_files import write_parquet
    from witnessmark.record import Exchange

    assert out is not None  # ``export`` sees to it
    part = out.with_name(f".{out.name}.{uuid4().hex}")
    try:
        with closing(Exchange(record).lines(since)) as lines:
            write_parquet(lines, part)
        part.replace(out)
    except OSError as error:
        what = f"cannot be written ({error.strerror or error})"
        raise WitnessmarkError(what, str(out), "Make room, or name another file.") from error
    finally:
        part.unlink(missing_ok=True)


def _ics(record: Store, since: datetime | None, out: Path | None) -> None:
    from witnessmark.cli.followups import calendar

    content = calendar(record, since)
    if out is None:
        sys.stdout.write(content.decode())
    else:
        write_whole(content, out)


def _whole(record: Store, since: datetime | None, out: Path | None) -> None:
    with lines_to(out) as write:
        for row in reversed(record.walkrounds()):
            walkround = record.walkround(row.id)
            if since is None or any(made.when.astimezone(UTC) >= since for made in walkround.decisions):
                write(json.dumps(walkround.model_dump(mode="json"), ensure_ascii=False))


WRITERS: dict[Form, Callable[[Store, datetime | None, Path | None], None]] = {
    Form.JSONL: _jsonl,
    Form.CSV: _csv,
    Form.PARQUET: _parquet,
    Form.ICS: _ics,
    Form.WHOLE: _whole,
}

ADOPT_EPILOG = """\b
Examples:
  witnessmark adopt from-the-other-workshop.csv --who "A. Smith"
  witnessmark adopt move.jsonl --who "A. Smith" --store new.sqlite
"""


def adopt(
    files: Annotated[
        list[Path], typer.Argument(metavar="FILE", show_default=False, help="What `export` wrote elsewhere.")
    ],
    who: Who,
    store: StorePath = None,
) -> None:
    """Take over what another record exported. The same again changes nothing.

    Lines are kept apart from what was confirmed here, and marked with where they come from. Whole walkrounds
    (`export --as whole`) come in with every decision as it was made, and can be reviewed further; their sound
    has to be copied beside the record. Of a calendar (.ics) comes back what was ticked off, moved or dropped;
    it waits for an answer (`store calendar`) and confirms nothing.
    """
    with opened(store, new=True) as record:
        for file in files:
            if file.suffix.lower() == ".ics":
                _adopt_calendar(record, file, who)
            elif _is_whole(file):
                new, made = _replay(record, file)
                print(f"{file}: {new} walkrounds and {made} decisions taken over.")
            else:
                print(f"{file}: {_adopt_lines(record, file, who)} lines taken over.")


def _is_whole(file: Path) -> bool:
    """Whether a file holds walkrounds, by its first line."""
    if file.suffix.lower() != ".jsonl":
        return False
    try:
        with file.open(encoding="utf-8") as opened_file:
            first = json.loads(opened_file.readline() or "{}")
    except (OSError, ValueError) as error:
        raise BadInputError(f"cannot be read ({error})", str(file), "Export it again.") from error
    return isinstance(first, dict) and "transcript" in first


def _adopt_calendar(record: Store, file: Path, who: str) -> None:
    """Keep what a calendar says of follow-ups, and tell what was passed over."""
    from witnessmark.cli.calendar_file import read
    from witnessmark.cli.calendars import came_back
    from witnessmark.record import Calendars

    found, passed_over = came_back(record, read(file))
    changed = Calendars(record).take(file.name, found, who)
    told = [f"{changed} of {len(found)} follow-ups say something new"]
    told += [f"{count} passed over: {why}" for why, count in sorted(passed_over.items())]
    print(f"{file}: {'; '.join(told)}.")
    if changed:
        note("Nothing of it is confirmed: `witnessmark store calendar` shows what waits for an answer.")


def _adopt_lines(record: Store, file: Path, who: str) -> int:
    from witnessmark.cli.exchange_files import read
    from witnessmark.record import Exchange

    return Exchange(record).adopt(file.name, read(file), who)


def _replay(record: Store, file: Path) -> tuple[int, int]:
    """Take walkrounds in and make every decision of theirs again that is not here yet."""
    from witnessmark.review import apply

    new = made = 0
    for walkround in _walkrounds(file):
        new += record.ingest(walkround.model_copy(update={"decisions": ()}))
        here = record.walkround(walkround.id)
        if here.decisions != walkround.decisions[: len(here.decisions)]:
            note(f"{walkround.id}: was decided on otherwise here; its decisions from {file} are passed over.")
            continue
        for decision in walkround.decisions[len(here.decisions) :]:
            outcome = apply(here, [decision])
            record.decide(decision, outcome)
            here, made = outcome.walkround, made + 1
    return new, made


def _walkrounds(file: Path) -> Iterator[Any]:
    from pydantic import ValidationError

    from witnessmark.types import Walkround

    with file.open(encoding="utf-8") as lines:
        for number, line in enumerate(lines, 1):
            try:
                yield Walkround.model_validate_json(line)
            except ValidationError as error:
                what = f"line {number} is no walkround: {error.errors()[0]['msg']}"
                raise BadInputError(what, str(file), "Export it again.") from error
