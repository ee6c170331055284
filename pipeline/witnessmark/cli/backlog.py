"""``witnessmark backlog``: many recordings into the record, on all cores or on many machines."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import nullcontext
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.ingest import warn_of_country
from witnessmark.cli.options import AsJson, Day, Jurisdiction, Model, StorePath, opened
from witnessmark.cli.output import note, print_json, progress
from witnessmark.errors import BadInputError

if TYPE_CHECKING:
    from witnessmark.cli.backlog_loop import Tally
    from witnessmark.cli.backlog_work import Job
    from witnessmark.record import Store

EPILOG = """\b
Examples:
  witnessmark backlog recordings/ --jurisdiction GB
  witnessmark backlog list.txt s3://bucket/2026/ --cluster tcp://10.0.0.5:8786 --needs GPU=1 --jurisdiction DE
  witnessmark backlog --aside

Exit status: 0 when all are in, 2 when some are set aside.
"""


def backlog(
    places: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="PLACE",
            show_default=False,
            help="Folders, recordings, transcripts, addresses such as s3://…, or .txt files that list them.",
        ),
    ] = None,
    cluster: Annotated[
        str | None,
        typer.Option(
            "--cluster",
            metavar="ADDRESS",
            help="A Dask scheduler that has the work done.",
        ),
    ] = None,
    needs: Annotated[
        list[str] | None,
        typer.Option("--needs", metavar="NAME=AMOUNT", help="What a worker must offer, such as GPU=1."),
    ] = None,
    processes: Annotated[
        int | None, typer.Option("--processes", min=1, help="Without --cluster; by default one a core.")
    ] = None,
    at_most: Annotated[
        int | None,
        typer.Option("--most", min=1, help="Recordings handed out at once; by default two a worker."),
    ] = None,
    aside: Annotated[bool, typer.Option("--aside", help="List what was set aside, and why.")] = False,
    retry: Annotated[bool, typer.Option("--retry", help="Try what was set aside once more.")] = False,
    jurisdiction: Jurisdiction = None,
    on: Day = None,
    store: StorePath = None,
    model: Model = None,
    as_json: AsJson = False,
) -> None:
    """Take very many recordings in. Stopped and started again, it goes on where it was.

    Workers read the recordings; only this process writes the record. One that fails three times is set aside
    with the reason, and the others go on. Each recording, by its content, is one walkround however it comes.
    """
    if aside:
        with opened(store) as record:
            _list(record, as_json)
        return
    if not places:
        raise BadInputError("there is nothing to read", remedy="Name a folder, a list or recordings.")
    from witnessmark.cli.backlog_loop import TRIES

    warn_of_country(jurisdiction)
    jobs = list(jobs_of(places, on.date() if on else None, jurisdiction, model))
    with opened(store, new=True) as record:
        if retry:
            for one in record.set_aside():
                record.forgive(one.source)
        tally, seconds = _run(record, jobs, cluster, needs or [], processes, at_most)
        aside_before = len(record.set_aside(TRIES)) - len(tally.failed)
    if aside_before:
        note(f"{aside_before} were set aside before: `witnessmark backlog --aside` lists them.")
    _report(tally, seconds, as_json)


def _run(
    record: Store,
    jobs: list[Job],
    address: str | None,
    needs: list[str],
    processes: int | None,
    at_most: int | None,
) -> tuple[Tally, float]:
    """What became of the jobs, and the seconds that took."""
    from witnessmark.cli import backlog_pool
    from witnessmark.cli.backlog_loop import drive

    wanted = backlog_pool.needs_of(needs)
    started = time.monotonic()
    where = backlog_pool.cluster(address, wanted) if address else nullcontext(backlog_pool.local(processes))
    with where as pool, progress("recordings") as bar:
        tally = drive(jobs, pool, record, at_most or 2 * pool.size, lambda now: bar(now.done, len(jobs)))
    return tally, time.monotonic() - started


def jobs_of(places: list[str], on: date | None, jurisdiction: str | None, model: str | None) -> Iterator[Job]:
    """Every recording and transcript in the places, each once.

    Raises:
        BadInputError: a place or a list is not there, or nothing says on which day a recording was made.
    """
    from witnessmark.cli.backlog_work import Job, listed

    seen: set[str] = set()
    for place in _spelt_out(places):
        for source, state, written in listed(place):
            if source not in seen:
                seen.add(source)
                yield Job(source, state, (on or _day(source, written)).isoformat(), jurisdiction, model)


def _day(source: str, written: float | None) -> date:
    """The local day on which a file was written; none is made up."""
    if written is None:
        raise BadInputError("nothing says when it was written", source, "Give the day with --on.")
    return datetime.fromtimestamp(written).date()


def _spelt_out(places: list[str]) -> Iterator[str]:
    """The places, and in place of each list what it lists."""
    for place in places:
        if "://" in place or Path(place).suffix.lower() != ".txt":
            yield place
            continue
        try:
            listing = Path(place).read_text("utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise BadInputError(f"the list cannot be read ({error})", place, "Check the name.") from error
        yield from (line.strip() for line in listing.splitlines() if line.strip())


def _list(record: Store, as_json: bool) -> None:
    rows = record.set_aside()
    if as_json:
        print_json([one._asdict() | {"last": one.last.isoformat()} for one in rows])
        return
    for one in rows:
        print(f"{one.source}: {one.tries} tries, last on {one.last:%Y-%m-%d %H:%M} UTC: {one.reason}")


def _report(tally: Tally, seconds: float, as_json: bool) -> None:
    if as_json:
        print_json({**tally.__dict__, "took": seconds})
    else:
        print(
            f"{tally.new} taken in, {tally.known} were in already, {tally.skipped} passed over, "
            f"{len(tally.failed)} set aside; {tally.seconds / 3600:.2f} hours of sound in {seconds:.0f} s."
        )
    for source, reason in tally.failed:
        note(f"{source}: set aside after three tries: {reason}")
    if tally.failed:
        raise typer.Exit(BadInputError.exit_code)
