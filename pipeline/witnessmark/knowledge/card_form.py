"""The text of a new machine card: how the machine is built, and what to look up in its handbook."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from witnessmark.knowledge.card_checks import built_of, not_filled_in, places
from witnessmark.knowledge.card_rules import Wanted, WantedWork
from witnessmark.knowledge.cards import CardFigure, Interval, MachineCard, plain
from witnessmark.types import End
from witnessmark.units import text_of

BUILT = ("front_brake", "rear_brake", "final_drive", "cooling", "engine", "gears", "shocks", "wheels", "abs")
FACTS = ("machine_class", "capacity_cc", "chemistry", "rims", "fluid", "clutch", "rear_teeth")
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
    blank = like.model_copy(update={"figures": (), "markings": (), "intervals": ()})
    wanted = not_filled_in(blank)
    figures = [row for row in wanted if isinstance(row, Wanted) and row.kind != "marking"]
    markings = [row for row in wanted if isinstance(row, Wanted) and row.kind == "marking"]
    works = [row for row in wanted if isinstance(row, WantedWork)]
    return "\n".join(
        (
            head + "\n".join(_facts(like)),
            "\nfigures:",
            *(line for row in figures for line in _figures(identity, row, like)),
            "\nmarkings:",
            *(line for row in markings for line in _markings(identity, row, like)),
            "\nintervals:",
            *(_interval(identity, row, like) for row in works),
            "",
        )
    )


def _facts(like: MachineCard) -> Iterator[str]:
    for key in BUILT:
        if value := getattr(like, key):
            yield f"{key}: {value}"
    yield "\n# what limits depend on: fill in and take the # away"
    for key in FACTS:
        value = getattr(like, key)
        usual = f"{value:g}" if isinstance(value, float) else value
        yield f"# {key}: {OPEN}{'' if value is None else f'  # usual {usual}'}"


def _row(fields: Iterable[tuple[str, object]], asks: str, usual: str) -> str:
    inner = ", ".join(f"{key}: {value}" for key, value in fields if value is not None)
    return f"  # - {{{inner}}}  # {asks}{f'; usual {usual}' if usual else ''}"


def _named(identity: str, *parts: str | None) -> str:
    return ".".join(filter(None, (identity, *parts)))


def _ends(component: str, like: MachineCard) -> tuple[End | None, ...]:
    return places(component, built_of(like))


def _figures(identity: str, wanted: Wanted, like: MachineCard) -> Iterator[str]:
    for end in _ends(wanted.component, like):
        usual = next((figure for figure in like.figures if _same(figure, wanted, end)), None)
        bounds = ("low", "high") if wanted.kind == "range" else (wanted.kind,)
        yield _row(
            [
                ("id", _named(identity, wanted.id, end)),
                ("component", wanted.component),
                ("end", end),
                ("quantity", wanted.quantity),
                ("kind", wanted.kind),
                *((bound, OPEN) for bound in bounds),
                ("unit", quoted(wanted.unit) if wanted.unit == "%" else wanted.unit),
                ("laden", "true" if wanted.laden else None),
            ],
            wanted.asks,
            figure_text(usual) if usual else "",
        )


def _same(figure: CardFigure, wanted: Wanted, end: End | None) -> bool:
    subject = (wanted.component, wanted.quantity, wanted.laden)
    return (figure.component, figure.quantity, figure.laden) == subject and figure.end in (None, end)


def figure_text(figure: CardFigure) -> str:
    """``1.8 to 2.25 bar``, ``at least 1 mm``."""
    if figure.low is not None and figure.high is not None:
        return f"{figure.low:,g} to {text_of(figure.high, figure.unit)}"
    words = (("at least ", figure.low), ("at most ", figure.high), ("", figure.target))
    return next(f"{word}{text_of(bound, figure.unit)}" for word, bound in words if bound is not None)


def _markings(identity: str, wanted: Wanted, like: MachineCard) -> Iterator[str]:
    subject = (wanted.component, wanted.quantity)
    for end in _ends(wanted.component, like):
        usual = [
            m.text for m in like.markings if (m.component, m.quantity) == subject and m.end in (None, end)
        ]
        yield _row(
            [
                ("id", _named(identity, wanted.id, end)),
                ("component", wanted.component),
                ("end", end),
                ("quantity", wanted.quantity),
                ("text", OPEN),
            ],
            wanted.asks,
            *(usual[:1] or [""]),
        )


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
