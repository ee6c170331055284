"""Whatever is put into a name, a source or a value changes nothing but itself."""

from __future__ import annotations

from functools import cache
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from tests.summarise.printed import body, margins_are_white, reader, text_of_pdf, words
from tests.summarise.printed import tags as tags_of_pdf
from tests.summarise.reading import page_of, parsed, tags, text_of
from tests.summarise.scenario import before, graded, outcome, read, usual
from tests.summarise.test_pdf import visible

from witnessmark.knowledge.plain import plain_words
from witnessmark.summarise import jobsheet, render_pdf, summarise
from witnessmark.summarise.pdf import printable
from witnessmark.types import Basis, Doubt, Evidence, Grade, Machine, Outcome

HOSTILE = {
    "markup": "</title><script>alert(1)</script><img src=x onerror=alert(1)>&amp;\"'",
    "template": "{{ 7*7 }}{% include 'x' %}{# #}",
    "format": "{who}{0}{parts.__class__}%s",
    "comment": "<!-- --> ]]> <![CDATA[",
    "style": "</style><style>*{display:none}</style>",
    "typst": '#panic("no") $x^2$ *bold* _em_ = Head `raw` @ref <label> \\ // end /* */ #sys.inputs [x] ~ --- https://a.b',
    "typst code": '#{ let d = read("/etc/passwd"); d } #import "@preview/x:1.0.0": *',
    "hebrew": "שלום 123",
    "arabic": "دراجة نارية ٤٢",
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
    made = outcome(
        [
            (read("warning_lamp", "fault_code", text), usual(Grade.ADVISORY)),
            (read("tyre", "tread_depth", 3, "mm", "rear"), row),
        ],
        machine=Machine(registration=text),
        who=text,
    )
    return made.model_copy(update={"walkround": made.walkround.model_copy(update={"speaker": text})})


def html_of(text: str) -> str:
    return page_of(holding(text), before=before(text))


BENIGN = "plain"


@cache
def printed(text: str) -> bytes:
    picture = BytesIO()
    Image.new("RGB", (9, 9)).save(picture, "PNG")
    return render_pdf(
        summarise(holding(text), plain_words(), before=before(text), photos=[(picture.getvalue(), text)])
    )


@pytest.mark.parametrize("name", HOSTILE)
def test_the_page_keeps_its_shape(name: str) -> None:
    hostile, benign = parsed(html_of(HOSTILE[name])), parsed(html_of(BENIGN))
    assert list(tags(hostile)) == list(tags(benign))


@pytest.mark.parametrize("name", HOSTILE)
def test_the_rest_of_the_text_stays(name: str) -> None:
    text = HOSTILE[name]
    heads = [[text_of(node) for node in parsed(html_of(one)).iter("h2")] for one in (text, BENIGN)]
    assert heads[0] == heads[1]


@pytest.mark.parametrize(
    "name", ["markup", "template", "format", "comment", "style", "typst", "hebrew", "arabic", "emoji", "long"]
)
def test_the_text_is_shown_as_it_is(name: str) -> None:
    root = parsed(html_of(HOSTILE[name]))
    assert text_of(next(root.iter("h1"))) == HOSTILE[name]
    assert HOSTILE[name] in text_of(next(root.iter("footer")))


@pytest.mark.parametrize("name", HOSTILE)
def test_the_print_keeps_its_shape_and_the_rest_of_its_words(name: str) -> None:
    hostile, benign = printed(HOSTILE[name]), printed(BENIGN)
    assert [tag for tag in tags_of_pdf(hostile) if tag in SHAPES] == [
        tag for tag in tags_of_pdf(benign) if tag in SHAPES
    ]
    for part in ("Never mentioned", "Measured and read off", "Please keep in mind", "Who checked this"):
        assert (words(part) in body(hostile)) == (words(part) in body(benign))


SHAPES = {"H1", "H2", "H3", "Table", "TR", "TH", "TD", "L", "LI", "Figure", "Link", "Formula", "Code"}
"""What markup could add to. A text of several lines makes several paragraphs of nothing."""


@pytest.mark.parametrize("name", ["markup", "template", "format", "comment", "style", "typst", "typst code"])
def test_the_text_is_printed_as_it_is(name: str) -> None:
    assert words(HOSTILE[name]) in words(text_of_pdf(printed(HOSTILE[name])))


def test_no_letter_of_a_long_text_is_lost_at_the_end_of_a_page() -> None:
    page = summarise(holding(HOSTILE["long"]), plain_words())
    told = sum(text.count("W") for text in visible(page))
    assert told > 50_000
    assert text_of_pdf(render_pdf(page)).count("W") >= told


@pytest.mark.parametrize("name", HOSTILE)
def test_the_print_has_the_text_as_its_title(name: str) -> None:
    title = reader(printed(HOSTILE[name])).metadata.title
    tidy = summarise(holding(HOSTILE[name]), plain_words()).title
    assert words(title) == words(tidy)


def test_letters_that_no_font_has_are_still_read_out_in_the_title() -> None:
    """Such a page keeps its tags and words, though not the promise of PDF/UA that every letter is shown."""
    data = printed(HOSTILE["emoji"])
    assert HOSTILE["emoji"] in reader(data).metadata.title
    assert "H1" in list(tags_of_pdf(data))


@pytest.mark.parametrize("text", ["W" * 10_000, "W" * 23, f"<b>x</b> {'W' * 60} {'x' * 300}"])
def test_no_line_of_a_print_runs_off_the_sheet(text: str) -> None:
    assert margins_are_white(printable(summarise(holding(text), plain_words())))


def test_direction_overrides_and_controls_become_visible_marks() -> None:
    page = page_of(holding(HOSTILE["override"])) + page_of(holding(HOSTILE["controls"]))
    assert not set(page) & set("\u202a\u202b\u202c\u202d\u202e\x00\x07\x1b\ufffe\ufdd0")
    assert "abc\ufffdgnp.exe" in page


def test_a_name_in_another_script_is_fenced_off() -> None:
    page = page_of(holding(HOSTILE["hebrew"]))
    assert "\u2068שלום 123\u2069 checked" in page
    assert "<bdi>שלום 123</bdi>" in page


@pytest.mark.parametrize("name", HOSTILE)
def test_what_was_heard_stands_on_no_paper(name: str) -> None:
    """Evidence, doubts and reasons are for the reviewer; whatever they hold changes nothing here."""
    plain = outcome(
        [(read("tyre", "tread_depth", 0.4, "mm", "rear"), usual(Grade.MAJOR, low=1.0, unit="mm"))]
    )
    heard = {
        "evidence": (Evidence(text=HOSTILE[name], char_start=0, char_end=1),),
        "doubts": (Doubt(kind="x", message=HOSTILE[name]),),
        "why": (HOSTILE[name],),
        "said_first": HOSTILE[name],
    }
    (entry,) = plain.confirmed
    said = entry.model_copy(update={"item": entry.item.model_copy(update=heard)})
    hostile = plain.model_copy(update={"confirmed": (said,)})
    assert summarise(hostile, plain_words()) == summarise(plain, plain_words())
    assert jobsheet(hostile, plain_words()) == jobsheet(plain, plain_words())


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=60))
def test_any_text_at_all(text: str) -> None:
    shape = list(tags(parsed(html_of(text or BENIGN))))
    assert shape == SHAPE


SHAPE = list(tags(parsed(html_of(BENIGN))))


@settings(max_examples=15, deadline=None)
@given(st.text(max_size=40))
def test_any_text_at_all_is_printed(text: str) -> None:
    found = [tag for tag in tags_of_pdf(printed(text or BENIGN)) if tag in SHAPES]
    assert found == [tag for tag in tags_of_pdf(PRINTED) if tag in SHAPES]


PRINTED = printed(BENIGN)
