"""How large a figure can be that somebody types: ``furthest`` of ``models/trade/quantities.yaml``."""

from __future__ import annotations

from functools import cache

from witnessmark.errors import KnowledgeError
from witnessmark.knowledge.files import read_yaml
from witnessmark.knowledge.vocabulary import vocabulary


@cache
def furthest() -> dict[str, float]:
    """Quantity → largest magnitude in its canonical unit.

    Raises:
        KnowledgeError: a quantity that is measured in numbers has none.
    """
    raw = read_yaml("trade/quantities.yaml")
    own = dict(raw["furthest"])
    times = own.pop("times")
    found = {key: times * max(map(abs, bounds)) for key, bounds in raw["plausible"].items()} | own
    for key, (unit, _) in vocabulary().quantities.items():
        if unit is not None and key not in found:
            raise KnowledgeError(f"nothing bounds {key}", "trade/quantities.yaml", "Give it a `furthest`.")
    return found
