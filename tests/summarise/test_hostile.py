"""Whatever is put into a name, a source or a value changes nothing but itself."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.summarise.reading import page_of, parsed, tags, text_of
from tests.summarise.scenario import graded, outcome, read, usual

from witnessmark.types import Basis, Grade, Machine, Outcome

HOSTILE = {
    "markup": "</title><script>alert(1)</script><img src=x onerror=alert(1)>&amp;\"'",
    "template": "{{ 7*7 }}{% include 'x' %}{# #}",
    "format": "{who}{0}{parts.__class__}%s",
    "comment": "<!-- --> ]]> <![CDATA[",
    "style": "</style><style>*{display:none}</style>",
    "hebrew": "שלום 123",
    "override": "abc\u202egnp.exe",
    "isolate": "a\u2066b\u2069\u2069c",
    "emoji": "🏍️👩🏽‍🔧🇬🇧",
    "long": "W" * 10_000,
    "controls": "a\x00b\x07c\x1bd\ufffee\ufdd0f",
    "lines": "a\nb\r\nc\u2028d",
}


def holding(text: str) -> Outcome:
    """An outcome with the text wherever text of strangers can stand."""
    row = graded(Grade.MAJOR, text, Basis.MACHINE_CARD, low=5, unit="mm")
    return outcome(
        [
            (read("warning_lamp", "fault_code", text), usual(Grade.ADVISORY)),
            (read("tyre", "tread_depth", 3, "mm", "rear"), row),
        ],
        machine=Machine(registration=text),
        who=text,
    )


BENIGN = "plain"


@pytest.mark.parametrize("name", HOSTILE)
def test_the_page_keeps_its_shape(name: str) -> None:
    hostile, benign = parsed(page_of(holding(HOSTILE[name]))), parsed(page_of(holding(BENIGN)))
    assert list(tags(hostile)) == list(tags(benign))


@pytest.mark.parametrize("name", HOSTILE)
def test_the_rest_of_the_text_stays(name: str) -> None:
    text = HOSTILE[name]
    heads = [[text_of(node) for node in parsed(page_of(holding(one))).iter("h2")] for one in (text, BENIGN)]
    assert heads[0] == heads[1]


@pytest.mark.parametrize(
    "name", ["markup", "template", "format", "comment", "style", "hebrew", "emoji", "long"]
)
def test_the_text_is_shown_as_it_is(name: str) -> None:
    root = parsed(page_of(holding(HOSTILE[name])))
    assert text_of(next(root.iter("h1"))) == HOSTILE[name]
    assert HOSTILE[name] in text_of(next(root.iter("footer")))


def test_direction_overrides_and_controls_become_visible_marks() -> None:
    page = page_of(holding(HOSTILE["override"])) + page_of(holding(HOSTILE["controls"]))
    assert not set(page) & set("\u202a\u202b\u202c\u202d\u202e\x00\x07\x1b\ufffe\ufdd0")
    assert "abc\ufffdgnp.exe" in page


def test_a_name_in_another_script_is_fenced_off() -> None:
    page = page_of(holding(HOSTILE["hebrew"]))
    assert "\u2068שלום 123\u2069 checked" in page
    assert "<bdi>שלום 123</bdi>" in page


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=60))
def test_any_text_at_all(text: str) -> None:
    shape = list(tags(parsed(page_of(holding(text or BENIGN)))))
    assert shape == SHAPE


SHAPE = list(tags(parsed(page_of(holding(BENIGN)))))
