"""Corrections and additions, chosen with the words of the trade."""

from __future__ import annotations

import pytest
from fastapi import FastAPI
from playwright.sync_api import expect
from tests.desk.browser.review.hands import Review, by_key
from tests.desk.review.talk import TALK, outcome

from witnessmark.types import Finding, Reading


def test_a_correction_is_chosen_by_typing_what_people_say(app: FastAPI, id: str, review: Review) -> None:
    page = review()
    page.get_by_role("button", name="Rear brake pads: worn").click()
    page.keyboard.press("c")
    condition = page.get_by_role("combobox", name="Condition")
    expect(condition).to_be_focused()
    condition.press_sequentially("contamin")
    expect(page.get_by_role("option").first).to_be_visible()
    page.keyboard.press("Enter")
    expect(condition).to_have_value("dirty or contaminated")
    part = page.get_by_role("combobox", name="Part")
    part.fill("brake sh")
    expect(part).to_have_attribute("aria-expanded", "true")
    assert part.get_attribute("aria-activedescendant")
    page.keyboard.press("Tab")
    expect(part).to_have_value("brake shoes")
    expect(page.locator(".preview")).to_contain_text("part brake pads → brake shoes")
    page.get_by_role("button", name="Keep the correction").click()
    expect(page.locator(".queue")).to_contain_text("Decided (1)")
    kept = by_key(app, id)["brake_pads.rear.worn"]
    assert isinstance(kept.item, Finding)
    assert (kept.item.component, kept.item.end, kept.item.condition) == (
        "brake_shoes",
        "rear",
        "contamination",
    )
    assert kept.item.evidence[0].text == "The rear brake pads are worn"


def test_the_identity_is_corrected_and_the_page_takes_its_name(app: FastAPI, id: str, review: Review) -> None:
    page = review()
    page.get_by_role("button", name="Machine: registration").click()
    page.keyboard.press("c")
    page.get_by_role("textbox", name="Registration").fill("AB12 CDE")
    page.get_by_label("Odometer", exact=True).fill("11,000")
    expect(page.locator(".preview")).to_contain_text("no comma")
    page.get_by_label("Odometer", exact=True).fill("11000")
    expect(page.locator(".preview")).to_contain_text("It also changes how others are judged")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("AB12 CDE")
    machine = outcome(app, id).machine
    assert machine
    assert machine.registration == "AB12 CDE"


def test_an_item_is_added_from_words_selected_in_the_talk(app: FastAPI, id: str, review: Review) -> None:
    page = review(viewport={"width": 1600, "height": 1000})
    words = page.locator("#words")
    first, last = words.get_by_text("Dipped", exact=True), words.get_by_text("works.", exact=True).nth(1)
    begin, end = first.bounding_box(), last.bounding_box()
    assert begin
    assert end
    page.mouse.move(begin["x"] + 1, begin["y"] + begin["height"] / 2)
    page.mouse.down()
    page.mouse.move(end["x"] + end["width"] - 1, end["y"] + end["height"] / 2, steps=4)
    page.mouse.up()
    expect(page.get_by_role("button", name="Add from these words")).to_be_visible()
    page.keyboard.press("a")
    expect(page.get_by_label("Words it rests on")).to_have_value("Dipped beam works")
    page.get_by_role("combobox", name="Condition").fill("sound")
    page.get_by_role("combobox", name="Part").fill("tail light")
    page.keyboard.press("Tab")
    expect(page.locator(".preview")).to_contain_text("Will read:")
    page.get_by_role("button", name="Add it").click()
    expect(page.locator(".queue")).to_contain_text("Decided (1)")
    (added,) = outcome(app, id).confirmed
    assert added.decision.kind == "add"
    assert added.item.component == "tail_light"
    (heard,) = added.item.evidence
    at = TALK.index("Dipped beam works")
    assert (heard.text, heard.char_start) == ("Dipped beam works", at)
    assert heard.start is not None
    assert heard.end is not None
    assert heard.end - heard.start == pytest.approx(1.2)


def test_words_for_an_addition_are_found_by_typing_them(app: FastAPI, id: str, review: Review) -> None:
    page = review()
    page.keyboard.press("a")
    page.get_by_label("Words it rests on").fill("the HORN works")
    expect(page.locator("#source-told")).to_contain_text("Found in the talk")
    expect(page.locator("#words .marked")).to_have_text(["The", "horn", "works."])
    page.get_by_label("measurement").check()
    page.get_by_label("Value").fill("12.6")
    page.get_by_role("combobox", name="Quantity").fill("voltage")
    page.get_by_role("combobox", name="Part").fill("battery")
    page.get_by_role("button", name="Add it").click()
    expect(page.locator(".preview")).to_contain_text("battery: voltage 12.6 V")
    page.get_by_role("button", name="Add it").click()
    expect(page.locator(".queue")).to_contain_text("Decided (1)")
    (added,) = outcome(app, id).confirmed
    assert isinstance(added.item, Reading)
    assert (added.item.value, added.item.unit, added.item.evidence[0].text) == (12.6, "V", "The horn works")


def test_a_correction_is_not_sent_before_its_judgement_is_on_the_screen(
    app: FastAPI, id: str, review: Review
) -> None:
    page = review()
    page.route("**/judged", lambda route: (page.wait_for_timeout(600), route.continue_()))
    page.keyboard.press("c")
    page.get_by_label("Value").fill("1.1")
    page.keyboard.press("Enter")
    assert outcome(app, id).walkround.decisions == ()
    expect(page.locator(".preview")).to_contain_text("1.1 mm")
    expect(page.get_by_role("button", name="Keep the correction")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator(".queue")).to_contain_text("Decided (1)")
