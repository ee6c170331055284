"""The page ``docs/limits.md``, made from ``models/limits``."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

from witnessmark.cli.limits_rows import Line, lines, margins, sure, tolerances
from witnessmark.knowledge.chains import chains
from witnessmark.knowledge.electrics import electrics
from witnessmark.knowledge.fluids import fluids
from witnessmark.knowledge.limits import jurisdictions, practice
from witnessmark.knowledge.marks import marks
from witnessmark.knowledge.severity import severity
from witnessmark.knowledge.tyres import tyres

_HEAD = """\
# Limits

Made from `models/limits` by `witnessmark limits --markdown > docs/limits.md`; a test fails when the two
differ. [assess.md](assess.md) says which limit wins. A limit stamped on the part or said with the reading,
and the maker's figure on a machine card, go before everything here. **A legal minimum is a floor and no
advice**, figures from memory are to be looked up, and none of this replaces the law's own text, the maker's
manual or a licensed inspection.

How sure a source is: *read* in a copy of the law, standard or official page; *read second-hand* in a page
that quotes it; *computed* from a stated rule; *from memory*; *no source*, common practice of the trade.
"""


def page() -> str:
    """The whole page."""
    parts = [_HEAD, "## Readings\n"]
    for _, rows in groupby(lines(), key=lambda row: (row.component, row.quantity)):
        parts.append(_of_quantity(list(rows)))
    parts += [_near(), _tyres(), _chains(), _fluids(), _electrics(), _identity(), _classes()]
    return "\n".join(parts)


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    told = [head, ["---"] * len(head), *([cell.replace("|", "\\|") for cell in row] for row in rows)]
    return "".join(f"| {' | '.join(row)} |\n" for row in told)


def _or_none(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def _sure(source: str, sureness: str) -> str:
    return f"Source: {source} ({sure(sureness)}).\n"


def _of_quantity(rows: list[Line]) -> str:
    cells = (
        (
            row.where,
            row.machine,
            row.limit,
            ", ".join(filter(None, (row.basis, row.broken))),
            row.source,
            row.sureness,
            f"`{row.id}`",
            row.note,
        )
        for row in rows
    )
    head = ("Where", "Machine", "Limit", "Rests on, grade", "Source", "How sure", "Row", "Remark")
    return f"### {rows[0].part.capitalize()}: {rows[0].quantity}\n\n{_table(head, cells)}"


def _near() -> str:
    ages = (
        (
            row.component.replace("_", " "),
            f"from {row.from_years:g} years",
            row.grade.value,
            row.says,
            row.source,
            sure(row.sureness),
        )
        for row in sorted(practice().ages, key=lambda row: (row.component, row.from_years))
    )
    curves = (
        (
            f"`{row.id}`",
            ", ".join(f"{x:g} {row.unit} = {y:g} %" for x, y in row.points),
            row.source,
            sure(row.sureness),
        )
        for row in practice().curves
    )
    families = ((row.component.replace("_", " "), ", ".join(row.members)) for row in practice().families)
    return "\n".join(
        (
            "## Near to a limit, off a target, age\n",
            "A reading that meets its limit by no more than this is advised on (common practice).\n",
            _table(("Reading", "Within", "Says"), margins()),
            "A reading off a card's or the technician's figure by more than this (common practice).\n",
            _table(("Reading", "Under by", "Over by", "Grade"), tolerances()),
            "Age alone never fails a machine.\n",
            _table(("Part", "Age", "Grade", "Says", "Source", "How sure"), ages),
            "What a rested battery's voltage stands for.\n",
            _table(("Row", "Points", "Source", "How sure"), curves),
            "Grades that may stand in for each other, in rising order.\n",
            _table(("Fluid", "Grades"), families),
        )
    )


def _tyres() -> str:
    table = tyres()
    loads = [f"{index} = {kg:g}" for index, kg in table.load_index.kg.items()]
    loads_rows = [loads[at : at + 10] for at in range(0, len(loads), 10)]
    width = max(map(len, loads_rows))
    speeds = [
        f"{symbol} {speed}{' (from memory)' if symbol in table.speed.from_memory else ''}"
        for symbol, speed in table.speed.km_h.items()
    ]
    over = [f"{symbol} over {speed}" for symbol, speed in table.speed.above.items()]
    gas = table.gas
    return "\n".join(
        (
            "## Tyre markings and pressure\n",
            "Load index and kilograms a tyre:\n",
            _table([""] * width, [[*row, *[""] * (width - len(row))] for row in loads_rows]),
            _sure(table.load_index.source, table.load_index.sureness),
            f"Speed symbol and km/h: {', '.join([*speeds, *over])}.\n",
            _sure(table.speed.source, table.speed.sureness),
            "Alphanumeric sizes, nearest metric size, to compare and never to replace by: "
            + ", ".join(f"M{letter} {size}" for letter, size in table.alpha.metric.items())
            + ".\n",
            _sure(table.alpha.source, table.alpha.sureness),
            f"Cold pressure, where a temperature was said, is brought to {gas.reference_degC:g} °C by the gas"
            f" law at constant volume, with {gas.ambient_bar:g} bar of air around; above"
            f" {gas.hot_above_degC:g} °C, or when the tyre was said to be hot, it is not compared.\n",
            _sure(gas.source, gas.sureness),
        )
    )


def _chains() -> str:
    rows = (
        (
            row.id,
            f"{row.pitch_mm:g}",
            f"{20 * row.pitch_mm:g}",
            _or_none(row.limit_20_mm),
            row.source,
            sure(row.sureness),
        )
        for row in chains().chains
    )
    head = ("Chain", "Pitch, mm", "20 pitches new, mm", "Makers' usual limit, mm", "Source", "How sure")
    return f"## Chains\n\nPin 1 to pin 21 are 20 pitches.\n\n{_table(head, rows)}"


def _fluids() -> str:
    table = fluids()
    brake = (
        (row.id, row.base, _or_none(row.dry_degC), _or_none(row.wet_degC), row.colour)
        for row in table.brake.grades
    )
    winter = (
        (grade, *(f"{most:g} at {at:g} °C" for most, at in (row.cranking, row.pumping)), f"{row.kv:g}")
        for grade, row in table.sae_w.grades.items()
    )
    warm = (
        (grade, f"{row.kv[0]:g} to < {row.kv[1]:g}", f"{row.hths:g}")
        for grade, row in table.sae.grades.items()
    )
    jaso = (
        (
            grade,
            "yes" if row.wet_clutch else "no",
            *(f"{a:g} to {b:g}" for a, b in (row.dynamic, row.static, row.stop)),
        )
        for grade, row in table.jaso.grades.items()
    )
    two = (
        (grade, _or_none(row.smoke), _or_none(row.blocking)) for grade, row in table.jaso_two.grades.items()
    )
    return "\n".join(
        (
            "## Fluids\n",
            _table(("Brake fluid", "Base", "Boils new, °C", "Boils wet, °C", "Colour"), brake),
            _sure(table.brake.source, table.brake.sureness),
            _table(("Winter grade", "Cranking, mPa·s", "Pumping, mPa·s", "mm²/s at 100 °C"), winter),
            _table(("Grade", "mm²/s at 100 °C", "HTHS, mPa·s"), warm),
            f"{table.sae_40.hths:g} mPa·s for {', '.join(table.sae_40.winter)}-40.\n",
            _sure(table.sae.source, table.sae.sureness),
            _table(("JASO", "Wet clutch", "Dynamic", "Static", "Stop time"), jaso),
            _sure(f"{table.jaso.source}. {table.jaso.remark}", table.jaso.sureness),
            _table(("JASO two-stroke", "Smoke", "Blocking"), two),
            _sure(f"{table.jaso_two.source}. {table.jaso_two.remark}", table.jaso_two.sureness),
        )
    )


def _electrics() -> str:
    battery, flashes, codes = electrics().battery, electrics().flashes, electrics().codes
    freezes = ", ".join(f"{degf:g} °F at {charge:g} %" for degf, charge in battery.freezes)
    return "\n".join(
        (
            "## Batteries and fault codes\n",
            f"A rested 12 V lead-acid battery: {battery.volts_per_10_degF:g} V less for each 10 °F under"
            f" {battery.reference_degF:g} °F. A meter of ±{battery.meter_percent:g} % leaves about"
            f" ±{battery.charge_percent:g} % of charge open. Its electrolyte freezes at {freezes}.\n",
            _sure(battery.source, battery.sureness),
            f"{flashes.says}.\n",
            _sure(flashes.source, flashes.sureness),
            "Codes of letters and digits: "
            + ", ".join(f"{letter} {system}" for letter, system in codes.systems.items())
            + ".\n",
            _sure(codes.source, codes.sureness),
        )
    )


def _identity() -> str:
    table = marks()
    names = [jurisdictions()[code].name for code in table.vin.bound]
    rows = ((row.jurisdiction, row.name, f"`{row.pattern}`") for row in table.registrations)
    return "\n".join(
        (
            "## VIN and registration\n",
            f"Check digit and letters of a VIN, asked for by law in {' and '.join(names)} only.\n",
            _sure(table.vin.source, table.vin.sureness),
            "Model year of position 10.\n",
            _sure(table.vin.years.source, table.vin.years.sureness),
            _table(("Where", "Form", "Pattern"), rows),
            _sure(table.registrations_source.source, table.registrations_source.sureness),
        )
    )


def _classes() -> str:
    classes = (
        (row.jurisdiction, row.grade.value, row.name, row.says, row.source, sure(row.sureness))
        for row in severity().classes
    )
    rows = (
        (f"{row.least} or more {row.grade.value}", row.raised.value, row.source, sure(row.sureness))
        for row in severity().together
    )
    return "\n".join(
        (
            "## Classes of defects\n",
            _table(("Where", "Grade here", "Called", "Means", "Source", "How sure"), classes),
            "Several defects of one group may be classed higher together; a person decides that.\n",
            _table(("Defects", "May be classed", "Source", "How sure"), rows),
        )
    )
