"""Review in a terminal: one item at a time, each decision kept at once."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import TYPE_CHECKING, NamedTuple

from witnessmark.errors import DecisionError, WitnessmarkError
from witnessmark.review.fields import LEAVE, Ask, Form, GivenUpError, addition, correction
from witnessmark.review.outcome import apply
from witnessmark.review.standing import Entry, Standing, queue, standings
from witnessmark.review.wording import lines, printable, says
from witnessmark.types import Decision, DecisionKind, Evidence, Outcome, Walkround

if TYPE_CHECKING:
    from rich.console import RenderableType

Show = Callable[["RenderableType"], None]


def review_in_terminal(
    walkround: Walkround,
    who: str,
    ask: Ask,
    show: Show,
    decide: Callable[[Decision], None],
    play: Callable[[Evidence], None] | None = None,
) -> Outcome:
    """Go through the waiting items with a reviewer.

    Args:
        walkround: with the trail so far.
        who: name of the reviewer.
        ask: puts a question and returns what was typed; ``EOFError`` and ``KeyboardInterrupt`` end the
            sitting.
        show: prints a Rich renderable or a string.
        decide: stores one decision. It is called before the next question, so that whatever ends the
            sitting, nothing decided is lost.
        play: plays a stretch of the recording, where there is sound.

    Returns:
        What the trail comes to when the sitting ends.

    Raises:
        DecisionError: ``who`` names nobody.
        WitnessmarkError: what ``decide`` raised; everything decided before is kept.
    """
    if not who.strip():
        raise DecisionError("the review names nobody", remedy="Say who decides.")
    sitting = _Sitting(walkround, who, ask, show, decide, play)
    try:
        while sitting.step():
            pass
    except (EOFError, KeyboardInterrupt):
        pass
    outcome = apply(sitting.walkround)
    sitting.say(f"Kept. Decided in this sitting: {sitting.count}. Still waiting: {len(outcome.waiting)}.")
    return outcome


class _Key(NamedTuple):
    word: str
    does: str
    act: Callable[[_Sitting, Standing | None], bool]
    """Returns whether the sitting goes on."""


class _Sitting:
    """The state of one sitting: the trail as it grows, what can be undone, what was put aside."""

    def __init__(
        self,
        walkround: Walkround,
        who: str,
        ask: Ask,
        show: Show,
        decide: Callable[[Decision], None],
        play: Callable[[Evidence], None] | None,
    ) -> None:
        self.walkround, self.who, self.show, self.decide, self.play = walkround, who, show, decide, play
        self.form = Form(ask, self.say)
        self.done: list[str] = []
        """Keys decided or put aside here and not undone, oldest first."""
        self.aside: set[str] = set()
        """Keys postponed here: they wait, but are not shown again in this sitting."""
        self.again: str | None = None
        """Key just undone: shown next."""

    @property
    def count(self) -> int:
        """Items decided here, those put aside not counted."""
        return len(set(self.done) - self.aside)

    def say(self, line: str) -> None:
        """One line to the reviewer, never read as markup."""
        from rich.text import Text

        self.show(Text(printable(line)))

    def step(self) -> bool:
        """Show the next item and do what the reviewer types; False ends the sitting."""
        standing = self._next()
        self._present(standing)
        while True:
            keys = self._keys(standing)
            typed = self.form.ask(f"{', '.join(f'{key} {row.word}' for key, row in keys.items())} > ")
            row = _chosen(typed, keys)
            if row is None:
                for key, known in keys.items():
                    self.say(f"{key}  {known.word}: {known.does}")
                continue
            try:
                return row.act(self, standing)
            except GivenUpError:
                self.say("Left as it was.")
            except DecisionError as error:
                self._refuse(error)

    def _next(self) -> Standing | None:
        known = standings(self.walkround)
        waiting = [key for key in queue(self.walkround) if key not in self.aside]
        if self.again in waiting:
            return known[self.again]
        return known[waiting[0]] if waiting else None

    def _present(self, standing: Standing | None) -> None:
        from rich.panel import Panel
        from rich.text import Text

        if standing is None:
            put_aside = f" Put aside: {len(self.aside)}." if self.aside else ""
            self.say(f"Nothing more waits in this sitting.{put_aside}")
            return
        left = len(queue(self.walkround))
        shown = Text("\n".join(lines(self.walkround, standing)))
        self.show(Panel(shown, title=Text(f"{standing.key}, {left} waiting"), title_align="left"))

    def _keys(self, standing: Standing | None) -> dict[str, _Key]:
        keys = dict(_ON_AN_ITEM) if standing else {}
        if standing and self.play and any(piece.start is not None for piece in standing.proposal.evidence):
            keys["l"] = _Key("listen", "hear the words again", _Sitting.listen)
        return keys | (_ALWAYS if self.done else {k: row for k, row in _ALWAYS.items() if k != "u"})

    def take(self, key: str, kind: DecisionKind, why: str = "", becomes: Entry | None = None) -> bool:
        """Check a decision, store it, and only then count it as made."""
        decision = Decision(
            walkround=self.walkround.id,
            item=key,
            kind=kind,
            who=self.who,
            when=datetime.now(UTC),
            why=why,
            becomes=becomes,
        )
        after = apply(self.walkround, [decision]).walkround
        self.decide(decision)
        self.walkround, self.again = after, None
        self.done.append(key)
        return True

    def confirm(self, standing: Standing | None) -> bool:
        """Let the item in as it stands."""
        assert standing is not None
        return self.take(standing.key, DecisionKind.CONFIRM)

    def correct(self, standing: Standing | None) -> bool:
        """Ask for the item field by field and let that in."""
        assert standing is not None
        self._explain_fields()
        return self._settle(DecisionKind.CORRECT, standing.key, correction(self.form, standing.proposal))

    def reject(self, standing: Standing | None) -> bool:
        """Keep the item out, with a reason."""
        assert standing is not None
        why = self.form.text("Why is it wrong") or ""
        return self.take(standing.key, DecisionKind.REJECT, why)

    def add(self, standing: Standing | None) -> bool:
        """Ask for an item that the draft lacks, then come back to the one in hand."""
        known = standings(self.walkround)
        key = next(key for n in range(1, len(known) + 2) if (key := f"added-{n}") not in known)
        self._explain_fields()
        self._settle(DecisionKind.ADD, key, addition(self.form, key))
        self.again = standing.key if standing else None
        return True

    def _settle(self, kind: DecisionKind, key: str, becomes: Entry) -> bool:
        """Decide for ``becomes``; where it does not fit, ask for it again with what was typed."""
        while True:
            self.say(f"Will read: {says(becomes)}")
            why = self.form.text("Why", optional=True) or ""
            try:
                return self.take(key, kind, why, becomes)
            except DecisionError as error:
                self._refuse(error)
                becomes = correction(self.form, becomes)

    def postpone(self, standing: Standing | None) -> bool:
        """Leave the item waiting for another sitting."""
        assert standing is not None
        self.aside.add(standing.key)
        return self.take(standing.key, DecisionKind.POSTPONE)

    def undo(self, _: Standing | None) -> bool:
        """Put the last item decided here back to waiting; the trail keeps both decisions."""
        key = self.done[-1]
        if key in self.aside:
            self.aside.remove(key)
        else:
            self.take(key, DecisionKind.POSTPONE, "undone by the reviewer")
            self.done.pop()
        self.done.pop()
        self.again = key
        return True

    def listen(self, standing: Standing | None) -> bool:
        """Play the words behind the item."""
        assert standing is not None
        assert self.play is not None
        self.again = standing.key
        for piece in standing.proposal.evidence:
            try:
                self.play(piece)
            except WitnessmarkError as error:
                self.say(f"Cannot be played: {error.what}. {error.remedy or ''}")
        return True

    def quit(self, _: Standing | None) -> bool:
        """End the sitting; what was decided is stored already."""
        return False

    def _refuse(self, error: DecisionError) -> None:
        self.say(f"Not taken: {error.what}. {error.remedy or ''}")

    def _explain_fields(self) -> None:
        self.say(f"Enter keeps what is in brackets; a single {LEAVE} leaves the item as it was.")


def _chosen(typed: str, keys: dict[str, _Key]) -> _Key | None:
    """The row whose key or whole word was typed. An empty line chooses nothing, so it confirms nothing."""
    wanted = typed.strip().casefold()
    return keys.get(wanted) or next((row for row in keys.values() if row.word == wanted), None)


_ON_AN_ITEM = {
    "y": _Key("confirm", "it enters the record as it stands", _Sitting.confirm),
    "c": _Key("correct", "it enters the record as you put it", _Sitting.correct),
    "r": _Key("reject", "it stays out, and you say why", _Sitting.reject),
    "p": _Key("postpone", "it waits for another sitting", _Sitting.postpone),
}
_ALWAYS = {
    "a": _Key("add", "put in something that the draft lacks", _Sitting.add),
    "u": _Key("undo", "the last item you decided here waits again", _Sitting.undo),
    "q": _Key("quit", "end here; what you decided is kept", _Sitting.quit),
}
