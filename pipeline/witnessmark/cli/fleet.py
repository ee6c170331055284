"""``witnessmark fleet``: a letter on many machines, and a table beside it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.options import StorePath, opened
from witnessmark.cli.output import note, progress, write_whole
from witnessmark.cli.papers import Language, checked_language, is_pdf, put
from witnessmark.errors import BadInputError, StoreError

if TYPE_CHECKING:
    from witnessmark.knowledge.plain import PlainWords
    from witnessmark.knowledge.prices import Prices
    from witnessmark.record import Store
    from witnessmark.summarise.convoy import Cost, Standing
    from witnessmark.types import Outcome

EPILOG = """\b
Examples:
  witnessmark fleet --out letter.pdf --csv fleet.csv
  witnessmark fleet KX21WPT Q24LOT --prices prices.yaml --jurisdiction GB
"""


def fleet(
    machines: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="MACHINE", show_default=False, help="Registrations or VINs. By default all in the record."
        ),
    ] = None,
    prices: Annotated[
        Path | None, typer.Option("--prices", metavar="FILE", help="The workshop's prices, YAML or CSV.")
    ] = None,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Write the table of all machines here, too.")
    ] = None,
    out: Annotated[
        Path,
        typer.Option("--out", metavar="FILE", allow_dash=True, help="PDF for a name in .pdf, else HTML."),
    ] = Path("fleet.html"),
    on: Annotated[
        datetime | None,
        typer.Option("--on", formats=["%Y-%m-%d"], help="Day of the letter, today by default."),
    ] = None,
    jurisdiction: Annotated[
        str | None,
        typer.Option("--jurisdiction", metavar="CODE", help="Country whose way of writing figures is used."),
    ] = None,
    language: Language = "en",
    store: StorePath = None,
) -> None:
    """Write a letter on many machines: which may not go out, what is due this month, what costs most.

    Each machine is told of as it was confirmed at its last inspection.
    """
    from witnessmark.knowledge.plain import plain_words
    from witnessmark.knowledge.prices import read_prices
    from witnessmark.summarise.fleet import fleet as made
    from witnessmark.summarise.fleet import table
    from witnessmark.summarise.pdf import Printable, compiled
    from witnessmark.summarise.render import render_paper

    words = plain_words(checked_language(language)).in_country(jurisdiction)
    listed = read_prices(prices) if prices else None
    with opened(store) as record, progress("Machines") as bar:
        found, left_out = collected(record, machines, words, listed, bar)
    page = made(found, words, on.date() if on else date.today(), listed, left_out)
    for text in page.left_out:
        note(text)
    if csv:
        write_whole(table(found, listed), csv)
        note(str(csv))
    if is_pdf(out):
        put(compiled(Printable("fleet.typ", page.model_dump(mode="json"), page.language)), out)
    else:
        put(render_paper("fleet.html", page), out)


def collected(
    record: Store,
    asked: Sequence[str] | None,
    words: PlainWords,
    prices: Prices | None,
    bar: Callable[[float, float], None],
) -> tuple[list[Standing], list[tuple[str, str]]]:
    """Each machine at its last inspection, and those that cannot be told of, with the reason.

    Raises:
        BadInputError: a machine was asked for that the record does not know.
    """
    names = asked or [name for row in record.machines() if (name := row.vin or row.registration)]
    found, left_out = [], []
    for number, name in enumerate(names):
        bar(number, len(names))
        try:
            standing = standing_now(record, name, words, prices)
        except StoreError as error:
            left_out.append((name, _why(words, error)))
            continue
        if standing is None:
            raise BadInputError(
                "the record does not know this machine.", name, "`witnessmark history` shows it."
            )
        found.append(standing)
    return found, left_out


def _why(words: PlainWords, error: StoreError) -> str:
    """Why a machine cannot be told of, for the owner."""
    from witnessmark.record import SeveralMachines

    says = words.paper.fleet
    return says["several"].format(n=len(error.vins)) if isinstance(error, SeveralMachines) else says["unread"]


def standing_now(record: Store, name: str, words: PlainWords, prices: Prices | None) -> Standing | None:
    """A machine at its last inspection; None when the record does not know it.

    Raises:
        StoreError: the registration was confirmed on machines of different VINs.
    """
    from witnessmark import run
    from witnessmark.review import apply
    from witnessmark.summarise.convoy import standing_of

    known = record.history(name)
    if not known.visits:
        return None
    last = known.visits[-1]
    outcome, ahead = apply(record.walkround(last.walkround)), run.outlook(known, last.on)
    assert ahead is not None, "there is a visit"
    return standing_of(
        run.summary(outcome, known, language=words.paper.language),
        name=last.machine.registration or last.machine.vin or name,
        seen=last.on,
        odometer=last.machine.odometer,
        waiting=len(outcome.waiting),
        look=ahead.look,
        due=ahead.due,
        cost=_cost(outcome, words, prices) if prices else None,
    )


def _cost(outcome: Outcome, words: PlainWords, prices: Prices) -> Cost:
    from witnessmark import run
    from witnessmark.summarise.convoy import Cost
    from witnessmark.summarise.estimate import priced, totals

    lines = priced(words, run.judged_again(outcome), prices)
    return Cost(totals(lines, prices)[2], sum(line.net is None for line in lines))
