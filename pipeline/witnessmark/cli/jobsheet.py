"""``witnessmark jobsheet``: the work wanted, for the bench."""

from __future__ import annotations

from pathlib import Path

from witnessmark.cli.options import StorePath, Which, opened
from witnessmark.cli.output import note
from witnessmark.cli.papers import Language, PaperOut, checked_language, file_name, is_pdf, put, reviewed

EPILOG = """\b
Examples:
  witnessmark jobsheet latest --out bench.pdf
  witnessmark jobsheet 3f2a
"""


def jobsheet(
    walkround: Which, out: PaperOut = None, language: Language = "en", store: StorePath = None
) -> None:
    """Write the job sheet as HTML or PDF: work wanted in walking order, what it needs, what to measure after.

    Figures come from the machine's card. Only what a reviewer confirmed is told.
    """
    from witnessmark import run
    from witnessmark.knowledge.cards import card_for
    from witnessmark.knowledge.plain import plain_words
    from witnessmark.pages import said_before
    from witnessmark.record import Answers
    from witnessmark.summarise.jobsheet import jobsheet as made
    from witnessmark.summarise.pdf import Printable, compiled
    from witnessmark.summarise.render import render_paper

    with opened(store) as record:
        outcome, known = reviewed(record, walkround)
        said, before = Answers(record).of([outcome.walkround.id]), said_before(record, outcome, known)
    card = card_for(outcome.machine.registration) if outcome.machine else None
    page = made(run.judged_again(outcome), plain_words(checked_language(language)), card, said, before)
    if outcome.waiting:
        note(f"{len(outcome.waiting)} items still wait for review; the sheet leaves them out.")
    target = out or Path(file_name(outcome, "-jobs"))
    if is_pdf(target):
        put(compiled(Printable("jobsheet.typ", page.model_dump(mode="json"), page.language)), target)
    else:
        put(render_paper("jobsheet.html", page), target)
