"""``witnessmark demo``: every stage on recordings that come with the program."""

from __future__ import annotations

import json
import time
from collections import Counter
from collections.abc import Callable
from datetime import date
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import typer

from witnessmark.cli.options import Model
from witnessmark.errors import BadInputError, StoreError

if TYPE_CHECKING:
    from witnessmark.intake import Taken
    from witnessmark.record import Store
    from witnessmark.transcribe import Transcriber
    from witnessmark.types import Assessment, Decision, Draft, Sound, Transcript, Walkround

EPILOG = """\b
Examples:
  witnessmark demo
  witnessmark demo --folder /somewhere/else

Then look at the record it made:
  witnessmark history "KX21 WPT" --store witnessmark-demo/record.sqlite
"""

_HERE = Path(__file__).resolve()


class Scene(NamedTuple):
    """One recording of the demo with what was said in it and what the reviewer thinks of that."""

    recording: Path
    gold: dict[str, Any]
    opinions: list[dict[str, Any]]

    @property
    def on(self) -> date:
        """Day of the inspection: the recording's name."""
        return date.fromisoformat(self.recording.stem)


def demo(
    folder: Annotated[
        Path, typer.Option("--folder", metavar="FOLDER", help="Where the record and the page are put.")
    ] = Path("witnessmark-demo"),
    model: Model = None,
) -> None:
    """Take three recorded walkrounds of an invented machine through every stage.

    A scripted reviewer ("demo reviewer") decides on what was drafted; what it confirms becomes a record of
    the machine and the owner's page. Run twice, it adds nothing twice.
    """
    from witnessmark.cli.output import write_whole
    from witnessmark.cli.papers import file_name
    from witnessmark.pages import page_of
    from witnessmark.record import Store
    from witnessmark.transcribe import Transcriber

    _make(folder)
    with Store.open(folder / "record.sqlite") as record:
        transcriber = Transcriber(model)
        reviewed = [_play(scene, record, transcriber) for scene in scenes()]
        _show(reviewed)
        outcome, html = page_of(record, reviewed[-1].id)
        page = folder / file_name(outcome)
        write_whole(html, page)
    _farewell(folder, page)


def scenes() -> list[Scene]:
    """The demo's recordings, oldest first.

    Raises:
        BadInputError: they are not there.
    """
    folder = demo_folder()
    return [
        Scene(
            sound,
            _read(folder / "gold" / f"{sound.stem}.json"),
            _read(folder / "decisions" / f"{sound.stem}.json"),
        )
        for sound in sorted(folder.glob("*.opus"))
    ]


@cache
def demo_folder() -> Path:
    """Folder of the demo's recordings: beside the package in a wheel, at the top of a checkout."""
    for place in (_HERE.parents[1] / "demo_audio", _HERE.parents[3] / "demo_audio"):
        if any(place.glob("*.opus")):
            return place
    raise BadInputError("the demo's recordings are missing.", str(place), "Install the package again.")


def _read(file: Path) -> Any:
    return json.loads(file.read_text(encoding="utf-8"))


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            f"the folder cannot be made ({error.strerror}).", str(folder), "Name another."
        ) from error


class _Clock:
    """Prints each stage with its result and the seconds since the one before."""

    def __init__(self) -> None:
        self.then = time.perf_counter()

    def __call__(self, stage: str, result: object) -> None:
        now = time.perf_counter()
        print(f"  {stage:<12}{_told(stage, result):<68}{now - self.then:6.1f} s", flush=True)
        self.then = now


def _play(scene: Scene, record: Store, transcriber: Transcriber) -> Walkround:
    """One recording through all stages up to the record."""
    from witnessmark.cli.demo_reviewer import Opinion, decisions
    from witnessmark.cli.output import progress
    from witnessmark.intake import take_in
    from witnessmark.review import apply

    print(f"\n{scene.recording.name}")
    clock = _Clock()
    with progress(scene.recording.name) as bar:
        country = scene.gold["jurisdiction"]
        taken = take_in(scene.recording, record, transcriber, scene.on, country, stage=clock, progress=bar)
    clock("queue", taken)
    opinions = [Opinion.model_validate(row) for row in scene.opinions]
    made = decisions(taken.walkround, scene.gold, opinions)
    for decision in made:
        record.decide(decision, apply(record.walkround(taken.walkround.id), [decision]))
    clock("review", made)
    walkround = record.walkround(taken.walkround.id)
    clock("record", walkround)
    return walkround


_DONE = {"confirm": "confirmed", "correct": "corrected", "reject": "rejected", "add": "added"}


def _told(stage: str, result: Any) -> str:
    return _TELLS[stage](result)


def _sound(sound: Sound) -> str:
    return f"{sound.recording.duration:.0f} seconds of sound"


def _transcript(transcript: Transcript) -> str:
    return f"{len(transcript.words)} words, by the speech model {transcript.model!r}"


def _draft(draft: Draft) -> str:
    doubtful = sum(bool(item.doubts) for item in draft.items)
    return f"{len(draft.findings)} findings and {len(draft.actions)} jobs drafted, {doubtful} doubtful"


def _assessment(assessment: Assessment) -> str:
    from witnessmark.types import Grade

    firsts = {v.item: v.grade for v in reversed(assessment.verdicts)}
    count = Counter(firsts.values())
    grave = [
        f"{count[grade]} {grade.value}"
        for grade in (Grade.DANGEROUS, Grade.MAJOR, Grade.MINOR, Grade.ADVISORY)
    ]
    return f"{', '.join(grave)}; {len(assessment.never_mentioned)} parts never mentioned"


def _queue(taken: Taken) -> str:
    return f"{taken.walkround.id} {'waits for review' if taken.new else 'was taken in before'}"


def _decisions(made: list[Decision]) -> str:
    count = Counter(decision.kind.value for decision in made)
    told = [f"{count[kind]} {done}" for kind, done in _DONE.items() if count[kind]]
    return f"{', '.join(told)} by {made[0].who!r}" if made else "nothing waits"


def _record(walkround: Walkround) -> str:
    from witnessmark.review import apply

    outcome = apply(walkround)
    return f"{len(outcome.confirmed)} items confirmed, {len(outcome.rejected)} kept out"


_TELLS: dict[str, Callable[[Any], str]] = {
    "capture": _sound,
    "transcribe": _transcript,
    "extract": _draft,
    "assess": _assessment,
    "queue": _queue,
    "review": _decisions,
    "record": _record,
}
"""Stage → what to say of its result."""


def _show(reviewed: list[Walkround]) -> None:
    """The latest walkround as drafted, and what the reviewer changed in all of them."""
    from rich.console import Console
    from rich.text import Text

    from witnessmark.cli import tables

    console = Console()
    latest = reviewed[-1]
    console.print(Text(f"\nAs drafted on {latest.on}, before anyone confirmed it\n", "bold"))
    console.print(tables.findings(latest.assessment))
    console.print(Text("\nWhat the demo reviewer did not simply confirm\n", "bold"))
    console.print(tables.changes(reviewed))


def _farewell(folder: Path, page: Path) -> None:
    record = folder / "record.sqlite"
    print(
        f"\nThe owner's page   {page}\n"
        f"The record         {record}\n"
        f"The sound          {record.with_suffix('.sound')}\n\n"
        f'Look further:      witnessmark history "{page.name.partition("-")[0]}" --store {record}\n'
        f"                   witnessmark review --list --store {record}"
    )
