"""Seven walkrounds through the real stages, and the papers that come of them.

``python -m tests.summarise.golden_pages`` writes their content into ``tests/summarise/golden`` after a change
that was meant; ``tests.summarise.pictures`` draws what they look like.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from tests.summarise.reviewed import take_in

from witnessmark import pages, run
from witnessmark.cli.fleet import collected
from witnessmark.knowledge import cards
from witnessmark.knowledge.plain import plain_words
from witnessmark.record import Answers, Store
from witnessmark.summarise import Summary
from witnessmark.summarise.convoy import FleetLetter
from witnessmark.summarise.fleet import fleet
from witnessmark.types import Answer, AnswerKind, Frozen, Outcome

FOLDER = Path(__file__).with_name("golden")
MADE = date(2026, 5, 22)


class Visit(NamedTuple):
    on: date
    talk: str
    jurisdiction: str = "GB"
    speaker: str = ""


LARKSPUR = "Registration Kilo X-ray two one Whiskey Papa Tango."
CALM = Visit(
    date(2026, 5, 21),
    f"{LARKSPUR} Seventeen thousand nine hundred and thirty miles on the clock. "
    "Front tyre tread is 4.2 millimetres. The rear tyre tread is 5 millimetres. No cuts in the front tyre. "
    "The rear tyre pressure is 2.5 bar. The front brake pads are 4 millimetres. "
    "The rear brake pads are 3.5 millimetres. The front brake disc is 4.9 millimetres. "
    "The front brake fluid is fine. The steering head bearings are fine. The chain slack is 30 millimetres. "
    "The left fork seal is dry. The right fork seal is dry. The headlight dipped beam works. "
    "The brake light works. The horn works. Battery voltage is 12.7 volts. "
    "The rear brake disc is 4.5 millimetres. The rear brake fluid is fine. The brake hoses are fine. "
    "The brake calipers are fine. The front brake lever is fine. The rear brake pedal is fine. "
    "The handlebar is fine. The fork yokes are fine. The wheel bearings are fine. The axles are fine. "
    "The wheels are fine. The sprockets are fine. The swingarm is fine. The throttle is fine. "
    "The fuel system is fine. The frame is fine. The rear shock is fine. The main beam works. "
    "The tail light works. The indicators work. The side stand is fine. The footrests are fine. "
    "The clutch is fine. The engine oil is fine. The coolant is fine. The exhaust is fine. "
    "The left mirror is loose. I tightened the left mirror. The seat is damaged.",
    speaker="T. Arden",
)
DANGEROUS = Visit(
    date(2026, 5, 21),
    "Registration Quebec two four Lima Oscar Tango. Thirty one thousand two hundred miles on the clock. "
    "The rear tyre tread is 0.4 millimetres, so the rear tyre needs replacing. "
    "The front brake hose is leaking. "
    "The front brake pads are 0.6 millimetres, so the front brake pads need replacing. "
    "There is play in the front wheel bearing. The left fork seal is leaking, so it needs replacing. "
    "The chain slack is 55 millimetres. The rear brake light does not work. "
    "The battery voltage is 12.1 volts. The horn works. The front tyre tread is 3 millimetres.",
)
UNSEEN = Visit(
    date(2026, 5, 21),
    "Registration Mike four two Sierra Tango Romeo. Eight thousand miles on the clock. "
    "I couldn't see the rear brake pads. I couldn't see the front brake pads. I couldn't see the air filter. "
    "I couldn't see the swingarm. The headlight dipped beam works. The front tyre tread is 2.5 millimetres.",
)
ELECTRIC = Visit(
    date(2026, 5, 21),
    "Registration Echo Victor seven two Golf Lima Oscar. Nine thousand four hundred kilometres on the clock. "
    "The front tyre tread is 1.2 millimetres, so the front tyre needs replacing. "
    "The rear tyre tread is 3 millimetres. The rear tyre pressure is 28 psi. The drive belt is worn. "
    "The rear brake pads are 3 millimetres. The battery is fine. The horn does not work.",
    "DE",
)
HISTORY = tuple(
    Visit(
        on,
        f"Registration Romeo one nine Delta Uniform November. {miles} miles on the clock. "
        f"The front tyre tread is {front} millimetres. The rear tyre tread is {rear} millimetres. "
        f"The front brake pads are {pads} millimetres. The chain slack is 30 millimetres. The horn works.",
    )
    for on, miles, front, rear, pads in (
        (date(2025, 3, 14), "Ten thousand", 6.0, 6.5, 5.0),
        (date(2025, 10, 2), "Twelve thousand", 5.2, 5.0, 4.2),
        (date(2026, 2, 3), "Thirteen thousand five hundred", 4.6, 3.8, 3.6),
        (date(2026, 5, 21), "Fifteen thousand", 4.0, 2.7, 3.0),
    )
)
STILL_OPEN = (
    Visit(
        date(2026, 1, 12),
        "Registration Tango one one November Oscar Whiskey. Twenty thousand miles on the clock. "
        "The front brake hose is leaking, so the front brake hose needs replacing. "
        "The left fork seal is leaking, so it needs replacing. The horn does not work. "
        "The front tyre tread is 3 millimetres.",
    ),
    Visit(
        date(2026, 5, 21),
        "Registration Tango one one November Oscar Whiskey. Twenty one thousand miles on the clock. "
        "The horn works. The front tyre tread is 2.6 millimetres. The rear tyre tread is 4 millimetres. "
        "The chain slack is 30 millimetres. The headlight dipped beam works.",
        speaker="T. Arden",
    ),
)
SAID: tuple[tuple[str, AnswerKind], ...] = (
    ("brake_hose:front/replace", "go"),
    ("fork_seal:left/replace", "not_now"),
)
"""What the owner said after the first of these two visits."""
VISITS = {
    "calm": (CALM,),
    "dangerous": (DANGEROUS,),
    "mostly-unseen": (UNSEEN,),
    "electric": (ELECTRIC,),
    "long-history": HISTORY,
    "still-open": STILL_OPEN,
}
CARD = """
id: own-glow
name: Glow
registrations: [EV72 GLO]
machine_class: motorcycle
front_brake: disc
rear_brake: disc
final_drive: belt
cooling: air
engine: electric
gears: automatic
shocks: two
wheels: cast
abs: fitted
chemistry: lithium
rims: alloy
fluid: DOT 4
source: handbook of the Glow, an invented machine
sureness: read
figures:
  - {id: own-glow.rear, component: tyre, end: rear, quantity: pressure, kind: target, target: 2.2, unit: bar}
  - {id: own-glow.pads, component: brake_pads, quantity: thickness, kind: low, low: 1.5, unit: mm}
