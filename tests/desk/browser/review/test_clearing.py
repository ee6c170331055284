"""A walkround is cleared by keyboard alone and by touch."""

from __future__ import annotations

from fastapi import FastAPI
from playwright.sync_api import expect
from tests.desk.browser.conftest import Visit
from tests.desk.browser.review.hands import A_LOOK, TREAD, Review, by_key, hand, look_and
from tests.desk.browser.serving import DEMO
from tests.desk.review.talk import outcome, record_is_sound, take_in, take_in_as_printed

from witnessmark.types import Machine, Reading


def test_a_walkround_is_cleared_by_keyboard_alone(app: FastAPI, id: str, review: Review) -> None:
    page = review()
    keys = 0

    def press(key: str) -> None:
        nonlocal keys
        keys += 1
        page.keyboard.press(key)

    assert hand(page) == "Front tyre: tread depth 0.8 mm"
    press("c")  # the gauge said 2.8
    expect(page.get_by_label("Value")).to_be_focused()
    for letter in "2.8":
        press(letter)
    expect(page.locator(".preview")).to_contain_text("0.8 mm → 2.8 mm")
    expect(page.locator(".preview .grade").first).to_have_text("sound")
    press("Enter")
    expect(page.locator("#says")).to_have_text("Front tyre: pressure 30 psi")
    press("r")
    expect(page.get_by_role("combobox", name="Why is it wrong?")).to_be_focused()
    press("ArrowDown")
    press("Enter")  # takes the reason
    press("Enter")  # rejects
    expect(page.locator("#says")).to_contain_text("as left after work")
    press("p")
    expect(page.locator("#says")).not_to_contain_text("as left after work")
    while page.locator("#all-done").count() == 0:
        before = hand(page)
        page.wait_for_timeout(A_LOOK)
        press("y")
        expect(page.locator("#says, #all-done").filter(has_not_text=before)).to_be_focused()
    expect(page.locator("#all-done")).to_have_text("Nothing more waits in this sitting")
    expect(page.locator("#all-done")).to_be_focused()
    press("Tab")
    press("Enter")  # takes up what was put back
    expect(page.locator("#says")).to_contain_text("as left after work")
    page.wait_for_timeout(A_LOOK)
    press("y")
    expect(page.locator("#all-done")).to_have_text("All is decided")
    assert keys == 26, "docs/desk.md counts them"

    now = outcome(app, id)
    assert now.complete
    assert isinstance(now.machine, Machine)
    assert (len(now.confirmed), len(now.rejected)) == (14, 1)
    tread = by_key(app, id)[TREAD]
    assert isinstance(tread.item, Reading)
    assert (tread.item.value, tread.decision.kind, tread.decision.who) == (2.8, "correct", "Robin Reviewer")
    assert now.rejected[0].decision.item == "tyre.front.pressure"
    assert now.rejected[0].decision.why == "misheard"
    assert record_is_sound(app)


def test_twenty_findings_of_a_demo_walkround_take_twenty_five_keys(app: FastAPI, visit: Visit) -> None:
    """The third talk of the demo: one rejected, one put back, one left as it was after a look at its form."""
    talk = (DEMO / "scripts" / "2026-05-21.txt").read_text("utf-8").strip()
    page = visit(f"/review/{take_in(app, talk)}")
    expect(page.locator("#says")).to_be_focused()
    unusual = {4: ("c", "Escape", "y"), 9: ("r", "ArrowDown", "Enter", "Enter"), 14: ("p",)}
    keys, seen = 0, []
    for number in range(20):
        seen.append(hand(page))
        page.wait_for_timeout(A_LOOK)
        for key in unusual.get(number, ("y",)):
            keys += 1
            page.keyboard.press(key)
            if key in ("c", "r"):
                expect(page.locator("#form-head")).to_contain_text(page.locator("#says").inner_text())
        expect(page.locator("#says")).not_to_have_text(seen[-1])
    assert keys == 25, "docs/desk.md counts them"
    assert len(set(seen)) == 20
    now = outcome(app, page.url.rpartition("/")[2])
    kinds = [decision.kind for decision in now.walkround.decisions]
    assert (kinds.count("confirm"), kinds.count("reject"), kinds.count("postpone")) == (18, 1, 1)
    assert now.rejected[0].decision.why == "misheard"


def test_each_item_is_told_to_who_listens(review: Review) -> None:
    page = review()
    look_and(page, "y")
    expect(page.get_by_role("status").filter(has_text="confirmed: front tyre")).to_have_text(
        "Confirmed: front tyre: tread depth 0.8 mm. 15 waiting."
    )
    expect(page.locator("#just")).to_have_text("Confirmed: front tyre: tread depth 0.8 mm. 15 waiting.")
    expect(page.locator("#says")).to_be_focused()
    assert page.locator("#says").get_attribute("aria-describedby") == "told"
    assert "No unit was said" in page.locator("#told").inner_text()


