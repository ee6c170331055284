"""``witnessmark assess``: each grade in two lines."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from helpers_cli import Run
from witnessmark.types import Assessment

TALK = (
    "Registration Kilo X-ray two one Whiskey Papa Tango. Front tyre tread is 0.8 millimetres. "
    "The rear pads are 1.2 millimetres. The front pads are 4 millimetres. The left fork seal is leaking. "
    "I couldn't see the air filter."
)


@pytest.fixture
def talk(tmp_path: Path) -> Path:
    path = tmp_path / "talk.txt"
    path.write_text(TALK, "utf-8")
    return path


def test_each_grade_is_explained_in_two_lines(run: Run, talk: Path) -> None:
    ran = run("assess", str(talk), "--jurisdiction", "GB", "--on", "2026-05-21")
    lines = ran.out.splitlines()
    assert ran.status == 0
    at = next(number for number, line in enumerate(lines) if line.startswith("dangerous"))
    assert "Front tyre tread depth: 0.8 mm, 0.2 mm below the legal minimum of 1.0 mm" in lines[at]
    assert lines[at + 1].strip().startswith("by law: Road Vehicles (Construction and Use) Regulations 1986")
    assert lines[at + 1].endswith("(read second-hand) [gb.tyre.tread]")


def test_gravest_first_then_the_machine_and_what_was_never_mentioned(run: Run, talk: Path) -> None:
    out = run("assess", str(talk), "--jurisdiction", "GB", "--on", "2026-05-21").out
    places = [
        out.index(word)
        for word in ("\ndangerous", "\nmajor", "\nnot seen", "\nsound", "Registration KX21WPT")
    ]
    assert places == sorted(places)
    assert "Never mentioned, which is not the same as in order: " in out
    assert "As found: not to be ridden, because of front tyre" in out
    assert "no official certificate" in out


def test_two_limits_that_disagree_are_both_told(run: Run, talk: Path) -> None:
    """1.2 mm is under the 1.5 mm of the card (larkspur-400) and over the legal 1 mm."""
    lines = run("assess", str(talk), "--jurisdiction", "GB", "--card", "larkspur-400").out.splitlines()
    at = next(number for number, line in enumerate(lines) if "Rear brake pads thickness: 1.2 mm" in line)
    assert "below the maker's minimum of 1.5 mm" in lines[at]
    assert lines[at + 2].startswith("advisory  also: ")
    assert "the legal minimum of 1.0 mm" in lines[at + 2]


def test_drafts_of_extract_are_judged_alike(run: Run, talk: Path, tmp_path: Path) -> None:
    drafts = tmp_path / "drafts.jsonl"
    run("extract", str(talk), "--jurisdiction", "GB", "--out", str(drafts))
    (one, other) = (
        Assessment.model_validate(json.loads(run("assess", str(file), "--jurisdiction", "GB", "--json").out))
        for file in (talk, drafts)
    )
    assert one.verdicts == other.verdicts
    assert one.verdicts


def test_without_a_country_nothing_passes(run: Run, talk: Path) -> None:
    ran = run("assess", str(talk), "--json")
    judged = Assessment.model_validate(json.loads(ran.out))
    (depth,) = (f.key for f in judged.draft.findings if getattr(f, "quantity", "") == "tread_depth")
    assert judged.verdicts_of(depth)[0].grade == "ungraded"
    assert "No country is given" in ran.err


@pytest.mark.parametrize("text", ['{"findings": [{"component": "tyre"}], "id": "x", "text": ""}\n', "", "{"])
def test_what_is_no_draft_is_refused(run: Run, tmp_path: Path, text: str) -> None:
    file = tmp_path / "drafts.jsonl"
    file.write_text(text, "utf-8")
    ran = run("assess", str(file))
    assert (ran.status, ran.out) == (2 if text else 0, "")
    assert not text or str(file) in ran.err


def test_an_unknown_card_is_refused(run: Run, talk: Path) -> None:
    ran = run("assess", str(talk), "--card", "nobody")
    assert (ran.status, ran.out) == (2, "")
    assert "nobody" in ran.err
