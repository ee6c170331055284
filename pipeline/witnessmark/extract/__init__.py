"""From talk to draft findings: one annotated spaCy Doc passes through a row of small components."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any

from witnessmark.extract.clauses import find_clauses
from witnessmark.extract.codes import after_codes, find_codes
from witnessmark.extract.draft import draft_of
from witnessmark.extract.identity import read_machine
from witnessmark.extract.lookup import Lookup
from witnessmark.extract.measures import find_measures
from witnessmark.extract.merge import merge
from witnessmark.extract.misheard import Swap, from_sound, from_table
from witnessmark.extract.numbers import find_numbers
from witnessmark.extract.parts import find_parts
from witnessmark.extract.respell import respell
from witnessmark.extract.said_limits import find_limits
from witnessmark.extract.talk import Talk
from witnessmark.extract.tokens import TalkTokenizer
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.types import Draft, Transcript

if TYPE_CHECKING:
    from spacy.language import Language
    from spacy.tokens import Doc

COMPONENTS = (
    "talk_words",
    "talk_figures",
    "talk_machine",
    "talk_limits",
    "talk_parts",
    "talk_clauses",
    "talk_findings",
)
"""The components in order; each reads what those before it wrote into ``doc._.talk``."""


def extract(
    text: str, *, id: str = "", jurisdiction: str | None = None, transcript: Transcript | None = None
) -> Draft:
    """Everything a talk says, as draft findings.

    Args:
        text: the talk, as said or as a recogniser printed it.
        id: id of the draft.
        jurisdiction: country (and state) of use, such as ``GB`` or ``US-MD``: decides sides and units.
        transcript: where ``text`` came from; gives evidence its seconds and words their probability.
    """
    nlp = pipeline()
    doc = nlp.make_doc(text)
    doc._.talk = Talk(doc, [t.norm_ for t in doc], keeps_left(jurisdiction), _country(jurisdiction))
    doc._.talk.words = transcript.words if transcript else ()
    for _, component in nlp.pipeline:
        doc = component(doc)
    return draft_of(doc._.talk, id=id, jurisdiction=jurisdiction, transcript=transcript)


def keeps_left(jurisdiction: str | None) -> bool:
    """Whether traffic keeps left there; where the country is unknown it is taken to."""
    country = _country(jurisdiction)
    return country is None or country in lexicon().keep_left


def _country(jurisdiction: str | None) -> str | None:
    return jurisdiction.split("-")[0].upper() if jurisdiction else None


@cache
def pipeline() -> Language:
    """The spaCy pipeline: a blank English one with our tokenizer and components."""
    import spacy
    from spacy.language import Language
    from spacy.tokens import Doc

    if not Doc.has_extension("talk"):
        Doc.set_extension("talk", default=None)
    nlp = spacy.blank("en")
    nlp.tokenizer = TalkTokenizer(nlp.vocab)
    lookup = Lookup()
    steps: dict[str, Callable[[Talk], None]] = {
        "talk_words": lambda talk: _words(talk, lookup),
        "talk_figures": _figures,
        "talk_machine": _machine,
        "talk_limits": lambda talk: talk.limits.extend(find_limits(talk)),
        "talk_parts": lambda talk: talk.parts.extend(find_parts(talk)),
        "talk_clauses": lambda talk: talk.clauses.extend(find_clauses(talk)),
        "talk_findings": _findings,
    }
    for name in COMPONENTS:
        Language.component(name, func=_component(steps[name]))
        nlp.add_pipe(name)
    return nlp


def _component(step: Callable[[Talk], None]) -> Callable[[Any], Any]:
    def run(doc: Doc) -> Doc:
        step(doc._.talk)
        return doc

    return run


def _words(talk: Talk, lookup: Lookup) -> None:
    """Lexicon mentions; misheard trade words are respelled first."""
    from spacy.lang.en.stop_words import STOP_WORDS

    if swaps := from_table(talk.norms):
        _respell(talk, swaps)
    talk.mentions = lookup.find(talk.norms)
    stops = frozenset(STOP_WORDS) | word_set("falls_short")
    if swaps := from_sound(talk.norms, talk.mentions, set(talk.misheard), stops):
        _respell(talk, swaps)
        talk.mentions = lookup.find(talk.norms)


def _respell(talk: Talk, swaps: list[Swap]) -> None:
    talk.doc, talk.norms, talk.misheard = respell(talk.doc, talk.norms, swaps, talk.misheard)


def _figures(talk: Talk) -> None:
    talk.numbers = find_numbers(talk.norms)
    talk.codes = find_codes(talk)
    talk.numbers = after_codes(talk)
    talk.codes = find_codes(talk)
    talk.measures = find_measures(talk)


def _machine(talk: Talk) -> None:
    talk.machine = read_machine(talk)
    taken = talk.taken | {i for c in talk.codes for i in range(c.start, c.end)}
    talk.measures = [m for m in talk.measures if not taken & set(range(m.start, m.end))]
    talk.codes = [c for c in talk.codes if not talk.taken & set(range(c.start, c.end))]


def _findings(talk: Talk) -> None:
    from witnessmark.extract.reader import Reader

    talk.raws = merge(Reader(talk).read())
