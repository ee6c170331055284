"""Reads the events of a talk in order and binds what is said to the part it is said of."""

from __future__ import annotations

from witnessmark.extract import figures, work
from witnessmark.extract.events import Event, events_of
from witnessmark.extract.places import Whereabouts
from witnessmark.extract.raw import Raw
from witnessmark.extract.repairs import repair
from witnessmark.extract.scope import Scopes
from witnessmark.extract.talk import Part, Talk, Target
from witnessmark.knowledge.lexicon import Row
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import State

_INTO = frozenset("in on of at from to inside around round under behind for along across with through by".split())
_SKIP = frozenset("a an the its this that each any all some my one of both either no our those these your".split())
_NOD = frozenset("good great fine lovely perfect right okay ok nice beautiful alright sweet happy ace correct bright decent".split())  # fmt: skip
_BESIDE = frozenset("by near behind above below under past beside around against through between beneath outside opposite underneath towards toward where onto".split())  # fmt: skip
_PREDICATES = ("condition", "measure", "code", "unseen", "action")
_BE = frozenset(("is", "'s", "are", "was", "were", "feels", "feel", "looks", "look", "looking", "seems", "seem", "has", "have", "had", "got", "runs", "stays", "still", "being", "been", "gone", "comes", "does", "can"))  # fmt: skip


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
        self.bound: set[int] = set()
        """Events whose part was taken by something said before it."""

    def read(self) -> list[Raw]:
        """All findings, readings and actions as said."""
        for index, event in enumerate(self.events):
            if index in self.bound and event.kind != "part":
                continue
            if idle := self.talk.clauses[event.clause].idle:
                if event.kind == "part" and event.part and (event.part.word == "zone" or idle in ("question", "past", "claim")):
                    self._part(index, event)
                continue
            if event.kind == "part":
                self._part(index, event)
            elif event.kind == "condition":
                self._condition(index, event)
            elif event.kind == "unseen":
                self._unseen(index, event)
            elif event.kind == "measure":
                figures.read_measure(self, index, event)
            elif event.kind == "code":
                figures.read_code(self, index, event)
            elif event.kind == "action":
                work.read_action(self, index, event)
            elif event.kind == "correct":
                repair(self, index, event)
            elif event.kind == "except":
                self._exception(index, event)
        figures.attach_limits(self)
        figures.drop_measured_conditions(self)
        figures.dry_where_greased(self)
        work.add_worn(self)
        return [r for r in self.raws if not r.dropped]

    # ── parts ────────────────────────────────────────────────────────────────────────────────

    def _part(self, index: int, event: Event) -> None:
        part = event.part
        if part is None or index in self.bound:
            return
        if part.word == "zone":
            self.where.head(part)
            self.open_list = False
            return
        if part.component is None:
            self._place(index, event, part)
            return
        if self._take_control(event, part):
            return
        if self._is_aside(event):
            self._widen(event, part)
            return
        self._borrow_place(index, event, part)
        joined = self.open_list and self._joins(index, event)
        before = self.where.focus
        heading = self._is_heading(index, event)
        if self.open_list and not joined and part.component == "wheel" and len(part.ends) == 1 and self._stands_alone(event):
            self.where.only_place(part.ends[0])
            return
        if heading:
            self.where.head(part)
        targets = self.where.targets(part, self._same_sentence(event))
        if joined:
            self.where.focus = tuple(dict.fromkeys((*before, *targets)))
        else:
            self.subject_at = event.start
        self.subject_clause = event.clause
        self.open_list = True

    def _borrow_place(self, index: int, event: Event, part: Part) -> None:
        """ "Left front, pads at 5": a place said just before the name belongs to it."""
        previous = self.events[index - 1] if index else None
        if previous is None or previous.kind != "part" or not previous.part or previous.part.component:
            return
        between = [self.talk.at(i) for i in range(previous.end, event.start)]
        if previous.part.word or part.ends or part.sides or not all(w in (",", ":", "the") for w in between) or len(between) > 2:
            return
        if self.talk.clauses[previous.clause].sentence == self.talk.clauses[event.clause].sentence:
            part.ends, part.sides = previous.part.ends, previous.part.sides

    def _widen(self, event: Event, part: Part) -> None:
        """ "cloudy in both reservoirs": an aside that says where what was just said holds."""
        last = self._last_raws(event)
        if last and part.component == last[-1].target.component and (part.ends or part.sides or part.word.startswith("both")):
            self._relocate(Part(part.start, part.end, part.head, None, part.ends, part.sides, word=part.word), last)

    def _same_sentence(self, event: Event) -> bool:
        """Whether the subject was named in the same sentence."""
        clauses = self.talk.clauses
        return self.subject_clause >= 0 and clauses[self.subject_clause].sentence == clauses[event.clause].sentence

    def _stands_alone(self, event: Event) -> bool:
        """Whether marks stand on both sides of a phrase."""
        return self.talk.at(event.start - 1) in (",", "-", ".", "on") and self.talk.at(event.end) in (",", ".", ":", "-", "")

    def _is_aside(self, event: Event) -> bool:
        """A part that only says where, or that a hand is laid on: "just above the seal", "swing the bars"."""
        assert event.part is not None
        at = event.start
        before = self.talk.at(at - 1)
        stated = self.talk.at(event.end) in ("is", "'s", "are", "was", "were", "has", "have")
        if before in _BESIDE and self.where.focus and not stated:
            return True
        if before in _INTO and self.raws and not self.open_list and self._said_here(event):
            return True
        if before in _INTO and before != "of" and self._subject_here(event) and not stated:
            return True
        clause = self.talk.clauses[event.clause]
        return any(m.end == at and m.start >= clause.start for m in self.talk.cues("handle")) and not self.talk.at(event.end) in ("is", "'s", "are")

    def _said_here(self, event: Event) -> bool:
        """Whether something was already said in this clause of a subject named in this sentence."""
        last = self.raws[-1]
        return last.clause == event.clause and self._same_sentence(event) and not last.dropped

    def _joins(self, index: int, event: Event) -> bool:
        """Whether a part goes with the one before: "fluid and hose are fine"."""
        previous = self.events[index - 1] if index else None
        if previous is None or previous.kind != "part" or index - 1 in self.bound:
            return False
        between = [self.talk.at(i) for i in range(previous.end, event.start)]
        marks = [w for w in between if w not in ("the", "a", "both", "its", "all", "as", "well")]
        same_sentence = self.talk.clauses[previous.clause].sentence == self.talk.clauses[event.clause].sentence
        return bool(marks) and same_sentence and all(w in (",", "and", "plus", "&", "or", "nor", "also") for w in marks)

    def _is_heading(self, index: int, event: Event) -> bool:
        """Whether nothing is said of a part before the sentence ends or another part is named."""
        sentence = self.talk.clauses[event.clause].sentence
        for later in self.events[index + 1 :]:
            if self.talk.clauses[later.clause].sentence != sentence:
                return True
            if later.kind in _PREDICATES:
                return False
            if later.kind == "part" and later.part and later.part.component:
                between = [self.talk.at(i) for i in range(event.end, later.start)]
                return not any(w in ("and", "of", "or", ",", "in", "on", "'s", "to", "is") for w in between)
        return True

    def _place(self, index: int, event: Event, part: Part) -> None:
        """A bare place: a new subject, a repetition, or where the thing just said is."""
        if not (part.ends or part.sides or part.pairs or part.word):
            return
        own = self._own_predicate(index, event)
        if not own and (polarity := self._ellipsis(event)) is not None:
            self._so_is(part, polarity)
            return
        if part.word.startswith("same") and (not own or self.talk.at(part.head[0]) == "so"):
            self._same(index, part)
            return
        if part.word == "same":
            return
        last = self._last_raws(event)
        if not own and last and not part.word.startswith("other"):
            self._relocate(part, last)
            return
        if not own and part.ends and not part.sides and not part.word:
            return self._lone_end(part)
        if self.where.targets(part):
            self.subject_at, self.subject_clause, self.open_list = event.start, event.clause, True
        return None

    def _ellipsis(self, event: Event) -> bool | None:
        """ "... but the rear one is", "the rear one isn't either", "but there is in the rear one": yes, no or neither."""
        at = event.end
        before = [self.talk.at(i) for i in range(event.start - 3, event.start)]
        if before[-3:-1] == ["there", "is"] and before[-1] in ("in", "on") or before[-2:] == ["there", "is"]:
            return True
        if self.talk.at(at) not in ("is", "are", "does", "has", "was", "do"):
            return None
        denied = self.talk.at(at + 1) == "not"
        return None if self.talk.at(at + 1 + denied) not in (".", ",", "", "either", "too", "as", "but", "and") else not denied

    def _so_is(self, part: Part, polarity: bool) -> None:
        """Says of another place what was last said, or that it is not so."""
        live = [r for r in self.raws if r.is_observation and not r.dropped and r.condition]
        if not live:
            return
        source = live[-1]
        group = [r for r in live if r.end == source.end and r.target == source.target]
        for target in self.where.targets(part):
            for raw in group:
                self._again(raw, target)
                self.raws[-1].state = "present" if polarity else "absent"

    def _lone_end(self, part: Part) -> None:
        """ "At the back now": a place alone is a heading."""
        if len(part.ends) == 1:
            self.where.heading, self.where.local = part.ends[0], None

    def _own_predicate(self, index: int, event: Event) -> bool:
        """Whether something is said of a bare place in its own clause."""
        for later in self.events[index + 1 :]:
            if later.clause != event.clause and not (
                later.clause == event.clause + 1 and self._empty(event.clause, event.end)
            ):
                return False
            if later.kind in _PREDICATES:
                return True
            if later.kind == "part" and later.part and later.part.component:
                return False
        return False

    def _empty(self, clause: int, start: int) -> bool:
        """Whether a clause holds nothing after a token ("rear, 2.4")."""
        here, after = self.talk.clauses[clause], self.talk.clauses[clause + 1]
        begins = self.talk.norms[here.start : start]
        lone = all(w in (",", "and", "the", "on", "at", "front", "rear", "left", "right", "side", "hand", "back", "one") for w in begins)
        return here.end <= start and lone and after.opener in (",", ":", "-")

    def _last_raws(self, event: Event) -> list[Raw]:
        """What was said last in the same sentence."""
        sentence = self.talk.clauses[event.clause].sentence
        recent = [r for r in self.raws if not r.dropped and self.talk.clauses[r.clause].sentence == sentence]
        if not recent:
            return []
        clause = recent[-1].clause
        return [r for r in recent if r.clause == clause]

    def _relocate(self, part: Part, last: list[Raw]) -> None:
        """ "a touch of rust on the left": the place belongs to what was just said."""
        anchor = last[-1]
        group = [r for r in last if r.end == anchor.end or (anchor.state == "absent" and r.state == "absent" and r.target == anchor.target)]
        component = anchor.target.component
        self.where.spoken.append(anchor.target)
        for raw in group:
            raw.dropped = True
        info = vocabulary().components[component]
        if "both" in part.word and len(group) > 1:
            targets = tuple(r.target for r in group)
        else:
            targets = self.where.targets(part)
            if part.sides and info.takes_end:
                targets = tuple(Target(t.component, anchor.target.end or t.end, t.side) for t in targets)
        if not any(t.component == component for t in targets) and "both" not in part.word:
            for raw in group:
                raw.dropped = False
            return
        if any(t.component == component for t in targets):
            targets = tuple(t for t in targets if t.component == component)
        elif "both" in part.word:
            targets = tuple(Target(component, e, None) for e in ("front", "rear")) if info.takes_end else (anchor.target,)
        kinds = {(r.condition, r.quantity, r.action): r for r in group}
        for raw in kinds.values():
            for target in dict.fromkeys(targets):
                self._again(raw, target)

    def _again(self, raw: Raw, target: Target) -> None:
        copy = Raw(**{name: getattr(raw, name) for name in raw.__slots__})
        copy.target, copy.dropped = target, False
        copy.why, copy.doubts = list(raw.why), list(raw.doubts)
        self.raws.append(copy)

    def _likewise(self, index: int, part: Part) -> tuple[Target, ...]:
        """Where a repetition holds: its own place, or the part or place named just before it."""
        if part.ends or part.sides or part.word != "same":
            return self.where.targets(part)
        following = self.events[index + 1] if index + 1 < len(self.events) else None
        if self.talk.at(part.head[0]) == "so" and following and following.kind == "part" and following.part and following.start - part.end <= 1:
            self.bound.add(index + 1)
            return self.where.targets(following.part)
        previous = self.events[index - 1].part if index and self.events[index - 1].kind == "part" else None
        if previous is None or index - 1 in self.bound:
            return ()
        return self.where.focus if previous.component else self.where.targets(previous)

    def _same(self, index: int, part: Part) -> None:
        """ "same on the other side", "ditto rear"."""
        live = [r for r in self.raws if not r.dropped and r.action is None]
        self.open_list = False
        if not live:
            return
        source = live[-1].target
        statement = []
        for raw in reversed(live):
            if raw.target != source:
                break
            statement.append(raw)
        targets = self._likewise(index, part)
        named = index and self.events[index - 1].kind == "part" and self.events[index - 1].part
        free = self.talk.at(part.head[0]) == "so" or bool(named and named.component and part.word == "same")
        for target in targets:
            if target != source and (free or target.component == source.component or self._related(target, source)):
                for raw in reversed(statement):
                    self._again(raw, target)

    def _related(self, one: Target, two: Target) -> bool:
        """Whether two parts are the front and rear one of a family."""
        return any({one.component, two.component} <= set(f.values()) for f in vocabulary().families)

    # ── conditions ───────────────────────────────────────────────────────────────────────────

    def _condition(self, index: int, event: Event) -> None:
        mention = event.mention
        good_for = self.talk.at(event.start - 1) in ("a", "some", "another", "the") and self.talk.at(event.end).isalpha() and mention is not None and mention.id == "sound"
        if mention is None or good_for or self._is_nod(event) or work.is_wished(self, index, event):
            return
        targets = self.targets_for(index, event)
        cue = self.scopes.denied(mention)
        if not targets and cue and self.talk.at(cue.start) == "nothing":
            targets = (Target("fasteners"),)
        for target, turned in self._by_control(index, event, targets):
            row = fitting_row(mention.rows, target.component)
            if row:
                self._observe(event, target, row, (cue is not None) != turned)

    def _by_control(self, index: int, event: Event, targets: tuple[Target, ...]) -> list[tuple[Target, bool]]:
        """ "brake light works from the pedal, not the lever": what is judged is each control's switch.

        Gives each target with whether "not" stands before its control.
        """
        table = vocabulary().worked_by.get(targets[0].component if targets else "", {})
        found: list[tuple[Target, bool]] = [(t, False) for t in self.controls if table and self.control_clause == event.clause]
        if found:
            return found
        for at in range(index + 1, min(index + 4, len(self.events))):
            later = self.events[at]
            if not table or later.start - event.end > 8 or later.kind != "part" or not later.part:
                break
            between = [self.talk.at(i) for i in range(event.end, later.start)]
            if not {"from", "off", "on", "with", "by", "via", "and", "or"} & set(between):
                break
            for control in self._controls(later.part):
                if control in table:
                    component, end = table[control]
                    found.append((Target(component, end), "not" in between))  # type: ignore[arg-type]
                    self.bound.add(at)
        return found or [(t, False) for t in targets]

    def _take_control(self, event: Event, part: Part) -> bool:
        """ "and off the lever only now and then": a control named before what is said of its lamp."""
        lamp = self.where.focus[0].component if self.where.focus else ""
        table = vocabulary().worked_by.get(lamp, {})
        names = [c for c in self._controls(part) if c in table]
        before = self.talk.at(event.start - 1)
        if not names or before not in ("from", "off", "on", "with", "by", "via") or self.open_list:
            return False
        self.controls = tuple(Target(*table[c]) for c in names)  # type: ignore[arg-type]
        self.control_clause = event.clause
        return True

    def _controls(self, part: Part) -> tuple[str, ...]:
        """Controls a phrase names: lever, pedal, "the front brake", "both"."""
        if "both" in part.word or part.ends == ("front", "rear"):
            return ("brake_lever", "brake_pedal")
        if part.component in (None, "brakes") and part.ends:
            return ("brake_lever" if part.ends[0] == "front" else "brake_pedal",)
        return (part.component or "",)

    def _observe(self, event: Event, target: Target, row: Row, denied: bool) -> None:
        assert event.mention is not None
        hedge = self.scopes.hedged(event.mention)
        condition, state = row.id, "present"
        if denied and condition == "sound":
            if not row.data.get("denied"):
                return
            condition = row.data["denied"]
        elif denied:
            state = "absent"
        if hedge and condition != "sound":
            state = "unsure"
        start = self._evidence_start(event)
        raw = Raw(target, start, event.end, event.clause, condition=condition, state=state, why=[row.name])  # type: ignore[arg-type]
        raw.word = (event.start, event.end)
        raw.words = " ".join(self.talk.norms[event.start : event.end])
        self.raws.append(raw)
        self.open_list = False

    def _evidence_start(self, event: Event) -> int:
        sentence = self.talk.clauses[event.clause].sentence
        subject = self.subject_at
        if subject >= 0 and self.talk.clauses[self.subject_clause].sentence == sentence and subject < event.start:
            return subject
        return self.talk.clauses[event.clause].start

    def _is_nod(self, event: Event) -> bool:
        """ "Good." or "okay, next": a word of approval that judges nothing."""
        clause = self.talk.clauses[event.clause]
        words = [w for w in self.talk.norms[clause.start : event.start] if w not in (",", "and")]
        first = self.talk.at(event.start)
        if first not in _NOD or event.end - event.start > 1 or words:
            return False
        if clause.opener == "." and (event.clause == 0 or self.talk.at(event.end) in (",", "so", "now", "then", "right", "next", "that", "this", "let", "we", "i")):
            return True
        if self.talk.at(event.end) in (".", "!", "", ",") and clause.opener == ".":
            return not self._just_named()
        return not self.talk.punctuated and self.talk.at(event.end) in ("so", "now", "next", "then", "that", "this", "right", "let", "we")

    def _just_named(self) -> bool:
        """Whether a part was named and nothing said of it yet."""
        return self.open_list

    def _unseen(self, index: int, event: Event) -> None:
        targets = self._object_of(index, reach=7) or self.where.focus
        if event.mention is None:
            return
        for target in targets:
            self.raws.append(Raw(target, self._evidence_start(event), event.end, event.clause, state="unseen", why=["cue:unseen"]))
        self.open_list = False

    def _exception(self, index: int, event: Event) -> None:
        """ "nothing loose except the left mirror", "none loose except one"."""
        sentence = self.talk.clauses[event.clause].sentence
        denied = [r for r in self.raws if r.state == "absent" and not r.dropped and self.talk.clauses[r.clause].sentence == sentence]
        sound = [r for r in self.raws if r.condition == "sound" and not r.dropped and self.talk.clauses[r.clause].sentence == sentence]
        later = self.events[index + 1] if index + 1 < len(self.events) else None
        if not denied:
            if sound and later and later.kind == "part" and later.part and later.start - event.end <= 3:
                self.bound.add(index + 1)
                for target in self.where.targets(later.part):
                    for raw in sound:
                        raw.dropped = raw.dropped or raw.target == target
            return
        raw = denied[-1]
        group = [r for r in denied if r.start == raw.start and r.condition == raw.condition]
        if later and later.kind == "part" and later.part and later.start - event.end <= 3 and later.part.component:
            self.bound.add(index + 1)
            targets = self.where.targets(later.part)
            for target in targets:
                self._again(raw, target)
                self.raws[-1].state = "present"
            self.subject_at, self.subject_clause = later.start, later.clause
        else:
            for one in group:
                one.state = "present"

    # ── binding ──────────────────────────────────────────────────────────────────────────────

    def targets_for(self, index: int, event: Event) -> tuple[Target, ...]:
        """What a condition or figure is said of: a part right after it, else the subject."""
        found = self._attributed(index, event) or self._after_preposition(index, event)
        return found or self.where.focus

    def _subject_here(self, event: Event) -> bool:
        """Whether the clause names a subject before an event."""
        clause = self.talk.clauses[event.clause]
        if clause.start <= self.subject_at < event.start and self.subject_clause == event.clause:
            return True
        goes_on = self.talk.at(clause.start + (clause.opener != ".")) in _BE | {"must", "needs", "wants", "will"}
        return goes_on and clause.opener == "," and self._same_sentence(event)

    def _attributed(self, index: int, event: Event) -> tuple[Target, ...]:
        """ "a cracked hose": an adjective right before the name, not one that ends a statement."""
        later = self.events[index + 1] if index + 1 < len(self.events) else None
        if later is None or later.kind != "part" or later.start != event.end or not later.part:
            return ()
        if not later.part.component or later.part.head[0] != later.start or later.clause != event.clause:
            return ()
        clause = self.talk.clauses[event.clause]
        before = self.talk.norms[clause.start : event.start]
        if self._subject_here(event) and (set(before) & _BE or (self.open_list and "," not in before)):
            return ()
        if event.mention and not any(fitting_row(event.mention.rows, later.part.component) for _ in (0,)):
            return ()
        return self._take(index + 1)

    def _after_preposition(self, index: int, event: Event) -> tuple[Target, ...]:
        """ "a crack in the sidewall", when no subject stands before it."""
        if self._subject_here(event) and not self._presented(event):
            return ()
        at = index
        while at + 1 < len(self.events) and self._lists_on(self.events[at], self.events[at + 1]):
            at += 1
        return self._object_after(at, reach=5)

    def _presented(self, event: Event) -> bool:
        """ "no play in the ...", "there's a crack in the ...": what follows names its part even after a subject."""
        noun = event.mention is not None and any(r.data.get("noun") for r in event.mention.rows)
        before = self.talk.norms[max(0, event.start - 3) : event.start]
        return noun and bool({"no", "there", "one"} & set(before)) and not {"has", "have", "with", "had"} & set(before)

    def _lists_on(self, one: Event, two: Event) -> bool:
        if two.kind != "condition":
            return False
        between = [self.talk.at(i) for i in range(one.end, two.start)]
        return len(between) <= 3 and all(w in (",", "or", "and", "nor", "no", "any") for w in between)

    def _object_after(self, index: int, reach: int) -> tuple[Target, ...]:
        """Targets of the part after a preposition that follows an event."""
        event = self.events[index]
        later = self.events[index + 1] if index + 1 < len(self.events) else None
        if later is None or later.kind != "part" or not later.part or later.start - event.end > reach:
            return ()
        if later.part.word == "zone" or self.talk.clauses[later.clause].sentence != self.talk.clauses[event.clause].sentence:
            return ()
        between = [self.talk.at(i) for i in range(event.end, later.part.head[0])]
        if not any(w in _INTO for w in between[:4]) or "," in between:
            return ()
        if later.part.component is None or self._controls_focus(later.part):
            return ()
        return self._take(index + 1)

    def _controls_focus(self, part: Part) -> bool:
        """Whether a part is a control of the lamp spoken of."""
        lamp = self.where.focus[0].component if self.where.focus else ""
        table = vocabulary().worked_by.get(lamp, {})
        return any(c in table for c in self._controls(part))

    def _object_of(self, index: int, reach: int) -> tuple[Target, ...]:
        """Targets of the part that a verb takes: "could not see the rear pads"."""
        event = self.events[index]
        for at in range(index + 1, min(index + 3, len(self.events))):
            later = self.events[at]
            if later.start - event.end > reach or later.kind in _PREDICATES:
                return ()
            if self.talk.clauses[later.clause].sentence != self.talk.clauses[event.clause].sentence:
                return ()
            between = [self.talk.at(i) for i in range(event.end, later.start)]
            if later.kind == "part" and later.part and later.part.component:
                stops = ("behind", "because", "with", "past", "for", "but", "without", "under", "until", "as", "since", "where", "so", ",", "and", "through", "till")
                if any(w in stops for w in between):
                    return ()
                return self._take_listed(at)
        return ()

    def _take_listed(self, at: int) -> tuple[Target, ...]:
        """A part and those listed after it: "the pads or the disc"."""
        targets = self._take(at)
        while at + 1 < len(self.events) and self.events[at + 1].kind == "part" and self._joins(at + 1, self.events[at + 1]):
            if self._own_predicate(at + 1, self.events[at + 1]):
                break
            at += 1
            targets = (*targets, *self._take(at))
        self.where.focus = targets
        return targets

    def _take(self, index: int) -> tuple[Target, ...]:
        """Binds the part of an event to something said before it; it becomes the subject."""
        event = self.events[index]
        assert event.part is not None
        self.bound.add(index)
        targets = self.where.targets(event.part, same_sentence=True)
        self.subject_at, self.subject_clause, self.open_list = event.start, event.clause, False
        return targets


def fitting_row(rows: tuple[Row, ...], component: str) -> Row | None:
    """The row of a condition word that holds for a component: one written for it first."""
    info = vocabulary().components[component]
    names = {component, info.group}
    general = None
    for row in rows:
        if row.data.get("of"):
            if names & set(row.data["of"]):
                return row
        elif not names & set(row.data.get("not_of", ())) and general is None:
            general = row
    return general
