"""Who may use the speech model: one at a time, and those who listen to somebody before the queue."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Condition

_LOOK_UP = 0.25
"""Seconds after which a waiting queue looks whether it is wanted at all."""


class Turns:
    """The turns of one speech model."""

    def __init__(self) -> None:
        self._changed = Condition()
        self._taken = False
        self._live = 0  # how many listen to somebody and wait

    @contextmanager
    def live(self) -> Iterator[None]:
        """The next turn."""
        with self._changed:
            self._live += 1
            self._changed.wait_for(lambda: not self._taken)
            self._live -= 1
            self._taken = True
        try:
            yield
        finally:
            self.leave()

    def wanted(self) -> bool:
        """Whether somebody speaks and waits."""
        with self._changed:
            return self._live > 0

    def take_last(self, seconds: float) -> bool:
        """Take a turn that nobody who speaks wants; False when there was none in this time."""
        with self._changed:
            if self._changed.wait_for(lambda: not self._taken and not self._live, seconds):
                self._taken = True
                return True
            return False

    def leave(self) -> None:
        """End a turn."""
        with self._changed:
            self._taken = False
            self._changed.notify_all()


class Queued:
    """The queue's own turn, which it gives up whenever somebody speaks.

    Args:
        turns: of the speech model.
        look_up: called while it waits; whatever it raises ends the wait.
    """

    def __init__(self, turns: Turns, look_up: Callable[[], None]) -> None:
        self._turns, self._look_up, self._held = turns, look_up, False

    def take(self) -> None:
        """Wait for the turn."""
        while not self._held:
            self._look_up()
            self._held = self._turns.take_last(_LOOK_UP)

    def give_way(self) -> None:
        """Let those go first who wait for somebody speaking."""
        if self._held and self._turns.wanted():
            self.leave()
            self.take()

    def leave(self) -> None:
        """End the turn, if it is had."""
        if self._held:
            self._held = False
            self._turns.leave()
