"""Reads the events of a talk in order and binds what is said to the part it is said of."""

from __future__ import annotations

from witnessmark.extract import answers, figures, limits, overlaps, work
from witnessmark.extract.conditions import read_condition, read_exception
from witnessmark.extract.events import Event, events_of
from witnessmark.extract.places import Whereabouts
from witnessmark.extract.postposed import take_postposed
from witnessmark.extract.raw import Raw
from witnessmark.extract.repairs import repair
from witnessmark.extract.scope import Scopes
from witnessmark.extract.subjects import read_part
from witnessmark.extract.talk import Talk, Target
from witnessmark.extract.unseen import read_unseen
from witnessmark.knowledge.grammar import words as word_set

_BESIDE = word_set("beside")
_DISORDER = 3
"""Sentences by which a finding may have been written down after later ones."""


class Reader:
    """State of one reading; ``read`` returns what was found, in order."""

    def __init__(self, talk: Talk) -> None:
        self.talk = talk
        self.events = events_of(talk)
        self.scopes = Scopes.of(talk)
        self.where = Whereabouts()
        self.raws: list[Raw] = []
        self.subject_at = -1
        """Start of the phrase that is the subject, or -1."""
        self.subject_clause = -1
        self.open_list = False
        """Whether the next part may join the subjects ("front and rear pads are fine")."""
        self.controls: tuple[Target, ...] = ()
        """Switches of the controls just named, for what is said next of their lamp."""
        self.control_clause = -1
        self.handled: tuple[Target, ...] = ()
        """What a hand was laid on in this sentence: "grabbed the swingarm and heaved"."""
        self.handled_in = -1
        self.bound: set[int] = set()
        """Events whose part was taken by something said before it."""

    def read(self) -> list[Raw]:
        """All findings, readings and actions as said."""
        for index, event in enumerate(self.events):
            if index in self.bound and event.kind != "part":
                continue
            if idle := self.talk.clauses[event.clause].idle:
                if (
                    event.kind == "part"
                    and event.part
                    and (event.part.word == "zone" or idle in ("question", "past", "claim", "plan"))
                ):
                    read_part(self, index, event)
                elif event.kind == "condition" and idle in ("question", "claim"):
                    self.ask(index, event)
                continue
            if event.kind in ("condition", "measure", "unseen"):
                take_postposed(self, index, event)
            if event.kind == "part":
                read_part(self, index, event)
            elif event.kind == "condition":
                read_condition(self, index, event)
            elif event.kind == "unseen":
                read_unseen(self, index, event)
            elif event.kind == "measure":
                figures.read_measure(self, index, event)
            elif event.kind == "code":
                figures.read_code(self, index, event)
            elif event.kind == "action":
                work.read_action(self, index, event)
            elif event.kind == "correct":
                repair(self, index, event)
            elif event.kind == "except":
                read_exception(self, index, event)
        answers.settle(self)
        answers.take_back(self)
        limits.attach_limits(self)
        overlaps.drop_measured_conditions(self)
        overlaps.dry_where_greased(self)
        overlaps.drop_as_left(self)
        overlaps.drop_withdrawn(self)
        overlaps.drop_read_lamp(self)
        overlaps.drop_lamp_of_switches(self)
        overlaps.drop_low_of_working(self)
        overlaps.drop_sound_of_intermittent(self)
        overlaps.drop_sound_of_dead(self)
        overlaps.drop_sound_before_exception(self)
        overlaps.drop_implied(self)
        overlaps.spread_over_ends(self)
        work.add_worn(self)
        self._doubt_guesses()
        return [r for r in self.raws if not r.dropped]

    def _doubt_guesses(self) -> None:
        """ "tread's 3 mm, I think": a figure that the speaker only guesses at."""
        for raw in self.raws:
            if raw.quantity and self.scopes.hedged_figure(raw.start, raw.end):
                raw.doubts.append("hedged")

    def ask(self, index: int, event: Event) -> None:
        """Notes what is only asked or claimed, for the next sentence to answer."""
        count, focus = len(self.raws), self.where.focus
        read_condition(self, index, event)
        beside = self.talk.between(self.talk.parts, event.end, event.end + 4)
        if focus and any(self.talk.at(part.start - 1) in _BESIDE for part in beside):
            self.where.focus = focus  # "is that a crack by the bolt?"
        for raw in self.raws[count:]:
            raw.asked = raw.dropped = True

    def since(self, sentence: int) -> list[Raw]:
        """What was found in a sentence and later, dropped findings left out, in order."""
        found: list[Raw] = []
        for raw in reversed(self.raws):
            said = self.talk.clauses[raw.clause].sentence
            if said < sentence - _DISORDER:
                break
            if said >= sentence and not raw.dropped:
                found.append(raw)
        return found[::-1]

    def same_sentence(self, event: Event) -> bool:
        """Whether the subject was named in the same sentence."""
        clauses = self.talk.clauses
        return (
            self.subject_clause >= 0
            and clauses[self.subject_clause].sentence == clauses[event.clause].sentence
        )

    def evidence_start(self, event: Event) -> int:
        """First token of the evidence for an event: its subject if that is in the sentence."""
        sentence = self.talk.clauses[event.clause].sentence
        subject = self.subject_at
        if (
            subject >= 0
            and self.talk.clauses[self.subject_clause].sentence == sentence
            and subject < event.start
        ):
            return subject
        return self.talk.clauses[event.clause].start

    def just_named(self) -> bool:
        """Whether a part was named and nothing said of it yet."""
        return self.open_list
