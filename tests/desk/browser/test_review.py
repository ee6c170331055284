"""The review page in a real browser: by keyboard, by touch, with sound, two people at once."""

from __future__ import annotations

import io
import wave
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from fastapi import FastAPI
from playwright.sync_api import Page, Request, expect
from tests.desk.browser.conftest import Visit
from tests.desk.review.talk import TALK, outcome, record_is_sound, take_in
from tests.desk.review.test_clips import whole

from witnessmark.types import SAMPLE_RATE, Finding, Machine, Reading

TREAD = "tyre.front.tread_depth"
A_LOOK = 380
"""Milliseconds: an item takes no confirmation sooner."""
Review = Callable[..., Page]


@pytest.fixture
def id(app: FastAPI) -> str:
    return take_in(app)


@pytest.fixture
def review(visit: Visit, address: str, id: str) -> Iterator[Review]:
    """The walkround's page; afterwards nothing was asked of any other site and no console told of errors."""
    outside: list[str] = []
    errors: list[str] = []

    def asked(request: Request) -> None:
        if not request.url.startswith((address, "blob:", "data:")):
            outside.append(request.url)

    def go(role: str = "reviewer", *, quiet: bool = True, **settings: Any) -> Page:
        page = visit("/review", role, **settings)
        page.on("request", asked)
        if quiet:
            page.on("console", lambda told: told.type == "error" and errors.append(told.text))
        page.goto(f"/review/{id}")
        expect(page.locator("#says")).to_be_focused()
        return page

    yield go
    assert outside == []
    assert errors == []


def hand(page: Page) -> str:
    """The item in hand."""
    return page.locator("#says").inner_text()


def look_and(page: Page, key: str) -> None:
    page.wait_for_timeout(A_LOOK)
    page.keyboard.press(key)


def by_key(app: FastAPI, id: str) -> dict[str, Any]:
    return {entered.decision.item: entered for entered in outcome(app, id).confirmed}


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
    while page.locator("#all-done").count() == 0:
        before = hand(page)
        page.wait_for_timeout(A_LOOK)
        press("y")
        expect(page.locator("#says, #all-done").filter(has_not_text=before)).to_be_focused()
    expect(page.locator("#all-done")).to_have_text("Nothing more waits in this sitting")
    expect(page.locator("#all-done")).to_be_focused()
    page.keyboard.press("Tab")
    press("Enter")  # takes up what was put back
    expect(page.locator("#says")).to_contain_text("as left after work")
    look_and(page, "y")
    expect(page.locator("#all-done")).to_have_text("All is decided")
    assert keys <= 33, "more keystrokes than docs/desk.md says"

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


def test_each_item_is_told_to_who_listens(review: Review) -> None:
    page = review()
    look_and(page, "y")
    expect(page.get_by_role("status").filter(has_text="confirmed: front tyre")).to_have_text(
        "confirmed: front tyre: tread depth 0.8 mm. 15 waiting."
    )
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


LISTEN = """(() => {
  window.played = [];
  const made = new Map(), make = URL.createObjectURL, play = HTMLMediaElement.prototype.play;
  URL.createObjectURL = (blob) => { const url = make(blob); made.set(url, blob); return url; };
  window.bytes = async (url) => Array.from(new Uint8Array(await made.get(url).arrayBuffer()));
  HTMLMediaElement.prototype.play = function () {
    window.played.push({ src: this.src, rate: this.playbackRate, pitch: this.preservesPitch });
    return play.call(this);
  };
})()"""


def listening(page: Page) -> Page:
    """The page, noting what it plays."""
    page.add_init_script(LISTEN)
    page.reload()
    expect(page.locator("#says")).to_be_focused()
    return page


def samples(page: Page, src: str) -> np.ndarray:
    with wave.open(io.BytesIO(bytes(page.evaluate("(url) => window.bytes(url)", src)))) as sound:
        assert sound.getframerate() == SAMPLE_RATE
        return np.frombuffer(sound.readframes(sound.getnframes()), "<i2")


