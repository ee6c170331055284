"""Words that deny and are no denial of a condition: "could not see", a reply, a longer phrase."""

from __future__ import annotations

from witnessmark.extract.lookup import Mention
from witnessmark.extract.talk import Talk


def inside_phrase(talk: Talk, cue: Mention) -> bool:
    """Whether a cue is part of a longer phrase: the bar of "back to the bar" is no exception."""
    longer = talk.between(talk.of("condition"), cue.start - 8, cue.start + 1)
    return any(m.end >= cue.end and m.end - m.start > cue.end - cue.start for m in longer)


def denies_seeing(talk: Talk, cue: Mention) -> bool:
    """ "could not see any cracks" rules cracks out; it does not say that nobody looked."""
    tail = [talk.at(i) for i in range(cue.end, cue.end + 3)]
    seeing = talk.at(cue.end - 1) in (
        "see",
        "seen",
        "find",
        "hear",
        "measure",
        "read",
        "get",
        "been",
        "got",
        "had",
    )
    who = cue.start - 1
    if talk.at(who) in ("i", "we") and any(p.component for p in talk.ending(talk.parts, who)):
        return False  # "pads I could not see | rotor scored"
    near = talk.between(talk.of("condition"), cue.end, cue.end + 3)
    conditions = {m.start for m in near if m.rows[0].data.get("noun")}
    return seeing and (
        "any" in tail[:2]
        or (any(i in conditions for i in range(cue.end, cue.end + 3)) and tail[:1] != ["the"])
    )


def is_reply(talk: Talk, cue: Mention) -> bool:
    """ "no, rear": the word corrects and does not deny."""
    return talk.at(cue.start) == "no" and talk.at(cue.end) in (
        ",",
        ".",
        "...",
        "!",
        "-",
        "wait",
        "sorry",
        "hang",
    )
