"""Whether a condition is asserted, denied or hedged (windows with terminators, as in ConText).

The cues and what ends their reach are rows of ``models/trade/cues.yaml``.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from witnessmark.extract.denials import denies_seeing, inside_phrase, is_reply
from witnessmark.extract.idle import STRONG
from witnessmark.extract.lookup import Mention
from witnessmark.extract.talk import Talk
from witnessmark.knowledge.grammar import words as word_set

_LIST = word_set("list_words")
_REACH = 9
_HEDGE_REACH = 12
_VERBS = word_set("verbs")
_PRONOUNS = word_set("denying_pronouns")
_SUBJECTS = word_set("subjects")
_TAIL_ENDS = word_set("hedge_ends")
_SOFT_TURNS = word_set("soft_turns")
"""Turns that also stand inside a denial."""
_LIST_STOPS = _VERBS | STRONG | {":", "(", ")"}
_ITEM = 6
"""Words that the last item of a list may begin with."""
_DEGREES = word_set("degrees")
_OUGHT = word_set("ought_to")
_WISHERS = word_set("wishers")
_FALLS_SHORT = word_set("falls_short")
_LESSER = word_set("some")
_DOES = word_set("denied_verbs")
_FINITE = word_set("finite")


@dataclass(slots=True)
class Scopes:
    """Cues of one talk, laid out by token for quick questions."""

    talk: Talk
    denials: list[Mention]
    hedges: list[Mention]
    turns: set[int]
    condition_at: dict[int, Mention]

    @classmethod
    def of(cls, talk: Talk) -> Scopes:
        """Scopes of an annotated talk."""
        fake = {i for m in talk.cues("deny_not") for i in range(m.start, m.end)}
        fake |= {i for m in talk.cues("unseen") for i in range(m.start, m.end) if not denies_seeing(talk, m)}
        fake |= {i for m in talk.cues("correct") if m.end - m.start > 1 for i in range(m.start, m.end)}
        fake_hedge = {i for m in talk.cues("hedge_not") for i in range(m.start, m.end)}
        return cls(
            talk,
            [m for m in talk.cues("deny") if m.start not in fake and not is_reply(talk, m)],
            [m for m in talk.cues("hedge") if m.start not in fake_hedge],
            {m.start for m in talk.cues("turn") if not inside_phrase(talk, m)},
            {i: m for m in talk.of("condition") for i in range(m.start, m.end)},
        )

    def denied(self, mention: Mention) -> Mention | None:
        """The cue that rules a condition out, if one does."""
        for cue in reversed(self.talk.between(self.denials, 0, mention.start)):
            if cue.end <= mention.start and self._reaches(cue, mention):
                return cue
            if cue.end < mention.start - 3 * _REACH:
                break
        return self._denied_after(mention)

    def unsound(self, mention: Mention) -> bool:
        """ "isn't great", "far from straight", "hardly works": praise that is none."""
        if self.talk.at(mention.start) == "as" and self.talk.near_before(mention.start, _FALLS_SHORT, 4):
            return True  # "isn't as straight as it should be"
        at = mention.start - 1
        while at >= 0 and self.talk.at(at) in _DEGREES:
            if self.talk.at(at) in _FALLS_SHORT:
                return True
            at -= 1
        return self.talk.at(at) in _FALLS_SHORT

    def supposed(self, mention: Mention) -> bool:
        """ "should be straight", "needs to be tight", "I want it dry": what ought to be, and not what is."""
        at = mention.start
        if self.talk.norms[max(0, at - 2) : at] == ["should", "be"] or self.talk.at(at - 1) == "would":
            return True
        if self.talk.norms[max(0, at - 2) : at] == ["to", "be"] and self.talk.at(at - 3) in _OUGHT:
            return True
        start = self.talk.clauses[self.talk.clause_of(at)].start
        before = self.talk.norms[max(start, at - 6) : at]
        return any(one in _WISHERS and two in ("want", "need") for one, two in pairwise(before))

    def hedged(self, mention: Mention) -> Mention | None:
        """The cue that makes a condition unsure, if one does."""
        for cue in self.talk.between(self.denials, mention.start - 3 * _REACH, mention.start):
            if self.talk.at(cue.start) == "would" and 0 <= mention.start - cue.end <= 2 * _REACH:
                return cue if self._doubted(cue) else None
        for cue in reversed(self.talk.between(self.hedges, mention.start - 60, mention.start)):
            if cue.end <= mention.start or cue.start < mention.start < cue.end:  # "not half | blocked"
                near = mention.start - cue.end <= _HEDGE_REACH
                if bool(self.talk.between(self.denials, cue.end, mention.start)):
                    return None  # "there might be rust, no cracks though"
                return cue if near and not self._broken(cue.end, mention.start, commas=2) else None
        if (tail := self._tail(mention.end)) is not None:
            return tail
        near_after = self.talk.between(self.hedges, mention.end, mention.end + 3)
        after = next((c for c in near_after if not self._broken(mention.end, c.start, commas=1)), None)
        return after if after and self.talk.at(after.start) in ("maybe", "possibly", "perhaps", "i") else None

    def _tail(self, at: int) -> Mention | None:
        """ "play in the swingarm, I think": a hedge by itself, after what it makes unsure."""
        talk = self.talk
        for cue in talk.between(self.hedges, at, at + _HEDGE_REACH):
            between = talk.norms[at : cue.start]
            said = any(talk.between(items, at, cue.start) for items in (talk.of("condition"), talk.measures))
            alone = talk.at(cue.end) in _TAIL_ENDS or talk.at(cue.start) == "hard"
            alone = alone or (
                talk.at(cue.end) == "a" and talk.at(cue.end + 2) in _TAIL_ENDS
            )  # "maybe a hair"
            led = not between or between[-1] in (",", "-", "–", "...")
            if not said and alone and led and between.count(",") <= 1 and not STRONG & set(between):
                return cue
        return None

    def hedged_figure(self, start: int, end: int) -> bool:
        """Whether a figure over tokens [start, end) is only thought or guessed to be so."""
        if self._tail(end):
            return True
        cues = self.talk.between(self.hedges, start - _HEDGE_REACH, start)
        return any(
            c.end <= start
            and not self.talk.between(self.talk.measures, c.end, start)
            and not self._broken(c.end, start, commas=1)
            for c in cues
        )

    def _doubted(self, cue: Mention) -> bool:
        """ "wouldn't say it's cracked, but I'm not certain": unsure and not denied."""
        sentence = self.talk.sentence_of(cue.start)
        near = self.talk.between(self.hedges, cue.start - 80, cue.start + 80)
        return any(self.talk.sentence_of(h.start) == sentence for h in near)

    def _broken(self, start: int, end: int, commas: int) -> bool:
        """Whether a sentence ends, talk turns, or more than so many commas fall in between."""
        between = self.talk.norms[start:end]
        turned = any(i in self.turns and self._turns(i) for i in range(start, end))
        left = ":" in between[1:] or _leaves_bracket(between) or self._begins_statement(start, end)
        starts = any(c.opener == "." for c in self.talk.between(self.talk.clauses, start + 1, end))
        return turned or left or starts or between.count(",") > commas or any(w in STRONG for w in between)

    def _turns(self, at: int) -> bool:
        """ "not cracked, just rusty" turns; "no play, only just" and "not with the engine cold" do not."""
        word = self.talk.at(at)
        return word not in _SOFT_TURNS or (word in ("just", "only") and self.talk.at(at - 1) == ",")

    def _begins_statement(self, start: int, end: int) -> bool:
        """ "... and it is definitely loose"."""
        return any(self.talk.at(i) == "and" and self.talk.at(i + 1) in _SUBJECTS for i in range(start, end))

    def _reaches(self, cue: Mention, mention: Mention) -> bool:
        """Whether a denial reaches a condition: near it, or through a list of conditions."""
        start, end = cue.end, mention.start
        if end - start > 3 * _REACH or self._broken(start, end, commas=9):
            return False
        if self.talk.at(cue.start) == "would":
            return end - start <= 2 * _REACH and not self._doubted(
                cue
            )  # "wouldn't say the rear disc was badly scored"
        shared = self.talk.between(self.talk.of("shared"), start, end)
        if any(self.talk.at(s.start - 1) == "," and s.end == mention.start for s in shared):
            return False  # "no scoring, cable frayed"
        parts_between = [p for p in self.talk.between(self.talk.parts, start, end) if p.component]
        if any(not self._inside_denial(p.start, p.end, mention) for p in parts_between):
            return False
        if any(self.talk.at(p.end) in _FINITE for p in parts_between if self.talk.at(p.start - 1) == "and"):
            return False  # "no cuts and the horn doesn't work"
        words = self.talk.norms[start:end]
        if "," in words and _LESSER & set(words[len(words) - words[::-1].index(",") :]):
            return False  # "no cracks, some rust"
        if mention.id == "sound" and "," in words and self._listed(start, end):
            return False  # "isn't coming back to the bar, firm"
        return self._in_list(cue, mention) or self._in_window(start, end)

    def _listed(self, start: int, end: int) -> bool:
        """Whether a defect stands in between."""
        return any(m.id != "sound" for m in self.talk.between(self.talk.of("condition"), start, end))

    def _in_list(self, cue: Mention, mention: Mention) -> bool:
        """ "no rust, scale or leaks": through a list whose nouns need not be known, closed by "or"."""
        if self.talk.at(cue.start) in _PRONOUNS or not mention.rows[0].data.get("noun"):
            return False
        stop = min(cue.end + 4 * _REACH, len(self.talk.norms))
        named = {p.start for p in self.talk.between(self.talk.parts, cue.end, stop) if p.component}
        last = None
        for at in range(cue.end, stop):
            if self.talk.at(at) in _LIST_STOPS or at in self.turns or at in named:
                break
            last = at if self.talk.at(at) in ("or", "nor") else last
        if last is None or mention.start < last:
            return last is not None
        return mention.start - last <= _ITEM and "," not in self.talk.norms[last : mention.start]

    def _in_window(self, start: int, end: int) -> bool:
        """Near enough to the cue, or through conditions listed one after the other."""
        listed, gap, verbs = False, 0, 0
        for at in range(start, end):
            word = self.talk.at(at)
            if at in self.condition_at:
                listed, gap = True, 0
            elif listed and word in ("it", "they", "that", "this", "he", "she", "both"):
                return False
            elif listed and word not in _LIST:
                gap += 1
                if gap > 1 or word in _VERBS:
                    return False
            elif not listed:
                gap += 1
                verbs += word in _VERBS
                if word == ",":
                    return False
        return listed or (gap <= _REACH and verbs <= 1)

    def _inside_denial(self, start: int, end: int, mention: Mention) -> bool:
        """ "none of the spokes loose", "no fork seal leaks": the part is what is denied of."""
        if self.talk.at(start - 1) == "not" and self.talk.at(start - 2) in _DOES:
            return False  # "the right one isn't | head bearings are smooth"
        return (
            self.talk.at(start - 1) in ("of", "neither", "no", "not")
            or end == mention.start
            or (
                self.talk.at(start) in ("the", "its", "of")
                and self.talk.at(start - 1) in ("of", "none", "in")
            )
        )

    def _denied_after(self, mention: Mention) -> Mention | None:
        """ "cracks: none"."""
        after = self.talk.between(self.talk.cues("deny_after"), mention.end, mention.end + 3)
        for cue in after:
            number = self.talk.number_at(cue.start)
            if number and (number.end > cue.end or number.decimal):
                continue  # "worn out, zero point eight millimetres"
            between = [self.talk.at(i) for i in range(mention.end, cue.start)]
            closes = self.talk.at(cue.end) not in ("of", "loose", "the") and cue.end not in self.condition_at
            if (
                0 <= cue.start - mention.end <= 2
                and closes
                and all(w in (":", ",", "-", "–", "is", "was", "are", "were") for w in between)
            ):
                return cue
        return self._answered_no(mention)

    def _answered_no(self, mention: Mention) -> Mention | None:
        """ "Cracks, no.", "Leaks? No.": asked, and answered at once."""
        talk, at = self.talk, mention.end
        if talk.at(at) not in (",", "?", ":") or talk.at(at + 1) not in ("no", "nope"):
            return None
        opens = talk.at(mention.start - 1) in (".", ",", "", "?", "any")
        ends = talk.at(at + 2) in (".", "", ";") and opens
        return Mention(at + 1, at + 2, mention.rows) if ends else None


def _leaves_bracket(between: list[str]) -> bool:
    """Whether a bracket closes that was open before."""
    return any(between.count(close) > between.count(open_) for open_, close in ("()", "[]", "{}"))
