"""Six papers through the real stages say what they said when somebody last read them.

After a change that was meant: ``python -m tests.summarise.golden_pages``, then read the difference.
"""

from __future__ import annotations

import pytest
from tests.summarise.golden_pages import FOLDER, VISITS, content, papers
from tests.summarise.printed import margins_are_white, text_of_pdf, words
from tests.summarise.reading import parsed, text_of

from witnessmark.summarise import Summary, render, render_pdf
from witnessmark.summarise.pdf import printable

NAMES = [*VISITS, "fleet"]
SUMMARIES = list(VISITS)


@pytest.mark.parametrize("name", NAMES)
def test_the_content_is_as_it_was_read(name: str) -> None:
    assert content(papers()[name]) == (FOLDER / f"{name}.txt").read_text("utf-8")


def test_there_is_no_other_file() -> None:
    assert {path.stem for path in FOLDER.glob("*.txt")} == set(NAMES)


def summary(name: str) -> Summary:
    page = papers()[name]
    assert isinstance(page, Summary)
    return page


@pytest.mark.parametrize("name", SUMMARIES)
def test_both_forms_tell_it(name: str) -> None:
    page = summary(name)
    html, printed = words(text_of(parsed(render(page)))), words(text_of_pdf(render_pdf(page)))
    told = [page.verdict, page.coverage, page.genuine.code, *page.look]
    told += [
        text
        for section in page.graded
        for one in section.items
        for text in (one.part, *one.leads, *one.advised)
    ]
    told += [text for one in page.ahead.items for text in one.lines]
    assert [text for text in told if words(text) not in html] == []
    assert [text for text in told if words(text) not in printed] == []
    assert margins_are_white(printable(page))


def test_the_dangerous_one_is_not_to_be_ridden() -> None:
    page = summary("dangerous")
    assert page.verdict.startswith(
        "Do not ride this machine, not even a short way, until this is put right: rear tyre"
    )
    assert "Rear tyre" in [one.part for one in page.graded[0].items if one.grade == "dangerous"]


def test_the_unseen_one_does_not_read_as_a_good_one() -> None:
    page = summary("mostly-unseen")
    assert page.verdict.startswith("Most of this machine was not looked at.")
    assert "Front and rear brake pads" in [one.part for one in page.not_seen.items]


def test_the_electric_one_is_drawn_as_a_scooter() -> None:
    assert summary("electric").drawing.id == "scooter"
    assert summary("calm").drawing.id == "motorcycle"


def test_the_long_history_says_when() -> None:
    """By hand: the rear tyre went from 6.5 to 2.7 mm over 5,000 miles, 0.76 a thousand; 1.7 mm are left."""
    lines = next(one.lines for one in summary("long-history").ahead.items if one.part == "Rear tyre")
    assert lines[0].startswith("At its limit (the legal limit, at least 1 mm) at about 17,200 miles")
    assert "between the visits so far" in lines[2]
    assert abs(15_000 + 1.7 / 0.76 * 1000 - 17_200) < 100
