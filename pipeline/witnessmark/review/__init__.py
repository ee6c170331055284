"""Review: a person decides on every drafted item; only what was confirmed leaves this stage.

``queue`` says what to look at next, ``check`` whether a decision fits, ``apply`` what the trail comes to.
The dialogue in ``review.dialogue`` drives them from a terminal.
"""

from witnessmark.review.outcome import apply
from witnessmark.review.standing import MACHINE, queue
from witnessmark.review.validity import check

__all__ = ["MACHINE", "apply", "check", "queue"]
