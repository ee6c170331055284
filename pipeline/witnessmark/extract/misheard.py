"""Finds trade words that a recogniser printed as other words.

A printed form is read as a trade word only where one is expected: as the subject of a statement that has
none, or as what is said of a subject. What was printed stays in the text and the finding is marked. Likeness
is measured on Metaphone codes (jellyfish), with sounds made alike counted as nearly the same.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from witnessmark.extract.cardinals import ONES, TEENS, TENS
from witnessmark.extract.lookup import Mention
from witnessmark.extract.sounds import class_keys, code_of, likeness, sound_distance
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.identity import identity
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.misheard import Misheard, by_sound, misheard
from witnessmark.knowledge.phrases import GAP, expand, words_in

_CLOSE, _NEAR = 0.16, 0.26
_PART_VERBS = word_set("part_verbs")
_PART_LEADS = word_set("part_leads")
_SAID_LEADS = word_set("said_leads")
_SAID_ENDS = word_set("said_ends")


@dataclass(frozen=True, slots=True)
class Swap:
    """Tokens [start, end) to be read as other words."""

    start: int
    end: int
    meant: tuple[str, ...]


def from_sound(
    norms: Sequence[str], known: dict[str, list[Mention]], done: set[int], stops: frozenset[str]
) -> list[Swap]:
    """Words that sound like what is expected there, in order, none overlapping.

    Args:
        norms: the talk, rows of the table already applied.
        known: the lexicon's mentions in it.
        done: tokens that a row of the table changed.
        stops: English function words.
    """
    found: list[Swap] = []
    taken = set(done)
    parts = {i for f in ("part", "shared") for m in known.get(f, ()) for i in range(m.start, m.end)}
    said = {i for f in ("condition", "action") for m in known.get(f, ()) for i in range(m.start, m.end)}
    fixed = (
        "place",
        "unit",
        "quantity",
        "cue:wants",
        "cue:deny",
        "cue:correct",
        "cue:hedge",
        "cue:unseen",
        "cue:idle.teach",
    )
    other = {i for f in fixed for m in known.get(f, ()) for i in range(m.start, m.end)} - parts - said
    other |= {i for i, n in enumerate(norms) if n in _clock_words()}
    for swap in _by_sound(norms, _Scene(parts, said, other | taken, stops, _is_unmarked(norms))):
        if taken.isdisjoint(range(swap.start, swap.end)):
            taken.update(range(swap.start, swap.end))
            found.append(swap)
    return sorted(found, key=lambda s: s.start)


def _is_unmarked(norms: Sequence[str]) -> bool:
    """Whether a talk has next to no marks."""
    return sum(n in (".", ",", "?", "!", ";", ":") for n in norms) * 25 < len(norms)


def from_table(norms: Sequence[str]) -> list[Swap]:
    """Words that a row of ``misheard.yaml`` stands for."""
    found: list[Swap] = []
    first: dict[str, list[Misheard]] = _table()
    at = 0
    while at < len(norms):
        row = next((r for r in first.get(norms[at], ()) if _stands(norms, at, r)), None)
        if row is None and (words := _glued().get(norms[at])):
            found.append(Swap(at, at + 1, words))
        if row:
            found.append(Swap(at, at + len(row.heard), row.meant))
            at += len(row.heard)
        else:
            at += 1
    return found


@cache
def _glued() -> dict[str, tuple[str, ...]]:
    """Names of two words printed as one, "headbearings" → head bearings, where no such word is known."""
    rows = [r for r in lexicon().rows if r.family in ("part", "quantity", "shared")]
    names = {words for r in rows for phrase in r.phrases for words in expand(phrase)}
    whole = words_in(p for r in lexicon().rows for p in r.phrases)
    pairs = [w for w in names if len(w) == 2 and GAP not in w and all(len(p) > 2 and p.isalpha() for p in w)]
    return {"".join(w): w for w in pairs if "".join(w) not in whole and w[0] not in ("the", "left", "right")}


@cache
def _table() -> dict[str, list[Misheard]]:
    table: dict[str, list[Misheard]] = defaultdict(list)
    for row in misheard():
        table[row.heard[0]].append(row)
    return table


def _stands(norms: Sequence[str], at: int, row: Misheard) -> bool:
    end = at + len(row.heard)
    if tuple(norms[at:end]) != row.heard:
        return False
    if at and norms[at - 1] in row.unless:
        return False
    before, after = set(norms[max(0, at - 3) : at]), set(norms[end : end + 3])
    follows = not row.next or (end < len(norms) and norms[end] in row.next)
    if set(norms[end : end + 4]) & row.never:
        return False
    near = (not row.before or bool(before & row.before)) and (not row.after or bool(after & row.after))
    return follows and near


@cache
def _clock_words() -> frozenset[str]:
    tables = identity()
    phrases = (*tables.registration, *tables.vin, *tables.odometer)
    return (
        frozenset(w for p in phrases for w in p)
        | frozenset(tables.letters)
        | frozenset(ONES)
        | frozenset(TEENS)
        | frozenset(TENS)
    )


@cache
def _plain() -> frozenset[str]:
    """Everyday words that are what they say."""
    return frozenset(w for row in lexicon().rows if row.id == "plain" for p in row.phrases for w in p.split())


@dataclass(frozen=True, slots=True)
class _Scene:
    """Tokens of one talk that the lexicon knows, by what they are."""

    parts: set[int]
    said: set[int]
    other: set[int]
    stops: frozenset[str]
    unmarked: bool
    """Whether the talk has next to no marks."""

    def known(self, at: int) -> bool:
        """Whether a token means something in the trade."""
        return at in self.parts or at in self.said or at in self.other

    def clause(self, norms: Sequence[str], at: int) -> range:
        """Tokens from the last mark before a token up to it."""
        start = at
        while start > 0 and norms[start - 1] not in (".", ",", "?", "!", ";", ":", "but", "and", "so"):
            start -= 1
        return range(start, at)


def _by_sound(norms: Sequence[str], scene: _Scene) -> Iterable[Swap]:
    """Windows of one to three words that sound like a word expected there, best first."""
    candidates: list[tuple[float, int, Swap]] = []
    plain_words = _plain()
    strange = [_is_strange(n, plain_words) and not scene.known(i) for i, n in enumerate(norms)]
    for at in range(len(norms)):
        for width in (3, 2, 1) if strange[at] else ():
            end = at + width
            if end > len(norms) or not all(strange[at:end]) or not _is_odd(norms, at, end, scene):
                continue
            role = _expected(norms, at, end, scene)
            anywhere = role is None and _could_begin(norms, at, end, scene)
            if role is None and not anywhere:
                continue
            role = role or "part"
            plain = all(n not in scene.stops for n in norms[at:end]) and not anywhere
            best = _closest("".join(norms[at:end]), role, plain)
            if role == "part":
                best = min((b for b in (best, *_compounds(norms, at, end, scene, plain)) if b), default=None)
            if best:
                candidates.append((best[0], -width, Swap(at, end, best[1])))
    candidates.sort(key=lambda c: (c[0], c[1], c[2].start))
    return [c[2] for c in candidates]


def _compounds(
    norms: Sequence[str], start: int, end: int, scene: _Scene, plain: bool
) -> Iterable[tuple[float, tuple[str, ...]]]:
    """A window read together with the known part word beside it: "hair | filter", "forks | teals"."""
    for known, words in ((start - 1, norms[start - 1 : end]), (end, norms[start : end + 1])):
        if known not in scene.parts or known < 0:
            continue
        found = _closest("".join(words), "part", plain)
        edge = 0 if known < start else -1
        if found and len(found[1]) > 1 and found[1][edge].rstrip("s") == norms[known].rstrip("s"):
            yield found[0], found[1][1:] if edge == 0 else found[1][:-1]


def _is_strange(word: str, plain_words: frozenset[str]) -> bool:
    """Whether a word can be part of a mistake: letters only, and no everyday word."""
    return word.isalpha() and len(word) <= 14 and word not in plain_words


def _is_odd(norms: Sequence[str], start: int, end: int, scene: _Scene) -> bool:
    """Whether a window of strange words can be a mistake: long enough, and not all function words."""
    words = norms[start:end]
    if words[-1] == "it":
        return False
    return any(w not in scene.stops and len(w) > 2 for w in words) and len("".join(words)) >= 4


def _could_begin(norms: Sequence[str], start: int, end: int, scene: _Scene) -> bool:
    """Whether a part may begin there in talk without marks: something is said right after it."""
    after = norms[end] if end < len(norms) else ""
    return scene.unmarked and (after in _PART_VERBS or end in scene.said) and start - 1 not in scene.parts


def _expected(norms: Sequence[str], start: int, end: int, scene: _Scene) -> str | None:
    """ "part" or "condition" when the place calls for one, else None."""
    before, after = norms[start - 1] if start else "", norms[end] if end < len(norms) else ""
    here = scene.clause(norms, start)
    named = any(i in scene.parts for i in here)
    beside = start - 1 in scene.parts
    if (beside or (before in _PART_LEADS and not named)) and (
        after in _PART_VERBS
        or end in scene.said
        or end in scene.parts
        or (after in (":", ",") and len(here) < 3)
    ):
        return "part"
    if (
        before in ("the", "a", "this")
        and start > 1
        and norms[start - 2] in ("on", "in", "at", "by", "of", "from", "to")
        and after in _SAID_ENDS
    ):
        return "part"
    judged = any(i in scene.said for i in here)
    if (
        before in _SAID_LEADS
        and after in _SAID_ENDS
        and not judged
        and (named or before in ("no", "slight", "of"))
    ):
        return "condition"
    return None


@dataclass(frozen=True, slots=True)
class _Sound:
    words: tuple[str, ...]
    code: str


@cache
def _sounds() -> dict[str, dict[str, list[_Sound]]]:
    """role → class code with up to one sound left out → words of the trade; none calls a part sound."""
    index: dict[str, dict[str, list[_Sound]]] = {"part": defaultdict(list), "condition": defaultdict(list)}
    for role, phrases in by_sound().items():
        for words in phrases:
            sound = _Sound(words, code_of("".join(words)))
            for key in class_keys(sound.code) if len(sound.code) >= 2 else ():
                index[role][key].append(sound)
    return index


def _closest(printed: str, role: str, plain: bool) -> tuple[float, tuple[str, ...]] | None:
    """The lexicon's words that sound most like what was printed, if close enough."""
    code = code_of(printed)
    if len(code) < 2:
        return None
    index = _sounds()[role]
    best: tuple[float, tuple[str, ...]] | None = None
    for sound in {s for key in class_keys(code) for s in index.get(key, ())}:
        distance = sound_distance(code, sound.code) / max(len(code), len(sound.code))
        spelled = likeness(printed, "".join(sound.words))
        if not plain and distance > (0.1 if len(code) >= 5 else 0):
            continue
        if distance > (_NEAR if len(code) >= 4 else _CLOSE if len(code) == 3 else 0.01):
            continue
        if role == "condition" and distance > 0 and (distance > 0.1 or spelled < 0.85):
            continue
        if spelled < (0.78 if distance > 0 else 0.68 if len(code) < 3 else 0.6):
            continue
        score = distance + (1 - spelled) / 3
        if best is None or score < best[0]:
            best = (score, sound.words)
    return best