def test_one_key_plays_exactly_that_moment(app: FastAPI, id: str, review: Review) -> None:
    page = listening(review())
    (piece,) = next(one for one in outcome(app, id).walkround.draft.items if one.key == TREAD).evidence
    assert piece.start is not None
    assert piece.end is not None
    for number, (key, rate, wider) in enumerate((("l", 1, 0), ("s", 0.7, 0), ("w", 1, 1), ("l", 1, 0))):
        page.keyboard.press(key)
        page.wait_for_function("(n) => window.played.length === n", arg=number + 1)
        played = page.evaluate("window.played.at(-1)")
        assert (played["rate"], played["pitch"]) == (rate, True)
        first = round((piece.start - wider - 0.4) * SAMPLE_RATE)
        last = round((piece.end + wider + 0.4) * SAMPLE_RATE)
        heard = samples(page, played["src"])
        assert heard.size == last - first
        np.testing.assert_array_equal(heard, whole(app, id)[first:last])


def test_the_next_moment_is_there_before_it_is_asked_for(app: FastAPI, id: str, review: Review) -> None:
    page = listening(review())
    page.wait_for_timeout(500)
    asked: list[str] = []
    page.on("request", lambda request: "clip" in request.url and asked.append(request.url))
    page.keyboard.press("n")
    page.keyboard.press("l")
    page.wait_for_function("() => window.played.length === 1")
    second = next(one for one in outcome(app, id).walkround.draft.items if one.key == "tyre.front.pressure")
    assert all(f"start={second.evidence[0].start:.3f}" not in url for url in asked)


def test_each_is_played_as_it_comes_where_that_is_wanted(review: Review) -> None:
    page = listening(review())
    page.get_by_label("Play each as it comes").check()
    page.locator("#says").focus()
    look_and(page, "y")
    page.wait_for_function("() => window.played.length === 1")


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


def test_a_decision_without_an_answer_stays_until_it_is_sent_again(
    app: FastAPI, id: str, review: Review
) -> None:
    page = review(quiet=False)
    page.context.set_offline(True)
    look_and(page, "y")
    box = page.get_by_role("alert").filter(has_text="Not known to be kept")
    expect(box).to_contain_text("you wanted to confirm “front tyre: tread depth 0.8 mm”")
    look_and(page, "n")
    look_and(page, "y")  # another one meanwhile is refused
    page.wait_for_timeout(200)
    page.context.set_offline(False)
    page.on("dialog", lambda dialog: dialog.accept())
    page.reload()  # even now
    expect(box).to_be_visible()
    page.get_by_role("button", name="Send it again").click()
    expect(page.locator(".queue")).to_contain_text("Decided (1)")
    assert [decision.item for decision in outcome(app, id).walkround.decisions] == [TREAD]


def test_an_answer_that_was_lost_makes_no_second_decision(app: FastAPI, id: str, review: Review) -> None:
    page = review(quiet=False)

    def lose(route: Any) -> None:
        route.fetch()
        route.abort()

    page.route("**/decisions", lose, times=1)
    look_and(page, "y")
    page.get_by_role("button", name="Send it again").click()
    expect(page.locator(".queue")).to_contain_text("Decided (1)")
    assert len(outcome(app, id).walkround.decisions) == 1


def test_who_only_reads_has_nothing_to_decide_with(app: FastAPI, id: str, review: Review) -> None:
    page = review("reader")
    look_and(page, "y")
    page.keyboard.press("c")
    page.wait_for_timeout(300)
    for name in ("Confirm", "Correct", "Reject", "Later", "Add an item"):
        assert page.get_by_role("button", name=name).count() == 0
    assert page.get_by_role("button", name="Listen", exact=False).count() == 1
    assert outcome(app, id).walkround.decisions == ()


SIZES = {"phone": {"width": 360, "height": 740}, "wide": {"width": 1600, "height": 1000}}


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", ["phone", "wide"])
def test_every_state_of_the_page_is_accessible_and_fits(
    app: FastAPI, review: Review, scheme: str, size: str
) -> None:
    page = review(viewport=SIZES[size], color_scheme=scheme)

    def fine() -> None:
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size]["width"]

    fine()
    page.keyboard.press("c")
    expect(page.locator(".preview")).to_contain_text("Nothing would change")
    page.get_by_role("combobox", name="Quantity").click()
    fine()
    page.keyboard.press("Escape")
    page.keyboard.press("Escape")
    page.keyboard.press("r")
    expect(page.get_by_role("listbox", name="Why is it wrong?")).to_be_visible()
    fine()
    page.keyboard.press("Escape")
    page.keyboard.press("Escape")
    page.keyboard.press("a")
    fine()
    page.get_by_role("button", name="Leave it").click()
    look_and(page, "y")
    page.keyboard.press("?")
    fine()
    page.get_by_role("button", name="Close").click()
    page.goto("/review")
    fine()
