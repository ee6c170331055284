"""One finding each: repetitions fall together, later words replace earlier ones they contradict."""

from __future__ import annotations

from witnessmark.extract.raw import Raw
from witnessmark.extract.talk import Target


def merge(raws: list[Raw]) -> list[Raw]:
    """Findings in the order they were first said."""
    observations = _observations([r for r in raws if r.is_observation])
    readings = _readings([r for r in raws if r.quantity is not None])
    actions = _actions([r for r in raws if r.action is not None])
    seen = {r.target for r in (*observations, *readings) if r.state != "unseen"}
    observations = [r for r in observations if r.state != "unseen" or not _seen(r.target, seen)]
    return sorted((*observations, *readings), key=lambda r: r.start) + actions


def _seen(target: Target, seen: set[Target]) -> bool:
    return target in seen


def _observations(raws: list[Raw]) -> list[Raw]:
    kept: dict[tuple[Target, str | None], Raw] = {}
    for raw in raws:
        key = (raw.target, raw.condition)
        earlier = kept.get(key)
        if earlier is None:
            kept[key] = raw
        elif (
            earlier.state == "present"
            and raw.state == "absent"
            and raw.words != earlier.words
            and raw.clause - earlier.clause <= 1
        ):
            continue  # "low but not empty" is low
        elif earlier.state != raw.state:
            raw.said_first = raw.said_first or earlier.state
            kept[key] = raw
    return list(kept.values())


def _readings(raws: list[Raw]) -> list[Raw]:
    kept: dict[tuple[object, ...], Raw] = {}
    for raw in raws:
        twin = kept.setdefault((raw.target, raw.quantity, raw.phase, raw.value, raw.unit), raw)
        if twin.limit is None:
            twin.limit = raw.limit
    return list(kept.values())


def _actions(raws: list[Raw]) -> list[Raw]:
    kept: dict[tuple[Target, str | None, str], Raw] = {}
    for raw in raws:
        kept.setdefault((raw.target, raw.action, raw.status), raw)
    return list(kept.values())
