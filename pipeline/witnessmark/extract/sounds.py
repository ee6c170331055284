"""How alike two words sound and look."""

from __future__ import annotations

from functools import lru_cache

_CLASSES = {c: n for n, group in enumerate(("PBFVMW", "TD0", "KGXJ", "SZ", "NM", "RL", "HY")) for c in group}


@lru_cache(maxsize=65536)
def code_of(word: str) -> str:
    """Metaphone code of a word, doubled sounds and inner vowels left out."""
    import jellyfish

    code = "".join(c for c in jellyfish.metaphone(word) if c.isalnum())
    kept = code[:1] if code[:1] not in "AEIOU" else "A"
    for letter in code[1:]:
        if letter != kept[-1:] and letter not in "AEIOUH":
            kept += letter
    return kept


def class_keys(code: str) -> set[str]:
    """A code by classes of sound, whole and with each one sound left out."""
    classes = "".join(str(_CLASSES.get(c, c)) for c in code)
    return {classes, *(classes[:i] + classes[i + 1 :] for i in range(len(classes)))}


@lru_cache(maxsize=65536)
def likeness(one: str, two: str) -> float:
    """How alike two words are spelled, 0 to 1 (Jaro-Winkler)."""
    import jellyfish

    return float(jellyfish.jaro_winkler_similarity(one, two))


@lru_cache(maxsize=65536)
def sound_distance(one: str, two: str) -> float:
    """Edit distance on codes; sounds of one class differ by little, H and vowels by less."""
    rows = [[0.0] * (len(two) + 1) for _ in range(len(one) + 1)]
    for i in range(len(one) + 1):
        for j in range(len(two) + 1):
            if not i or not j:
                rows[i][j] = 0.6 * (i + j)
                continue
            a, b = one[i - 1], two[j - 1]
            swap = 0.0 if a == b else 0.35 if _CLASSES.get(a) == _CLASSES.get(b) else 1.0
            rows[i][j] = min(rows[i - 1][j - 1] + swap, rows[i - 1][j] + 0.6, rows[i][j - 1] + 0.6)
    return rows[-1][-1]
