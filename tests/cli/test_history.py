"""``witnessmark history``: what was confirmed of a machine, and when its parts may reach their limits."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from scipy import stats

from helpers_cli import Run
from witnessmark import run as chain
from witnessmark.record import Store
from witnessmark.review import MACHINE, apply
from witnessmark.types import Decision, DecisionKind, Walkround

from .conftest import transcript

HEAD = "Registration Kilo X-ray two one Whiskey Papa Tango. {miles} miles on the clock. "
VISITS = [
    (date(2025, 3, 14), 11240, "Front tyre tread is 4.2 mm. Rear pads are 4.0 mm. The horn works."),
    (
        date(2025, 10, 2),
        14865,
        "Front tyre tread is 3.1 mm. Rear tyre tread is 0.9 mm. I couldn't see the swingarm.",
    ),
    (
        date(2026, 5, 21),
        17930,
        "Front tyre tread is 2.0 mm. Rear tyre tread is 5.2 mm. Chain slack is 30 mm.",
    ),
]
Make = Callable[..., Path]


def confirm(record: Store, walkround: Walkround, without: Iterable[str] = ()) -> None:
    keys = [MACHINE, *(item.key for item in walkround.draft.items)]
    for key in (key for key in keys if key not in without):
        when = datetime(2026, 6, 1, tzinfo=UTC)
        made = Decision(walkround=walkround.id, item=key, kind=DecisionKind.CONFIRM, who="Ada", when=when)
        record.decide(made, apply(record.walkround(walkround.id), [made]))


@pytest.fixture
def make(tmp_path: Path) -> Make:
    """A record with the three visits; what is left out waits for review."""

    def made(without: Iterable[str] = (), country: str | None = "GB") -> Path:
        path = tmp_path / "shop.sqlite"
        with Store.open(path) as record:
            for on, miles, talk in VISITS:
                text = HEAD.format(miles=miles) + talk
                walkround = chain.walkround(transcript(text), on, country, lambda stage, result: None)
                record.ingest(walkround)
                confirm(record, walkround, without)
        return path

    return made


def told(run: Run, path: Path) -> dict:
    return json.loads(run("history", "KX21 WPT", "--store", path, "--json").out)


def of(found: dict, component: str, end: str) -> dict:
    (one,) = [f for f in found["forecasts"] if (f["component"], f["end"]) == (component, end)]
    return one


def test_the_front_tyre_wears_to_its_legal_limit(run: Run, make: Make) -> None:
    """Against SciPy's line through the three readings."""
    line = stats.linregress([miles for _, miles, _ in VISITS], [4.2, 3.1, 2.0])
    one = of(told(run, make()), "tyre", "front")
    assert one["state"] == "estimate"
    assert (one["limit"], one["verdict"]["basis"], one["clock"]) == (1.0, "law", "mi")
    assert [reading["reading"]["value"] for reading in one["readings"]] == [4.2, 3.1, 2.0]
    assert one["at"]["value"] == pytest.approx((1.0 - line.intercept) / line.slope)
    assert one["left"]["low"] < one["left"]["value"] < one["left"]["high"]
    assert one["day"]["low"] < one["day"]["value"] < one["day"]["high"]


@pytest.mark.parametrize(("country", "limit", "grade"), [("GB", 1.0, "dangerous"), ("DE", 1.6, "major")])
def test_the_limit_is_that_of_the_country(
    run: Run, make: Make, country: str, limit: float, grade: str
) -> None:
    one = of(told(run, make(country=country)), "tyre", "front")
    assert (one["limit"], one["verdict"]["grade"]) == (limit, grade)


def test_a_new_tyre_has_no_forecast_yet_and_the_reason_is_told(run: Run, make: Make) -> None:
    one = of(told(run, make()), "tyre", "rear")
    assert (one["state"], one["renewed"]) == ("none", "2026-05-21")
    assert "since the part was replaced" in one["reason"]


def test_a_reading_that_nobody_confirmed_makes_no_forecast(run: Run, make: Make) -> None:
    found = told(run, make(without=["tyre.front.tread_depth"]))
    assert not [f for f in found["forecasts"] if (f["component"], f["end"]) == ("tyre", "front")]


def test_a_distance_that_nobody_confirmed_makes_no_history(run: Run, make: Make) -> None:
    ran = run("history", "KX21 WPT", "--store", make(without=[MACHINE]))
    assert ran.status == 4
    assert "no confirmed walkround" in ran.err


def test_without_a_country_there_is_a_rate_and_the_country_is_asked_for(run: Run, make: Make) -> None:
    one = of(told(run, make(country=None)), "tyre", "front")
    assert one["state"] == "none"
    assert one["rate"]["value"] > 0
    assert "country" in one["reason"]


def test_what_each_visit_came_to_and_what_made_it_so(run: Run, make: Make) -> None:
    visits = told(run, make())["visits"]
    assert [visit["standing"] for visit in visits] == ["clear", "stop", "watch"]
    assert any("0.9 mm" in text and "Rear tyre" in text for text in visits[1]["because"])
    assert "brake_disc" in visits[0]["never_mentioned"]


def test_how_far_each_part_was_looked_at_by_what_was_confirmed(run: Run, make: Make) -> None:
    first, second, _ = (
        {(part["component"], part["end"]): part["touch"] for part in visit["coverage"]}
        for visit in told(run, make(without=["horn.sound"]))["visits"]
    )
    assert first["tyre", "front"] == "seen"
    assert first["tyre", "rear"] == "never mentioned"
    assert first["horn", None] == "never mentioned"  # it was spoken of, and waits for review
    assert second["swingarm", None] == "unseen"


def test_the_tables(run: Run, make: Make) -> None:
    ran = run("history", "KX21 WPT", "--store", make())
    assert ran.status == 0
    wanted = ("not to be ridden", "swingarm (unseen)", "When parts may reach", "4.2 mm, 3.1 mm, 2 mm",
              "mm per 1,000 mi", "Look at the machine again", "no official certificate")  # fmt: skip
    assert [text for text in wanted if text not in ran.out] == []
    assert "safe" not in ran.out.lower()


def test_the_owners_page_says_the_same(run: Run, make: Make) -> None:
    page = run("summarise", "latest", "--store", make(), "--out", "-").out
    assert "When parts may reach their limit" in page
    assert "It has worn 0.33 mm per 1,000 miles, by 3 readings since 14 March 2025." in page
    assert "Look at the machine again by" in page
    assert "no official certificate" in page


def test_the_page_of_an_earlier_visit_knows_nothing_of_later_ones(run: Run, make: Make) -> None:
    path = make()
    with Store.open(path) as record:
        first = record.walkrounds()[-1].id
    page = run("summarise", first, "--store", path, "--out", "-").out
    assert "When parts may reach their limit" not in page
    assert "Look at the machine again by 14 March 2026 or 17,200 miles, whichever comes first." in page
