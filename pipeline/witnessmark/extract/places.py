"""From a noun phrase to the parts meant: which end, which side, one or several."""

from __future__ import annotations

from dataclasses import dataclass, field

from witnessmark.extract.talk import Part, Target
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import End, Side

_WHEEL_TALK = frozenset(("wheels", "brakes"))
_PLAINLY_TWO = frozenset(
    (
        "tyre",
        "wheel",
        "wheel_bearing",
        "brake_pads",
        "brake_disc",
        "brake_caliper",
        "brake_hose",
        "valve",
        "axle",
        "mudguard",
        "brakes",
        "brake_light_switch",
        "brake_shoes",
        "brake_drum",
    )
)
MANY = frozenset(("spokes", "fasteners"))
_TWINS = frozenset(("brake_disc", "brake_caliper", "brake_hose", "brake_pads"))
_BOTH_ENDS: tuple[End, ...] = ("front", "rear")
_BOTH_SIDES: tuple[Side, ...] = ("left", "right")
_CORNERS: tuple[tuple[End, Side], ...] = tuple((e, s) for e in _BOTH_ENDS for s in _BOTH_SIDES)


@dataclass(slots=True)
class Whereabouts:
    """Where on the machine the talk is, as it goes on."""

    heading: End | None = None
    """End set by a heading; holds until the next one."""
    local: End | None = None
    """End said with a part; holds while the talk stays on that wheel or brake."""
    focus: tuple[Target, ...] = ()
    """What was last spoken of."""
    stated: set[Target] = field(default_factory=set)
    """Targets of which something was said."""
    plural: bool = False
    """Whether the part last named was named in the plural."""
    spoken: list[Target] = field(default_factory=list)
    """All targets so far, latest last."""

    def head(self, part: Part) -> None:
        """Takes a phrase as a heading."""
        if part.word == "zone":
            self.heading, self.local = (part.ends[0] if part.ends else None), None
            return
        component = vocabulary().components[part.component or "machine"]
        if component.id in ("wheel", "brakes", "tyre", "wheel_bearing", "axle", "brake_drum") and part.ends:
            self.heading = part.ends[0] if len(part.ends) == 1 else None
            self.local = None
        elif component.group not in _WHEEL_TALK and component.id not in ("mudguard", "fork", "fork_seal"):
            self.heading = self.local = None

    def targets(self, part: Part, same_sentence: bool = False) -> tuple[Target, ...]:
        """The parts that a phrase means; the focus moves to them."""
        if part.component is None:
            found = self._elliptic(part)
        elif (same_sentence or part.pointed) and self._is_again(part):
            found = self.focus
        else:
            found = self._named(part, part.component)
        if part.component:
            self.plural = part.plural
        if found:
            self.focus = found
            self.spoken.extend(found)
        return found

    def _is_again(self, part: Part) -> bool:
        """Whether a phrase without a place names what is spoken of: "the left caliper ... its pin"."""
        bare = not (part.ends or part.sides or part.pairs or part.word)
        return bare and bool(self.focus) and all(t.component == part.component for t in self.focus)

    def only_place(self, end: End) -> None:
        """ "Spokes next, front wheel": the wheel says where the part just named is."""
        self.heading = end
        self.focus = tuple(
            Target(t.component, end, t.side) if vocabulary().components[t.component].takes_end else t
            for t in self.focus
        )

    def _named(self, part: Part, component: str) -> tuple[Target, ...]:
        family = next(
            (f for f in vocabulary().families if component == f["both"] and len(part.ends) == 1), None
        )
        if family:
            return (Target(family[part.ends[0]] or component, None, None),)
        if part.rule.startswith("shared") and part.ends == ("rear",):
            pair = next((f for f in vocabulary().families if f["front"] == component), None)
            component = (pair and pair["rear"]) or component
        info = vocabulary().components[component]
        if part.word.startswith("both") and (other := vocabulary().twofold.get(component)):
            return (Target(component), Target(other))
        if info.placing == "corner":
            return self._corners(part, component)
        ends = self._ends(part, component)
        sides = self._sides(part, component, info.placing)
        if info.takes_end and part.word.startswith("both") and len(part.ends) < 2 and not part.sides:
            if part.ends and component in _TWINS:
                ends, sides = part.ends, _BOTH_SIDES
            elif part.ends:
                pass
            elif self.is_twin(component):
                ends, sides = (self.heading or self.local,), _BOTH_SIDES
            else:
                ends = _BOTH_ENDS
        return tuple(Target(component, e, s) for e in ends for s in sides)

    def is_twin(self, component: str) -> bool:
        """Whether left and right ones of a part of one wheel have been spoken of, or a wheel is the topic."""
        return component in _TWINS and bool(self.heading or self.local)

    def _ends(self, part: Part, component: str) -> tuple[End | None, ...]:
        info = vocabulary().components[component]
        if not info.takes_end:
            if info.group not in _WHEEL_TALK:
                self.local = None
            return (None,)
        if part.ends:
            if len(part.ends) == 1:
                if self.heading and self.heading != part.ends[0]:
                    self.heading = None
                self.local = part.ends[0]
            else:
                self.local = None
            return part.ends
        if self.local or self.heading:
            return (self.local or self.heading,)
        if part.plural and component in _PLAINLY_TWO and not part.sides:
            return _BOTH_ENDS
        return (None,)

    def _sides(self, part: Part, component: str, placing: str) -> tuple[Side | None, ...]:
        if part.sides:
            return part.sides
        if part.word.startswith("both") and placing in ("pair", "sided"):
            return _BOTH_SIDES
        if part.word.startswith("other") and self.focus:
            return tuple(_opposite(t.side) for t in self.focus[:1])
        if "that" in part.word and self.spoken:
            return (self.spoken[-1].side,)
        if placing == "pair" and part.plural:
            return _BOTH_SIDES
        return (None,)

    def _corners(self, part: Part, component: str) -> tuple[Target, ...]:
        if part.pairs:
            return tuple(Target(component, e, s) for e, s in part.pairs)
        if part.word.startswith("others"):
            return self._remaining(component)
        ends: tuple[End | None, ...] = part.ends or ((self.local or self.heading,) if not part.plural else ())
        if part.ends and len(part.ends) == 1:
            self.local = None
        sides: tuple[Side | None, ...] = part.sides
        if part.word.startswith("both") or part.ends == _BOTH_ENDS:
            sides = sides or _BOTH_SIDES
        if part.plural or part.word.startswith("both"):
            ends, sides = ends or _BOTH_ENDS, sides or _BOTH_SIDES
        return tuple(Target(component, e, s) for e in ends or (None,) for s in sides or (None,))

    def _remaining(self, component: str) -> tuple[Target, ...]:
        said = {(t.end, t.side) for t in self.stated if t.component == component}
        if len(said) == len(_CORNERS):  # "all four work, no, rear left flickers, the other three work"
            said = {(t.end, t.side) for t in self.focus if t.component == component}
        return tuple(Target(component, e, s) for e, s in _CORNERS if (e, s) not in said)

    def _elliptic(self, part: Part) -> tuple[Target, ...]:
        """A bare place: the part last spoken of that can be there."""
        last = self._antecedent(part)
        if last is None:
            if len(part.ends) == 1:
                self.heading = part.ends[0]
            return ()
        component = last.component
        if "others" in part.word or (part.pairs and component == "indicator"):
            return (
                self._remaining(component)
                if "others" in part.word
                else self._named(
                    Part(part.start, part.end, part.head, component, pairs=part.pairs), component
                )
            )
        family = next((f for f in vocabulary().families if component in f.values()), None)
        if family and len(part.ends) == 1 and family[part.ends[0]]:
            return (Target(family[part.ends[0]] or component, None, part.sides[0] if part.sides else None),)
        if "other" in part.word and not part.ends and not part.sides:
            return (_other(last),)
        if "both" in part.word and not part.ends and not part.sides:
            return self._both(last)
        info = vocabulary().components[component]
        if info.placing == "corner" and part.ends and not part.sides and (part.plural or "both" in part.word):
            return tuple(Target(component, e, s) for e in part.ends for s in _BOTH_SIDES)
        if info.placing == "corner" and (part.plural or "both" in part.word) and not part.ends:
            return tuple(Target(component, e, s) for e in _BOTH_ENDS for s in part.sides)
        ends: tuple[End | None, ...] = part.ends or (last.end,)
        sides: tuple[Side | None, ...] = part.sides or (
            (last.side,) if info.placing == "corner" and part.ends else (None,)
        )
        if not info.takes_end:
            ends = (None,)
        elif len(part.ends) == 1 and not self.heading:
            self.local = part.ends[0]
        return tuple(Target(component, e, s) for e in ends for s in sides)

    def _antecedent(self, part: Part) -> Target | None:
        components = vocabulary().components
        for target in reversed(self.spoken[-8:]):
            info = components[target.component]
            if part.sides and target.component in vocabulary().sideless:
                continue
            if (
                part.ends
                and not info.takes_end
                and not any(target.component in f.values() for f in vocabulary().families)
            ):
                continue
            return target
        return None

    def _both(self, last: Target) -> tuple[Target, ...]:
        """ "either", "neither", "both of them": the two last spoken of, or the pair of the last."""
        if len({t.component for t in self.focus}) > 1:
            return self.focus
        if last.component in MANY:
            return (last,)  # "two loose spokes, tightened both of them"
        two = [t for t in self.focus if t.component == last.component]
        if len(two) > 1:
            return tuple(two)
        before = next((t for t in reversed(self.spoken[-4:]) if t.component != last.component), None)
        alone = (
            len(self.focus) == 1
            and not last.side
            and vocabulary().components[last.component].placing != "pair"
        )
        if before and alone and not self.plural:
            return (before, last)
        earlier = [t for t in self.spoken[-4:] if t.component == last.component]
        distinct = tuple(dict.fromkeys(earlier))
        if len(distinct) == 2:
            return distinct
        if other := vocabulary().twofold.get(last.component):
            return (last, Target(other))
        info = vocabulary().components[last.component]
        if info.placing == "once":
            return (last,)
        if info.takes_end and not last.side and not (last.end and self.is_twin(last.component)):
            return tuple(Target(last.component, e, None) for e in _BOTH_ENDS)
        return tuple(Target(last.component, last.end, s) for s in _BOTH_SIDES)


def _opposite(side: Side | None) -> Side | None:
    return {"left": "right", "right": "left"}.get(side or "")  # type: ignore[return-value]


def _other(last: Target) -> Target:
    """The one across: the other side if a side was said, else the other end."""
    if last.side:
        return Target(last.component, last.end, _opposite(last.side))
    if last.end:
        return Target(last.component, "rear" if last.end == "front" else "front", None)
    family = next((f for f in vocabulary().families if last.component in f.values()), None)
    if family and last.component == family["front"] and family["rear"]:
        return Target(family["rear"])
    if family and last.component == family["rear"] and family["front"]:
        return Target(family["front"])
    return last
