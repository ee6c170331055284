"""Every declared limit as one line of a table."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from witnessmark.knowledge.electrics import Aim, electrics
from witnessmark.knowledge.figures import GENERIC, Figure, LimitRow, MachineIs
from witnessmark.knowledge.limits import jurisdictions, limit_rows, practice, rules
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Basis
from witnessmark.units import text_of

DIP = "dip of the cut-off"


class Line(NamedTuple):
    """One limit in words."""

    component: str
    part: str
    quantity: str
    where: str
    machine: str
    limit: str
    basis: str
    broken: str
    """Grade of a reading that breaks it; empty where severity.yaml decides."""
    source: str
    sureness: str
    id: str
    note: str


def lines(components: Iterable[str] = (), jurisdiction: str | None = None) -> list[Line]:
    """The limits of these components (of all, without any) that hold in a country (anywhere, without one).

    By component and quantity in the order of the vocabulary; of each, law before common practice.
    """
    wanted, chain = set(components), rules(jurisdiction).chain if jurisdiction else tuple(jurisdictions())
    rows = [_of_row(row) for row in limit_rows() if row.jurisdiction in chain]
    rows += [_of_aim(row) for row in electrics().aim if row.jurisdiction in chain]
    parts, quantities = list(vocabulary().components), [name for _, name in vocabulary().quantities.values()]
    quantities.append(DIP)
    bases = [basis.value for basis in Basis]
    kept = [row for row in rows if not wanted or row.component in wanted]
    return sorted(
        kept,
        key=lambda row: (
            parts.index(row.component),
            quantities.index(row.quantity),
            bases.index(row.basis),
            row.where,
        ),
    )


def named(name: str) -> list[str]:
    """Components that a name or an id means, such as ``brake pads``, ``tyre`` or ``brakes`` (a group)."""
    plain = name.lower().replace("_", " ").strip()
    parts = vocabulary().components.values()
    exact = [part.id for part in parts if plain in (part.id.replace("_", " "), part.name.lower())]
    asked = set(plain.split())
    return exact or [
        part.id
        for part in parts
        if asked and (plain == part.group or asked <= {*part.name.lower().split(), *part.id.split("_")})
    ]


def with_limits() -> list[str]:
    """Ids of the components that have a limit."""
    return list(dict.fromkeys(row.component for row in lines()))


def _where(code: str) -> str:
    return "everywhere" if code == GENERIC else f"{jurisdictions()[code].name} ({code})"


def figure_text(figure: Figure) -> str:
    """``at least 1 mm``, ``20 to 50 mm``, ``under 3%``: what a reading has to be."""
    low, high = figure.low, figure.high
    if figure.kind == "none":
        return "no figure"
    if low is not None and high is not None:
        return f"{low:g} to {text_of(high, figure.unit)}"
    if low is not None:
        return f"{'more than' if figure.reached else 'at least'} {_exact(low, figure.unit)}"
    if high is not None:
        return f"{'under' if figure.reached else 'at most'} {_exact(high, figure.unit)}"
    return f"{_exact(figure.target or 0.0, figure.unit)}"


def _exact(value: float, unit: str | None) -> str:
    thirty_seconds = value * 32
    if unit == "in" and thirty_seconds == int(thirty_seconds):
        return f"{int(thirty_seconds)}/32 in"
    return text_of(value, unit)


def machine_text(machine: MachineIs) -> str:
    """``over 50 cc; where not known: over 50 cc``; empty for every machine."""
    parts = [
        f"over {machine.over_cc:g} cc" if machine.over_cc is not None else "",
        f"up to {machine.up_to_cc:g} cc" if machine.up_to_cc is not None else "",
        " or ".join(row.replace("_", " ") for row in machine.classes),
        f"{machine.chemistry} battery" if machine.chemistry else "",
        f"{machine.rims} rim" if machine.rims else "",
        " or ".join(machine.fluid),
    ]
    known = ", ".join(filter(None, parts))
    return f"{known}; taken so where not known" if machine.assume else known


def _of_row(row: LimitRow) -> Line:
    part = vocabulary().components[row.component]
    said = f"where said: {', '.join(row.said[:3])}{' …' if len(row.said) > 3 else ''}" if row.said else ""
    edition = f"({row.edition})" if row.edition else ""
    read = f"read {row.read}" if row.read else ""
    unsure = "too unsure to pass by" if row.verify else ""
    return Line(
        row.component,
        " ".join(filter(None, (row.end, part.name))),
        vocabulary().quantities[row.quantity][1],
        _where(row.jurisdiction),
        "; ".join(filter(None, (machine_text(row.machine), said))),
        figure_text(row),
        row.basis.value,
        row.grade.value if row.grade else "",
        ", ".join(filter(None, (row.source, " ".join(filter(None, (row.section, edition))), read))),
        ", ".join(filter(None, (sure(row.sureness), unsure))),
        row.id,
        " ".join(filter(None, (row.says, row.note))),
    )


def _of_aim(row: Aim) -> Line:
    height = f"lamp centre up to {row.up_to_mm:g} mm" if row.up_to_mm else "lamp centre higher"
    source = f"{row.source}, {row.section}"
    part = vocabulary().components["headlight_dip"]
    return Line(
        part.id, part.name, DIP, _where(row.jurisdiction), height, f"{row.low:g} to {row.high:g}%",
        Basis.LAW.value, "", source, sure(row.sureness), row.id, row.note,
    )  # fmt: skip


def sure(sureness: str) -> str:
    """How sure a source is, in words."""
    return {"memory": "from memory", "none": "no source"}.get(sureness, sureness)


def margins() -> list[tuple[str, str, str]]:
    """(what, within, what is said) of readings near to a limit that they meet."""
    return [
        (f"{_name(row.component)}, {_quantity(row.quantity)}", text_of(row.within, row.unit), row.says)
        for row in practice().margins
    ]


def tolerances() -> list[tuple[str, str, str, str]]:
    """(what, under, over, grade) of readings off a target."""
    return [
        (
            ", ".join(filter(None, (_name(row.component) if row.component else "", _quantity(row.quantity)))),
            text_of(row.under, row.unit),
            text_of(row.over, row.unit),
            row.grade.value,
        )
        for row in practice().tolerances
    ]


def _name(component: str) -> str:
    return vocabulary().components[component].name


def _quantity(quantity: str) -> str:
    return vocabulary().quantities[quantity][1]