def test_a_key_pressed_too_soon_confirms_nothing(app: FastAPI, id: str, review: Review) -> None:
    page = review()
    page.wait_for_timeout(A_LOOK)
    for _ in range(4):  # somebody leans on the key
        page.keyboard.press("y")
    expect(page.locator("#says")).to_have_text("Front tyre: pressure 30 psi")
    page.wait_for_timeout(200)
    assert len(outcome(app, id).walkround.decisions) == 1
    page.keyboard.press("n")
    page.keyboard.press("y")
    expect(page.locator("#just")).to_have_text("Too soon after the last one: look first.")


def test_several_doubts_are_cleared_one_by_one(app: FastAPI, visit: Visit) -> None:
    id = take_in(app, "Front tyre pressure is thirty, correction, thirty two.")
    page = visit(f"/review/{id}")
    page.get_by_role("button", name="Front tyre").click()
    doubts = page.locator(".doubts li")
    count = doubts.count()
    assert count >= 2
    for cleared in range(count - 1):
        look_and(page, "y")
        expect(page.locator(".doubts li.cleared")).to_have_count(cleared + 1)
        assert outcome(app, id).walkround.decisions == ()
    look_and(page, "y")
    expect(page.locator(".queue")).to_contain_text("Decided (1)")


def test_letters_do_not_act_in_fields_nor_when_switched_off(app: FastAPI, id: str, review: Review) -> None:
    page = review()
    page.keyboard.press("r")
    page.get_by_role("combobox", name="Why is it wrong?").press_sequentially("cry y")
    assert page.get_by_role("combobox", name="Why is it wrong?").input_value() == "cry y"
    page.keyboard.press("Escape")
    page.keyboard.press("Escape")
    page.keyboard.press("?")
    page.get_by_label("Letters act on this page").uncheck()
    page.get_by_role("button", name="Close").click()
    page.locator("#says").focus()
    look_and(page, "y")
    page.keyboard.press("c")
    page.wait_for_timeout(200)
    assert page.locator("form.decide-form").count() == 0
    page.reload()
    look_and(page, "y")
    page.wait_for_timeout(200)
    assert outcome(app, id).walkround.decisions == ()


def test_it_is_cleared_by_touch(app: FastAPI, id: str, review: Review) -> None:
    page = review(viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True)
    bar = page.get_by_role("group", name="Decide")
    for button in bar.get_by_role("button").all():
        box = button.bounding_box()
        assert box
        assert box["height"] >= 44
        assert box["width"] >= 44
        assert box["y"] + box["height"] <= 740, "the bar is always in reach"
    for done in range(1, 13):
        page.wait_for_timeout(A_LOOK)
        bar.get_by_role("button", name="onfirm").tap()
        expect(page.locator("#left")).to_have_text(f"{16 - done} of 16 waiting.")
    bar.get_by_role("button", name="Undo").tap()
    expect(page.locator("#left")).to_have_text("5 of 16 waiting.")
    bar.get_by_role("button", name="Reject").tap()
    page.get_by_role("option", name="said twice").tap()
    page.get_by_role("button", name="Reject it").tap()
    expect(page.locator("#left")).to_have_text("4 of 16 waiting.")
    now = outcome(app, id)
    assert (len(now.confirmed) + (now.machine is not None), len(now.rejected)) == (11, 1)
    assert now.rejected[0].decision.why == "said twice"


def test_undo_brings_the_item_back_and_leaves_both_in_the_trail(
    app: FastAPI, id: str, review: Review
) -> None:
    page = review()
    look_and(page, "y")
    expect(page.locator("#says")).to_have_text("Front tyre: pressure 30 psi")
    page.keyboard.press("u")
    expect(page.locator("#says")).to_have_text("Front tyre: tread depth 0.8 mm")
    expect(page.get_by_role("region", name="Trail of this item").get_by_role("listitem")).to_have_count(2)
    now = outcome(app, id)
    assert now.confirmed == ()
    assert [decision.kind for decision in now.walkround.decisions] == ["confirm", "postpone"]
    page.get_by_text("Trail (2)").click()
    expect(page.get_by_role("region", name="Trail", exact=True)).to_contain_text("Robin Reviewer")


def test_who_only_reads_has_nothing_to_decide_with(app: FastAPI, id: str, review: Review) -> None:
    page = review("reader")
    look_and(page, "y")
    page.keyboard.press("c")
    page.wait_for_timeout(300)
    for name in ("Confirm", "Correct", "Reject", "Later", "Add an item"):
        assert page.get_by_role("button", name=name).count() == 0
    assert page.get_by_role("button", name="Listen", exact=False).count() == 1
    assert outcome(app, id).walkround.decisions == ()


def test_the_words_are_marked_by_how_sure_they_were_and_what_was_first_printed(
    app: FastAPI, visit: Visit
) -> None:
    page = visit(f"/review/{take_in_as_printed(app)}")
    page.get_by_role("button", name="Rear brake pads").click()
    heard = page.get_by_role("region", name="Heard")
    expect(heard).to_contain_text("First printed: “beds”, now “pads”.")
    expect(heard).to_contain_text("sure of “worn.” to 31 of 100")
    expect(heard).to_contain_text("has no sound. Decide by its words.")
    assert page.locator("#words .unsure").all_inner_texts() == ["pads", "worn."]
    page.keyboard.press("l")
    expect(page.get_by_role("status").filter(has_text="no sound")).to_be_attached()
