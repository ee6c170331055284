"""Two people at once never overwrite each other unseen."""

from __future__ import annotations

from fastapi import FastAPI
from playwright.sync_api import expect
from tests.desk.browser.review.hands import TREAD, Review, by_key, look_and
from tests.desk.review.talk import outcome, read_anew


def test_who_is_second_sees_what_the_first_decided_and_keeps_what_was_typed(
    app: FastAPI, id: str, review: Review
) -> None:
    mine = review(quiet=False)
    theirs = review("administrator")
    mine.keyboard.press("c")
    mine.get_by_label("Value").fill("2.8")
    expect(mine.locator(".preview")).to_contain_text("2.8 mm")
    theirs.keyboard.press("r")
    theirs.get_by_role("combobox", name="Why is it wrong?").fill("another tyre")
    theirs.keyboard.press("Enter")
    expect(theirs.locator(".queue")).to_contain_text("Decided (1)")
    mine.keyboard.press("Enter")
    conflict = mine.get_by_role("alert").filter(has_text="decided on this item meanwhile")
    expect(conflict).to_contain_text("Robin Administrator decided on this item meanwhile: rejected.")
    expect(conflict).to_contain_text("“another tyre”")
    expect(mine.get_by_role("button", name="Let theirs stand")).to_be_focused()
    expect(mine.get_by_label("Value")).to_have_value("2.8")
    assert outcome(app, id).confirmed == ()
    mine.get_by_role("button", name="Decide as I wanted").click()
    expect(mine.locator("#says")).to_have_text("Front tyre: pressure 30 psi")
    assert by_key(app, id)[TREAD].item.value == 2.8
    assert [decision.who for decision in outcome(app, id).walkround.decisions] == [
        "Robin Administrator",
        "Robin Reviewer",
    ]


def test_what_others_decide_appears_by_itself(id: str, review: Review) -> None:
    mine, theirs = review(), review("administrator")
    look_and(theirs, "y")
    expect(theirs.locator(".queue")).to_contain_text("Decided (1)")
    expect(mine.locator("#trouble")).to_contain_text("Robin Administrator decided on this one", timeout=8000)
    expect(mine.locator(".queue")).to_contain_text("Waiting (15)")
    expect(mine.get_by_role("button", name="Back to waiting")).to_be_visible()


def test_what_was_read_anew_since_it_was_shown_is_shown_before_it_is_confirmed(
    app: FastAPI, id: str, review: Review
) -> None:
    page = review(quiet=False)
    read_anew(app, id, TREAD, 1.8)
    look_and(page, "y")
    box = page.get_by_role("alert").filter(has_text="reads otherwise by now")
    expect(box).to_contain_text("front tyre: tread depth 1.8 mm")
    assert outcome(app, id).confirmed == ()
    page.get_by_role("button", name="Look at it first").click()
    expect(page.locator("#says")).to_have_text("Front tyre: tread depth 1.8 mm")
    look_and(page, "y")
    expect(page.locator(".queue")).to_contain_text("Decided (1)")
    assert by_key(app, id)[TREAD].item.value == 1.8


def test_two_tabs_of_one_person_decide_once(app: FastAPI, id: str, review: Review) -> None:
    """The same in both is one decision; another in the second is asked about, as somebody else would be."""
    one = review(quiet=False)
    other = one.context.new_page()
    other.goto(one.url)
    expect(other.locator("#says")).to_be_focused()
    look_and(one, "y")
    expect(one.locator(".queue")).to_contain_text("Decided (1)")
    look_and(other, "y")
    expect(other.locator(".queue")).to_contain_text("Decided (1)")
    expect(other.get_by_role("alert").filter(has_text="meanwhile")).to_have_count(0)
    assert len(outcome(app, id).walkround.decisions) == 1
    look_and(one, "y")
    expect(one.locator(".queue")).to_contain_text("Decided (2)")
    other.keyboard.press("r")
    other.get_by_role("combobox", name="Why is it wrong?").fill("not this one")
    other.keyboard.press("Enter")
    expect(other.get_by_role("alert").filter(has_text="decided on this item meanwhile")).to_be_visible()
    assert len(outcome(app, id).walkround.decisions) == 2
