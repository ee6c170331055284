"""``witnessmark estimate``: what the work wanted may cost, and what the owner says to it."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.options import StorePath, Which, opened
from witnessmark.cli.output import note
from witnessmark.cli.papers import Language, PaperOut, checked_language, file_name, is_pdf, put, reviewed
from witnessmark.errors import BadInputError

if TYPE_CHECKING:
    from witnessmark.types import Answer, AnswerKind, Outcome

EPILOG = """\b
Examples:
  witnessmark estimate latest --prices prices.yaml --out estimate.pdf
  witnessmark estimate latest --prices prices.yaml --go 1,3 --later 2 --who "B. Hale"
"""


def estimate(
    walkround: Which,
    prices: Annotated[
        Path, typer.Option("--prices", metavar="FILE", help="The workshop's prices, YAML or CSV.")
    ],
    go: Annotated[
        str, typer.Option("--go", metavar="1,2", help="Lines to which the owner said: go ahead.")
    ] = "",
    later: Annotated[
        str, typer.Option("--later", metavar="1,2", help="Lines to which the owner said: not now.")
    ] = "",
    who: Annotated[str, typer.Option("--who", metavar="NAME", help="Who said so.")] = "",
    out: PaperOut = None,
    language: Language = "en",
    store: StorePath = None,
) -> None:
    """Write the estimate of work as HTML or PDF, from the workshop's own prices.

    The owner's answers are kept in the record's trail and followed up at the next visit.
    """
    from witnessmark import run
    from witnessmark.knowledge.plain import plain_words
    from witnessmark.knowledge.prices import read_prices
    from witnessmark.pages import said_before
    from witnessmark.record import Answers
    from witnessmark.summarise.estimate import estimate as made
    from witnessmark.summarise.pdf import Printable, compiled
    from witnessmark.summarise.render import render_paper

    listed, words = read_prices(prices), plain_words(checked_language(language))
    with opened(store) as record:
        outcome, known = reviewed(record, walkround)
        again = run.judged_again(outcome)
        page = made(again, words, listed)
        given = _answers(outcome, [line.key for line in page.lines], {"go": go, "not_now": later}, who)
        if given:
            Answers(record).add(given)
        said, before = Answers(record).of([outcome.walkround.id]), said_before(record, outcome, known)
    page = made(again, words, listed, date.today(), said, before)
    if outcome.waiting:
        note(f"{len(outcome.waiting)} items still wait for review; the estimate leaves them out.")
    target = out or Path(file_name(outcome, "-estimate"))
    if is_pdf(target):
        put(compiled(Printable("estimate.typ", page.model_dump(mode="json"), page.language)), target)
    else:
        put(render_paper("estimate.html", page), target)


def _answers(outcome: Outcome, keys: list[str], given: dict[AnswerKind, str], who: str) -> list[Answer]:
    """The answers given, in the order of the lines.

    Raises:
        BadInputError: a line is not there, is answered twice, or nobody is named.
    """
    from witnessmark.types import Answer

    found: dict[int, AnswerKind] = {}
    for kind, text in given.items():
        for number in _numbers(text, len(keys)):
            if number in found:
                raise BadInputError(f"line {number} has two answers.", None, "Give each line one.")
            found[number] = kind
    if found and not who.strip():
        raise BadInputError("nobody is named.", None, "Say who answered with `--who`.")
    identity, today = outcome.walkround.id, date.today()
    return [
        Answer(identity, keys[number - 1], kind, who.strip(), today) for number, kind in sorted(found.items())
    ]


def _numbers(text: str, most: int) -> list[int]:
    numbers = []
    for part in filter(None, (part.strip() for part in text.split(","))):
        if not part.isdecimal() or not 1 <= int(part) <= most:
            raise BadInputError(f"there is no line {part!r}.", None, f"The lines are 1 to {most}.")
        numbers.append(int(part))
    return numbers
