"""Helpers that read a rendered page as a browser would, and measure plain prose."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any
from xml.etree.ElementTree import Element

import html5lib

from witnessmark.knowledge.plain import PlainWords, plain_words
from witnessmark.summarise import render, summarise
from witnessmark.types import Outcome


def page_of(outcome: Outcome, **more: Any) -> str:
    return render(summarise(outcome, plain_words(), **more))


def parsed(html: str) -> Element:
    """The document; any parse error fails."""
    parser = html5lib.HTMLParser(
        tree=html5lib.getTreeBuilder("etree"), strict=True, namespaceHTMLElements=False
    )
    return parser.parse(html)


def text_of(node: Element) -> str:
    return " ".join("".join(node.itertext()).split())


def classes(node: Element) -> list[str]:
    return node.get("class", "").split()


def by_id(root: Element, name: str) -> Element | None:
    return next((node for node in root.iter() if node.get("id") == name), None)


def entries(root: Element, section: str) -> dict[str, dict[str, list[str]]]:
    """Heading of each entry of a section → what stands under Found, Advised and so on."""
    found: dict[str, dict[str, list[str]]] = {}
    part = by_id(root, section)
    for article in part.iter("article") if part is not None else ():
        facts = {}
        for div in article.iter("div"):
            facts[text_of(div.find("dt"))] = [text_of(dd) for dd in div.findall("dd")]
        found[text_of(next(article.iter("h3")))] = facts
    return found


def listed(root: Element, section: str) -> list[str]:
    part = by_id(root, section)
    return [text_of(item) for item in part.iter("li")] if part is not None else []


def tags(root: Element) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Every element with its attributes' names, in document order."""
    for node in root.iter():
        yield str(node.tag), tuple(sorted(map(str, node.attrib)))


def prose(words: PlainWords) -> tuple[str, ...]:
    """Every sentence or phrase of the plain words that an owner may read."""
    texts = [part.purpose for part in words.components.values()]
    for condition in words.conditions.values():
        texts += [*condition.found.values(), *condition.none.values(), *condition.leads.values()]
    for quantity in words.quantities.values():
        texts += [quantity.name, *quantity.low.values(), *quantity.high.values(), *quantity.other.values()]
    for action in words.actions.values():
        texts += [*action.wanted.values(), *action.done.values()]
    texts += [grade.explains for grade in words.grades.values()]
    texts += [text for section in words.sections.values() for text in section]
    texts += [text for basis in words.bases.values() for text in basis]
    texts += [*words.sureness.values(), *words.verdicts.values(), *words.phrases.values()]
    return (*texts, *(caution.says for caution in words.cautions), words.law_of, words.law_unknown)


def syllables(word: str) -> int:
    """Groups of vowels, less a silent e: the usual rule of thumb, common practice, no source."""
    word = re.sub("[^a-z]", "", word.lower())
    groups = len(re.findall("[aeiouy]+", word))
    silent = word.endswith("e") and not word.endswith(("le", "ee")) and groups > 1
    return max(1, groups - silent)


def grade_level(texts: tuple[str, ...]) -> float:
    """Years of schooling: Kincaid, Fishburne, Rogers and Chissom 1975, 0.39 w/s + 11.8 syl/w - 15.59."""
    sentences = [part for text in texts for part in re.split(r"(?<=[.!?])\s+", text) if part]
    spoken = [word for part in sentences for word in re.findall(r"[A-Za-z’'-]+", part)]
    beats = sum(map(syllables, spoken))
    return 0.39 * len(spoken) / len(sentences) + 11.8 * beats / len(spoken) - 15.59
