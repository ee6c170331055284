"""``witnessmark review``: a person decides on every drafted item."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.options import StorePath, opened
from witnessmark.cli.output import note, print_json
from witnessmark.intake import sound_file

if TYPE_CHECKING:
    from collections.abc import Callable

    from witnessmark.record import Store
    from witnessmark.types import Decision, Evidence, Outcome, Walkround

EPILOG = """\b
Examples:
  witnessmark review                    the walkround that has waited longest
  witnessmark review 3f2a --who "A. Smith"
  witnessmark review --list             what waits

At each item: y confirm, c correct, r reject, p postpone, l listen, a add, u undo, q quit.
Every decision is kept at once, with your name and the time.
"""


def review(
    walkround: Annotated[
        str | None,
        typer.Argument(
            metavar="WALKROUND",
            show_default=False,
            help="Its id, the beginning of its id, or `latest`. Without it, the one that has waited longest.",
        ),
    ] = None,
    who: Annotated[str | None, typer.Option("--who", metavar="NAME", help="Who is reviewing.")] = None,
    listing: Annotated[bool, typer.Option("--list", help="List the walkrounds and end.")] = False,
    store: StorePath = None,
    as_json: Annotated[bool, typer.Option("--json", help="List the walkrounds as JSON and end.")] = False,
) -> None:
    """Confirm, correct or reject what was drafted, one item at a time, with the words it came from.

    The doubtful and the dangerous come first. Nothing is recorded that was not confirmed.
    """
    with opened(store) as record:
        if listing or as_json:
            _list(record, as_json)
            return
        which = walkround or _longest_waiting(record)
        if which is None:
            note("Nothing waits for review.")
            return
        waiting = record.walkround(which)
        id = waiting.id
        _tell_gaps(waiting)
        outcome = _sitting(record, id, who or typer.prompt("Who is reviewing"))
        if outcome.complete:
            note(f"All decided. The owner's page: witnessmark summarise {id}")


def _tell_gaps(walkround: Walkround) -> None:
    """Say at the start what nobody spoke of, so that who did look at it can add it."""
    from witnessmark.review.wording import gaps

    if never := gaps(walkround.assessment.never_mentioned):
        note(f"Never mentioned, which is not the same as in order, gravest first: {', '.join(never)}.")


def _list(record: Store, as_json: bool) -> None:
    rows = record.walkrounds()
    if as_json:
        print_json([{**row._asdict(), "on": row.on.isoformat()} for row in rows])
        return
    from rich.console import Console

    from witnessmark.cli.tables import walkrounds

    Console().print(walkrounds(rows) if rows else "The record holds no walkrounds.")


def _longest_waiting(record: Store) -> str | None:
    return next((row.id for row in reversed(record.walkrounds()) if row.waiting), None)


def _sitting(record: Store, id: str, who: str) -> Outcome:
    from rich.console import Console

    from witnessmark.review import apply
    from witnessmark.review.dialogue import review_in_terminal

    def decide(decision: Decision) -> None:
        record.decide(decision, apply(record.walkround(id), [decision]))

    play = player(sound_file(record.path, id))
    return review_in_terminal(record.walkround(id), who, input, Console().print, decide, play)


_AROUND = 0.4
"""Seconds played before and after the words."""


def player(file: Path) -> Callable[[Evidence], None] | None:
    """What plays a stretch of a walkround's sound; None without the sound or something to play it with."""
    try:
        import sounddevice
    except (ImportError, OSError):  # the package, or the PortAudio library that it needs
        return None
    if not file.is_file():
        return None

    def play(piece: Evidence) -> None:
        from witnessmark.capture import capture
        from witnessmark.errors import WitnessmarkError
        from witnessmark.types import SAMPLE_RATE

        samples = capture(file).samples
        start, end = max(0.0, (piece.start or 0.0) - _AROUND), (piece.end or piece.start or 0.0) + _AROUND
        try:
            sounddevice.play(
                samples[int(start * SAMPLE_RATE) : int(end * SAMPLE_RATE)], SAMPLE_RATE, blocking=True
            )
        except sounddevice.PortAudioError as error:
            raise WitnessmarkError(
                f"no sound comes out ({error})", str(file), "Check the loudspeaker, or open the file."
            ) from error

    return play
