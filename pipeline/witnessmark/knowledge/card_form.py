"""The text of a new machine card: how the machine is built, and what to look up in its handbook."""

from __future__ import annotations

from collections.abc import Iterable

from witnessmark.knowledge.card_gaps import Gap, not_filled_in
from witnessmark.knowledge.card_rules import Fact, Wanted, WantedWork
from witnessmark.knowledge.cards import CardFigure, Interval, MachineCard, plain
from witnessmark.types import End
from witnessmark.units import text_of

BUILT = ("front_brake", "rear_brake", "final_drive", "cooling", "engine", "gears", "shocks", "wheels", "abs")
BLANK: dict[str, object] = {
    "figures": (),
    "markings": (),
    "intervals": (),
    **dict.fromkeys(("machine_class", "capacity_cc", "chemistry", "rims", "fluid", "clutch", "rear_teeth")),
}
"""A card of which only the build is known."""
OPEN = '"?"'
"""What stands where the handbook has to be looked up; a row that still has it is refused."""
HEAD = """\
# Machine card. Look up the handbook: put the maker's figure in the place of each "?" and take the # before
# the row away. A row that keeps its # counts for nothing. What is called usual is that of {like},
# and no maker's. A row may say its own source and sureness. `witnessmark card check` says what is wrong and
# what is missing.

id: {id}
name: {name}
registrations: [{registration}]
source: {source}
sureness: read

# how it is built: mend what differs
"""


def quoted(text: str) -> str:
    """A text as YAML takes it, whatever is in it."""
    import json

    return json.dumps(text, ensure_ascii=False)


def card_text(registration: str, name: str, source: str, like: MachineCard) -> str:
    """A card to fill in: valid as it stands, with every figure still commented out.

    Args:
        registration: of the machine.
        name: of the model, as spoken.
        source: the handbook.
        like: the card of a class, or of another model, that is built the same.
    """
    identity = plain(registration).lower()
    head = HEAD.format(
        like=f"the {like.name}",
        id=identity,
        name=quoted(name),
        registration=quoted(registration),
        source=quoted(source),
    )
    gaps = not_filled_in(like.model_copy(update=BLANK))
    return "\n".join(
        (
            head + "\n".join(f"{key}: {value}" for key in BUILT if (value := getattr(like, key))),
            "\n# what limits depend on: fill in and take the # away",
            *(_fact(gap.row, like) for gap in gaps if isinstance(gap.row, Fact)),
            "\nfigures:",
            *(_figure(identity, gap, like) for gap in gaps if _kind(gap) == "figure"),
            "\nmarkings:",
            *(_marking(identity, gap, like) for gap in gaps if _kind(gap) == "marking"),
            "\nintervals:",
            *(_interval(identity, gap.row, like) for gap in gaps if isinstance(gap.row, WantedWork)),
            "",
        )
    )


def _kind(gap: Gap) -> str:
    if not isinstance(gap.row, Wanted):
        return ""
    return "marking" if gap.row.kind == "marking" else "figure"


def _fact(fact: Fact, like: MachineCard) -> str:
    value = getattr(like.usual if like.kind == "class" else like, fact.id)
    usual = f"{value:g}" if isinstance(value, float) else value
    return f"# {fact.id}: {OPEN}  # {fact.asks}{f'; usual {usual}' if usual else ''}"


def _row(fields: Iterable[tuple[str, object]], asks: str, usual: str) -> str:
    inner = ", ".join(f"{key}: {value}" for key, value in fields if value is not None)
    return f"  # - {{{inner}}}  # {asks}{f'; usual {usual}' if usual else ''}"


def _named(identity: str, *parts: str | None) -> str:
    return ".".join(filter(None, (identity, *parts)))


def _subject(identity: str, gap: Gap, row: Wanted) -> list[tuple[str, object]]:
    return [
        ("id", _named(identity, row.id, gap.end)),
        ("component", row.component),
        ("end", gap.end),
        ("quantity", row.quantity),
    ]


def _figure(identity: str, gap: Gap, like: MachineCard) -> str:
    wanted = gap.row
    assert isinstance(wanted, Wanted)  # the caller took the figures only
    usual = next((figure for figure in like.figures if _same(figure, wanted, gap.end)), None)
    bounds = ("low", "high") if wanted.kind == "range" else (wanted.kind,)
    fields = [
        *_subject(identity, gap, wanted),
        ("kind", wanted.kind),
        *((bound, OPEN) for bound in bounds),
        ("unit", quoted(wanted.unit) if wanted.unit == "%" else wanted.unit),
        ("laden", "true" if wanted.laden else None),
    ]
    return _row(fields, wanted.asks, figure_text(usual) if usual else "")


def _same(figure: CardFigure, wanted: Wanted, end: End | None) -> bool:
    subject = (wanted.component, wanted.quantity, wanted.laden)
    return (figure.component, figure.quantity, figure.laden) == subject and figure.end in (None, end)


def figure_text(figure: CardFigure) -> str:
    """``1.8 to 2.25 bar``, ``at least 1 mm``."""
    if figure.low is not None and figure.high is not None:
        return f"{figure.low:,g} to {text_of(figure.high, figure.unit)}"
    words = (("at least ", figure.low), ("at most ", figure.high), ("", figure.target))
    return next(f"{word}{text_of(bound, figure.unit)}" for word, bound in words if bound is not None)


def _marking(identity: str, gap: Gap, like: MachineCard) -> str:
    wanted = gap.row
    assert isinstance(wanted, Wanted)  # the caller took the markings only
    same = (wanted.component, wanted.quantity)
    usual = [m.text for m in like.markings if (m.component, m.quantity) == same and m.end in (None, gap.end)]
    return _row([*_subject(identity, gap, wanted), ("text", OPEN)], wanted.asks, *(usual[:1] or [""]))


def _interval(identity: str, wanted: WantedWork, like: MachineCard) -> str:
    subject = (wanted.component, wanted.work)
    usual = [every_text(row) for row in like.intervals if (row.component, row.work) == subject]
    return _row(
        [
            ("id", _named(identity, wanted.id, wanted.work)),
            ("component", wanted.component),
            ("work", wanted.work),
            ("every", OPEN),
            ("unit", "km"),
            ("months", OPEN),
        ],
        wanted.asks,
        *(usual[:1] or [""]),
    )


def every_text(row: Interval) -> str:
    """``every 4,000 km or 12 months``."""
    way = [f"{row.every:,.0f} {row.unit}"] if row.every else []
    return f"every {' or '.join([*way, *([f'{row.months:g} months'] if row.months else [])])}"
