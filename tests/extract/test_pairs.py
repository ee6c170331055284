"""Two things said in one breath: neither may rub off on the other."""

from __future__ import annotations

from itertools import permutations, product

import pytest

from .reading import lines_of, params

PARTS = {
    "frame": "frame - -",
    "left stanchion": "stanchion - left",
    "rear wheel": "wheel rear -",
}
ADJECTIVES = {"cracked": "crack", "rusty": "corrosion", "worn": "worn", "loose": "loose", "dented": "damage"}
NOUNS = {"cracks": "crack", "rust": "corrosion", "scoring": "scoring", "damage": "damage"}

OF_ADJECTIVES = {
    # state of the first, state of the second
    "The {p} is {x} and {y}.": ("present", "present"),
    "The {p} is slightly {x} and very {y}.": ("present", "present"),
    "The {p} is {x} but not {y}.": ("present", "absent"),
    "The {p} is {x}, not {y}.": ("present", "absent"),
    "The {p} is {x} though not {y}.": ("present", "absent"),
    "The {p} is {x}. It isn't {y}.": ("present", "absent"),
    "{P}: {x}, not {y}.": ("present", "absent"),
    "The {p} isn't {x} but it's {y}.": ("absent", "present"),
    "The {p} is not {x}, it's {y}.": ("absent", "present"),
    "The {p} isn't {x}, just {y}.": ("absent", "present"),
    "The {p} isn't {x}, although it is {y}.": ("absent", "present"),
    "The {p} isn't {x}. It is {y}.": ("absent", "present"),
    "{P} not {x}, only {y}.": ("absent", "present"),
    "The {p} is neither {x} nor {y}.": ("absent", "absent"),
    "The {p} isn't {x} or {y}.": ("absent", "absent"),
    "The {p} isn't {x} and it isn't {y}.": ("absent", "absent"),
    "The {p} might be {x} but it's not {y}.": ("unsure", "absent"),
    "The {p} looks {x} and could be {y}.": ("present", "unsure"),
    "The {p} is {x}, maybe {y}.": ("present", "unsure"),
}
OF_NOUNS = {
    "The {p} has {x} and {y}.": ("present", "present"),
    "The {p} has {x} but no {y}.": ("present", "absent"),
    "There's some {x} on the {p} but no {y}.": ("present", "absent"),
    "{P}, a bit of {x}, no {y}.": ("present", "absent"),
    "Apart from some {x} the {p} has no {y}.": ("present", "absent"),
    "The {p} has no {x} but it has {y}.": ("absent", "present"),
    "No {x} on the {p} but there is some {y}.": ("absent", "present"),
    "No {x} on the {p}. Some {y}.": ("absent", "present"),
    "{P}, no {x}, just {y}.": ("absent", "present"),
    "{P}, no {x}, some {y}.": ("absent", "present"),
    "The {p} shows no {x}, only {y}.": ("absent", "present"),
    "{P}: no {x}, no {y}.": ("absent", "absent"),
    "{P}: no {x} or {y}.": ("absent", "absent"),
    "No {x} or {y} on the {p}.": ("absent", "absent"),
    "No {x} on the {p}, and no {y} either.": ("absent", "absent"),
    "There might be {x} on the {p}, no {y} though.": ("unsure", "absent"),
}
NOT_YET = (
    "The {p} is {x}, maybe {y}.",
    "Apart from some {x} the {p} has no {y}.",
)


@pytest.mark.parametrize("frame", params((*OF_ADJECTIVES, *OF_NOUNS), *NOT_YET))
def test_two_conditions_of_one_part(frame: str) -> None:
    words = ADJECTIVES if frame in OF_ADJECTIVES else NOUNS
    one, two = (OF_ADJECTIVES | OF_NOUNS)[frame]
    wrong = []
    for (name, place), (x, y) in product(PARTS.items(), permutations(words, 2)):
        said = frame.format(p=name, P=name.capitalize(), x=x, y=y)
        right = sorted([f"{place} {words[x]} {one}", f"{place} {words[y]} {two}"])
        if sorted(lines_of(said)) != right:
            wrong.append((said, lines_of(said)))
    assert wrong[:5] == []


BAD = {
    "the front disc is scored": ["brake_disc front - scoring present"],
    "the rear tyre is bald": ["tyre rear - worn present"],
    "the left fork seal is weeping": ["fork_seal - left leak present"],
    "the horn doesn't work": ["horn - - inoperative present"],
    "the chain is dry": ["chain - - dry present"],
    "the swingarm has play": ["swingarm - - play present"],
    "there's a crack in the frame": ["frame - - crack present"],
    "the rear pads are at one point two": ["brake_pads rear - thickness 1.2 mm found"],
}
GOOD = {
    "the battery is fine": ["battery - - sound present"],
    "the front tyre has no cuts": ["tyre front - cut absent"],
    "the right fork seal is dry": ["fork_seal - right sound present"],
    "no leaks from the radiator": ["radiator - - leak absent"],
    "the mirrors are tight": ["mirror - left sound present", "mirror - right sound present"],
    "the rear disc isn't cracked": ["brake_disc rear - crack absent"],
    "the headlight works": ["headlight_dip - - sound present"],
    "I couldn't see the linkage": ["linkage - - unseen"],
}
JOINS = (
    ". ",
    ", ",
    " and ",
    ", and ",
    " but ",
    ", but ",
    "; ",
    " while ",
    "... ",
    " then ",
    " although ",
    " ",
)


@pytest.mark.parametrize("join", params(JOINS, ", ", " "))
def test_two_remarks_about_two_parts(join: str) -> None:
    wrong = []
    for bad, good in product(BAD, GOOD):
        for one, two in ((bad, good), (good, bad)):
            said = f"{one[0].upper()}{one[1:]}{join}{two}."
            found = lines_of(said)
            if sorted(found) != sorted(BAD[bad] + GOOD[good]):
                wrong.append((said, found))
    assert wrong[:5] == []