"""
"""An electric scooter's card, as a workshop would keep it."""


class Made(NamedTuple):
    papers: dict[str, Summary | FleetLetter]
    outcomes: dict[str, Outcome]
    """What the last walkround of each came to, judged as the reviewer has it."""


def papers() -> dict[str, Summary | FleetLetter]:
    """Name → the paper as values."""
    return made().papers


@cache
def made() -> Made:
    """All papers, and what they are of."""
    with TemporaryDirectory() as folder, own_card(Path(folder)):
        found = Made({}, {})
        with Store.open(Path(folder) / "record.sqlite") as record:
            for name, visits in VISITS.items():
                ids = [
                    take_in(record, one.talk, one.on, one.jurisdiction, speaker=one.speaker) for one in visits
                ]
                if name == "still-open":
                    said = [Answer(ids[0], line, kind, "B. Hale", visits[0].on) for line, kind in SAID]
                    Answers(record).add(said)
                outcome, found.papers[name] = pages.summary_of(record, ids[-1], MADE)
                found.outcomes[name] = run.judged_again(outcome)
            words = plain_words().in_country("GB")
            standings, left_out = collected(record, None, words, None, lambda done, whole: None)
            found.papers["fleet"] = fleet(standings, words, MADE, None, left_out)
        return found


class own_card:  # noqa: N801 - reads as a function
    """The workshop's own cards lie in this folder, for as long as the block."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def __enter__(self) -> None:
        (self.folder / "glow.yaml").write_text(CARD, "utf-8")
        self.before, cards.own_folder = cards.own_folder, lambda: self.folder

    def __exit__(self, *error: object) -> None:
        cards.own_folder = self.before


def content(page: Frozen) -> str:
    """The texts of a page, one a line, in its own order; what changes with every change is left out."""
    values = page.model_dump(mode="json", exclude={"genuine", "labels", "language"})
    return "".join(f"{line}\n" for line in _lines(values, ""))


def _lines(value: object, path: str) -> Iterator[str]:
    if isinstance(value, dict):
        for key, one in value.items():
            yield from _lines(one, f"{path}.{key}" if path else key)
    elif isinstance(value, list):
        for one in value:
            yield from _lines(one, path)
    elif value not in ("", None, False):
        yield f"{path}: {value}"


if __name__ == "__main__":
    for name, page in papers().items():
        (FOLDER / f"{name}.txt").write_text(content(page), "utf-8")
