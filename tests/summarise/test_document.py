"""The page as a document: self-contained, valid, accessible, readable in black and white."""

from __future__ import annotations

import re
import subprocess
import sys
from itertools import pairwise

import pytest
from tests.summarise.reading import classes, page_of, parsed, text_of
from tests.summarise.scenario import calm, grave, outcome, past

PAGES = {
    "calm": page_of(calm(), past=past()),
    "grave": page_of(grave(), past=past()),
    "empty": page_of(outcome([], machine=None)),
}
FETCHING = {"script", "link", "iframe", "object", "embed", "img", "base", "form", "video", "audio"}
SVG = "http://www.w3.org/2000/svg"
EVERY = pytest.mark.parametrize("name", PAGES)


@EVERY
def test_it_parses_without_a_single_error(name: str) -> None:
    assert parsed(PAGES[name]).get("lang") == "en-GB"


@EVERY
def test_it_fetches_and_runs_nothing(name: str) -> None:
    html, root = PAGES[name], parsed(PAGES[name])
    assert "://" not in html
    assert not re.search(r"@import|url\(\s*['\"]?(?!#)|javascript:", html)
    assert not {"script", "link", "iframe", "object", "embed", "img", "base", "form"} & {
        n.tag for n in root.iter()
    }
    for node in root.iter():
        assert not [key for key in node.attrib if str(key).startswith("on") or key == "src"]
        assert node.get("href", "#").startswith("#")
    policy = next(node for node in root.iter("meta") if node.get("http-equiv") == "Content-Security-Policy")
    assert "default-src 'none'" in policy.get("content", "")


@EVERY
def test_links_lead_somewhere_and_ids_are_unique(name: str) -> None:
    root = parsed(PAGES[name])
    ids = [node.get("id") for node in root.iter() if node.get("id")]
    assert len(ids) == len(set(ids))
    linked = [node.get("href", "")[1:] for node in root.iter("a")]
    labels = [node.get("aria-labelledby") for node in root.iter() if node.get("aria-labelledby")]
    assert set(linked + labels) <= set(ids)


@EVERY
def test_headings_go_down_one_step_at_a_time(name: str) -> None:
    levels = [
        int(node.tag[1]) for node in parsed(PAGES[name]).iter() if re.fullmatch("h[1-6]", str(node.tag))
    ]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


@EVERY
def test_landmarks(name: str) -> None:
    root = parsed(PAGES[name])
    assert [len(list(root.iter(tag))) for tag in ("header", "main", "footer")] == [1, 1, 1]
    assert all(node.get("aria-labelledby") or node.get("aria-label") for node in root.iter("section"))
    assert all(node.get("aria-label") for node in root.iter("nav"))


def test_the_table_has_headers_and_drawings_have_words() -> None:
    root = parsed(PAGES["calm"])
    table = next(root.iter("table"))
    assert table.find("caption") is not None
    assert [node.get("scope") for node in table.iter("th")] == ["col"] * 3 + ["row"] * 7
    drawn = [node for node in root.iter(f"{{{SVG}}}svg") if "scale" in classes(node)]
    assert [node.get("role") for node in drawn] == ["img"] * 6
    assert drawn[0].get("aria-label") == "4.8 mm; at least 4.5 mm"


@EVERY
def test_it_never_says_safe(name: str) -> None:
    assert not re.search(r"\bun?safe|\bsafe", text_of(parsed(PAGES[name])), re.IGNORECASE)


def test_grades_are_told_by_words_not_colours() -> None:
    """Every grade stands as a word, and the style has one hue besides greys."""
    root = parsed(PAGES["grave"])
    for article in root.iter("article"):
        if "plain" not in classes(article):
            assert text_of(next(article.iter("h3")).find("span")) in (
                "Dangerous",
                "Major",
                "Minor",
                "Advisory",
            )
    assert hues(PAGES["grave"]) == {"accent"}


def colours(html: str) -> dict[str, tuple[int, int, int]]:
    named = dict(re.findall(r"--(\w+): (#\w+)", html))
    full = {
        key: value if len(value) == 7 else "#" + "".join(2 * c for c in value[1:])
        for key, value in named.items()
    }
    return {key: tuple(int(value[i : i + 2], 16) for i in (1, 3, 5)) for key, value in full.items()}


def hues(html: str) -> set[str]:
    """Names of the colours whose channels differ by more than a tinge."""
    return {name for name, rgb in colours(html).items() if max(rgb) - min(rgb) > 25}


def luminance(rgb: tuple[int, ...]) -> float:
    """Relative luminance, WCAG 2.2 definition."""
    parts = [c / 255 for c in rgb]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: tuple[int, ...], other: tuple[int, ...]) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_text_has_the_enhanced_contrast_of_wcag() -> None:
    """WCAG 2.2, success criterion 1.4.6: 7 to 1; black on white is 21 to 1."""
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    named = colours(PAGES["calm"])
    assert set(named) == {"ink", "soft", "line", "accent", "paper"}
    assert min(contrast(named[text], named["paper"]) for text in ("ink", "soft", "accent")) >= 7


def test_it_prints_on_any_sheet() -> None:
    style = PAGES["calm"]
    assert re.search(r"@page \{ margin: [^}]*\}", style)
    assert "size: A4" not in style
    assert "@media print" in style
    assert "@media (max-width" in style


def test_the_template_engine_is_loaded_only_for_a_page() -> None:
    """The command line imports this stage for its help."""
    code = "import sys, witnessmark.summarise; sys.exit('jinja2' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
