"""One speech model, and who speaks just now comes first."""

from __future__ import annotations

import threading
import time

import pytest

from witnessmark.desk.walk.turns import Queued, Turns


def never() -> None:
    """Nobody wants the wait to end."""


def test_the_queue_lets_who_speaks_go_first() -> None:
    turns, order = Turns(), []
    queued = Queued(turns, never)
    queued.take()

    def speak() -> None:
        with turns.live():
            order.append("live")

    thread = threading.Thread(target=speak)
    thread.start()
    while not turns.wanted():
        time.sleep(0.001)
    assert order == []
    queued.give_way()
    order.append("queue")
    thread.join(5)
    assert order == ["live", "queue"]
    queued.give_way()
    assert not turns.take_last(0.01)
    queued.leave()
    assert turns.take_last(0.01)


def test_a_wait_that_is_called_off_takes_nothing() -> None:
    turns = Turns()
    calls = []

    def stop() -> None:
        calls.append(1)
        if len(calls) > 1:
            raise KeyboardInterrupt

    queued = Queued(turns, stop)
    with turns.live():
        with pytest.raises(KeyboardInterrupt):
            queued.take()
        queued.leave()
        assert not turns.take_last(0.01)
    assert turns.take_last(0.01)


def test_no_two_use_the_model_at_once() -> None:
    turns, inside, most = Turns(), [0], [0]

    def work() -> None:
        inside[0] += 1
        most[0] = max(most[0], inside[0])
        time.sleep(0.001)
        inside[0] -= 1

    def speak() -> None:
        for _ in range(20):
            with turns.live():
                work()

    def read() -> None:
        queued = Queued(turns, never)
        for _ in range(20):
            queued.take()
            work()
            queued.give_way()
            work()
            queued.leave()

    threads = [threading.Thread(target=one) for one in (speak, speak, read)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(20)
    assert most == [1]
    assert turns.take_last(0.01)
