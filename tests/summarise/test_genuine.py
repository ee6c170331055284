"""A page carries a code that changes with every word of it."""

from __future__ import annotations

from datetime import date
from hashlib import sha256

import pytest
import rfc8785
from tests.summarise.printed import reader
from tests.summarise.scenario import calm, grave, outcome, past

from witnessmark.knowledge.plain import plain_words
from witnessmark.summarise import render, summarise
from witnessmark.summarise.genuine import Code, code_in, digest_of
from witnessmark.summarise.pdf import render_pdf
from witnessmark.summarise.render import pattern

WORDS = plain_words()
PAGE = summarise(calm(), WORDS, past(), date(2026, 5, 22))


def test_the_code_is_the_hash_of_what_the_page_says() -> None:
    values = PAGE.model_dump(mode="json")
    del values["genuine"]
    assert digest_of(PAGE) == sha256(rfc8785.dumps(values)).hexdigest()
    assert code_in(PAGE.genuine.code) == Code("w-0123456789ab", date(2026, 5, 22), "en", digest_of(PAGE))


@pytest.mark.parametrize("change", [{"verdict": "All is well."}, {"inspected": "22 May"}, {"look": ("x",)}])
def test_any_change_changes_it(change) -> None:
    assert digest_of(PAGE.model_copy(update=change)) != digest_of(PAGE)


def test_another_walkround_has_another() -> None:
    others = [summarise(o, WORDS, made_on=date(2026, 5, 22)) for o in (calm(), grave(), outcome([]))]
    assert len({digest_of(page) for page in [*others, PAGE]}) == 4


def test_a_page_without_a_day_has_a_code_too() -> None:
    page = summarise(calm(), WORDS)
    assert code_in(page.genuine.code).made is None


def test_it_is_found_in_what_a_person_copies() -> None:
    code = PAGE.genuine.code
    assert code_in(f"Dear all,\n{code}\nthank you").digest == digest_of(PAGE)
    halves = f"{code[:100]}\n   {code[100:]}"
    assert code_in(halves).digest == digest_of(PAGE)
    assert code_in("no code here") is None


def test_it_stands_on_the_page_and_in_the_print() -> None:
    assert PAGE.genuine.code in render(PAGE)
    assert reader(render_pdf(PAGE)).metadata["/Keywords"] == PAGE.genuine.code


def test_the_pattern_is_a_qr_code() -> None:
    """ISO/IEC 18004: three finder patterns of 7 modules; version n has 17 + 4 n modules a side."""
    made = pattern(PAGE.genuine.code)
    dark = {tuple(map(int, cell.removesuffix("h1v1h-1z").split())) for cell in made.path.split("M")[1:]}
    side = made.side - 4
    assert (side - 17) % 4 == 0
    for x, y in ((2, 2), (made.side - 9, 2), (2, made.side - 9)):
        ring = {(x + n, y) for n in range(7)} | {(x, y + n) for n in range(7)}
        assert ring <= dark
        assert (x + 1, y + 1) not in dark
        assert (x + 3, y + 3) in dark
