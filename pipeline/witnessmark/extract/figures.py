"""Readings: which part and quantity a figure or marking is of, and the limit said with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.measures import FAMILIES, plausible, value_for
from witnessmark.extract.raw import Raw
from witnessmark.extract.talk import LimitSaid, Measure, Target
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Limit

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader

_FAMILY_OF_UNIT = FAMILIES
_ANNOUNCES = frozenset("is 's are was were at to of about reads measures has have had got says showing shows measure gauge comes come sits sitting carries across got measured seeing see find shows reading read gives just under over nearly around roughly call it now still down up approximately exactly and , : than that a an be found".split())  # fmt: skip
_FOLLOWS = frozenset(("in", "at", "on", "and", "but", "so", "where", "with", "against", "minimum", "limit", "limits", "which", "now", "that", "across", "front", "rear", "left", "right", "both", "then", "though", "when", "should", "spec", "book", "the", "max", "min", "maximum", "or", "either", "no", "is", "it", "i", "just", "cold", "hot", "each", "all", "there", "from", "today", "for", "because", "since", "to", "as", "ish", "well", "pumped", "set", "brought", "near", "within", "after", "before", "if", "would"))  # fmt: skip


_PRONOMINAL = frozenset("that this which the other left right front rear each every any no bad good last next new first old worn either another".split())  # fmt: skip
_NEEDS_UNIT = frozenset(("temperature", "volume", "time", "torque", "distance", "current", "percent"))


def read_measure(reader: Reader, index: int, event: Event) -> None:
    """Makes a reading of a figure, unless it counts things or says when."""
    measure = event.measure
    if measure is None or measure.role != "value":
        return
    phase_left = _left_by_work(reader, index, event)
    if measure.unit and "-" in reader.talk.doc[measure.start : measure.end].text and any(p.head[0] == measure.end and p.component for p in reader.talk.parts):
        return  # "a six-volt battery": its kind and not a reading
    if measure.unit is None and not phase_left and not is_figure(reader, index, event):
        return
    targets = reader.targets_for(index, event)
    last = next((r for r in reversed(reader.raws) if r.quantity in _NUMERIC and not r.dropped), None)
    if phase_left and last and reader.talk.clauses[event.clause].sentence - _sentence(reader, last.end - 1) <= 1 and last.quantity and targets and last.target.component == targets[0].component and (measure.unit is None or FAMILIES.get(measure.unit) == _NUMERIC[last.quantity]):
        quantity: str | None = last.quantity
    else:
        quantity, targets = _quantity(reader, event, measure, targets)
    if quantity is None or not targets:
        return
    unit, value, doubts = _value(reader, measure, quantity)
    for target in targets:
        raw = Raw(target, reader._evidence_start(event), event.end, event.clause, quantity=quantity, value=value, unit=unit)
        raw.why, raw.doubts = [f"quantity:{quantity}"], [*measure.doubts, *doubts]
        raw.phase = "left" if phase_left else "found"
        raw.denominator = measure.number.fraction if (measure.number.fraction or 0) >= 16 else None
        if measure.high is not None:
            raw.doubts.append("range_said")
        reader.raws.append(raw)
    reader.open_list = False


def is_figure(reader: Reader, index: int, event: Event) -> bool:
    """Whether a number without a unit is a measurement and not a count."""
    talk, measure = reader.talk, event.measure
    assert measure is not None
    after, before = talk.at(measure.end), talk.at(measure.start - 1)
    following = reader.events[index + 1] if index + 1 < len(reader.events) else None
    if before == "at" and measure.value >= 1000:
        return False
    alone = talk.clauses[event.clause]
    if alone.opener == "." and alone.start == measure.start and after in (".", "!", "?", "...") and not reader.open_list:
        return False
    if talk.at(measure.start) == "one" and measure.end - measure.start == 1:
        if before in _PRONOMINAL or any(p.start == measure.end for p in talk.parts):
            return False
    if after == "of" and any(m.start == measure.end + 1 and m.id in _NUMERIC for m in talk.of("quantity")):
        return True
    if after in ("of", "times", "years", "stroke", "cylinder", "bikes", "more", "other", "days", "minutes", "hours", "wheels", "links", "pitches") or before in ("other", "number", "all", "these", "those", "the", "cylinder", "last", "next", "stage", "class"):
        return False
    starts_part = any(p.start == measure.end for p in talk.parts)
    if following and following.start == measure.end and following.kind == "condition" and measure.number.plain and measure.value < 10:
        return False
    if starts_part and measure.number.plain and measure.value < 10 and any(p.plural and p.start == measure.end for p in talk.parts):
        return False
    ends = after in _FOLLOWS or not after.isalpha() or starts_part or any(c.start == measure.end for c in talk.clauses)
    announced = before in _ANNOUNCES or any(c.end == measure.start for c in talk.codes) or any(p.end == measure.start for p in talk.parts) or _word_ends(reader, measure.start)
    return (ends or bool(following and following.start == measure.end)) and (announced or not before.isalpha())


def _word_ends(reader: Reader, at: int) -> bool:
    return any(m.end == at for family in ("quantity", "place") for m in reader.talk.of(family))


def _quantity(
    reader: Reader, event: Event, measure: Measure, targets: tuple[Target, ...]
) -> tuple[str | None, tuple[Target, ...]]:
    """The quantity of a figure, and the part it is of when the one spoken of cannot have it."""
    family = FAMILIES.get(measure.unit or "")
    named = _named_quantity(reader, event, family, measure)
    usual = lexicon().usual
    if named:
        home = vocabulary().home.get(named)
        if targets and named in usual.get(targets[0].component, {}).values():
            return named, targets
        if home and not _explicit(reader, event):
            earlier = next((t for t in reversed(reader.where.spoken) if t.component == home), None)
            if earlier:
                return named, _siblings(reader, earlier)
            return named, (Target(home, reader.where.local or reader.where.heading) if vocabulary().components[home].takes_end else Target(home),)
        return named, targets
    if not targets:
        return None, ()
    repeated = _repeated(reader, targets[0], family, measure, event.clause)
    if repeated:
        return repeated, targets
    for quantity_family, quantity in usual.get(targets[0].component, {}).items():
        unit = measure.unit or _unit_for(reader, quantity, measure.value)
        if family is None and quantity_family in _NEEDS_UNIT:
            continue
        if (family is None or family == quantity_family) and plausible(quantity, value_for(measure, quantity, unit), unit):
            return quantity, targets
    matching = usual.get(targets[0].component, {}).get(family or "")
    if matching:
        return matching, targets
    return _earlier_part(reader, family, measure)


def _explicit(reader: Reader, event: Event) -> bool:
    return reader.subject_clause == event.clause and reader.talk.clauses[event.clause].start <= reader.subject_at < event.start


def _siblings(reader: Reader, target: Target) -> tuple[Target, ...]:
    return (target,)


def _earlier_part(reader: Reader, family: str | None, measure: Measure) -> tuple[str | None, tuple[Target, ...]]:
    """The nearest part spoken of that such a unit can measure."""
    if family is None:
        return None, ()
    for target in reversed(reader.where.spoken[-6:]):
        quantity = lexicon().usual.get(target.component, {}).get(family)
        if quantity and plausible(quantity, value_for(measure, quantity, measure.unit), measure.unit):
            return quantity, (target,)
    return None, ()


def _named_quantity(reader: Reader, event: Event, family: str | None, measure: Measure) -> str | None:
    """The quantity whose word stands nearest: before the figure in its sentence, or right after it."""
    talk = reader.talk
    sentence = talk.clauses[event.clause].sentence
    fits = [m for m in talk.of("quantity") if m.id in _NUMERIC and _can_be(m.id, family, measure, reader)]
    after = [m for m in fits if 0 <= m.start - event.end <= 2 and all(talk.at(i) in ("of", "the", "in", "on") for i in range(event.end, m.start)) and talk.at(m.end) not in ("is", "was", "'s", "are", ":", "at")]
    before = [m for m in fits if m.end <= event.start and _sentence(reader, m.start) == sentence]
    last_figure = max((m.end for m in talk.measures if m.end <= event.start and m.role == "value" and _sentence(reader, m.start) == sentence), default=-1)
    close = [m for m in before if m.start >= last_figure]
    if after and not (after[0].id == "remaining" and family != "percent"):
        return after[0].id
    if close:
        return close[-1].id
    return before[-1].id if before and not _new_part_since(reader, before[-1].end, event.start) else None


def _new_part_since(reader: Reader, start: int, end: int) -> bool:
    return any(start <= p.start < end and p.component for p in reader.talk.parts)


def _sentence(reader: Reader, token: int) -> int:
    from witnessmark.extract.clauses import clause_at

    return reader.talk.clauses[clause_at(reader.talk.clauses, token)].sentence


_NUMERIC = {
    "tread_depth": "mm", "thickness": "mm", "slack": "mm", "free_play": "mm", "runout": "mm", "sag": "mm",
    "gap": "mm", "length": "mm", "pressure": "pressure", "voltage": "volt", "current": "current",
    "temperature": "temperature", "torque": "torque", "remaining": "percent", "water_content": "percent",
    "elongation": "percent", "idle_speed": "rpm", "flash_rate": "rate", "volume": "volume", "duration": "time",
}  # fmt: skip


def _can_be(quantity: str, family: str | None, measure: Measure, reader: Reader) -> bool:
    if family is not None:
        return _NUMERIC[quantity] == family
    if quantity == "remaining":
        return False
    unit = _unit_for(reader, quantity, measure.value)
    return plausible(quantity, value_for(measure, quantity, unit), unit)


def _repeated(reader: Reader, target: Target, family: str | None, measure: Measure, clause: int) -> str | None:
    """The quantity of the last reading of that kind of part, when it can be this one too."""
    elliptic = any(p.component is None and p.end <= measure.start <= p.end + 3 for p in reader.talk.parts)
    now = reader.talk.clauses[clause].sentence
    for raw in reversed(reader.raws[-12:]):
        if reader.talk.clauses[raw.clause].sentence < now - (1 if elliptic else 0):
            return None
        if raw.quantity in _NUMERIC and raw.target.component == target.component and not raw.dropped:
            unit = measure.unit or raw.unit
            same = family is None or _NUMERIC[raw.quantity] == family
            return raw.quantity if same and plausible(raw.quantity, value_for(measure, raw.quantity, unit), unit) else None
    return None


def _unit_for(reader: Reader, quantity: str, value: float) -> str | None:
    """The unit of a bare figure: that of the last such reading, else the usual one."""
    for raw in reversed(reader.raws):
        if raw.quantity == quantity and raw.unit:
            return raw.unit
    if quantity == "pressure":
        return "bar" if value < 8 else "psi" if value < 80 else "kPa"
    return lexicon().unit.get(quantity)


def _value(reader: Reader, measure: Measure, quantity: str) -> tuple[str | None, float, list[str]]:
    """Unit, value and doubts of a figure."""
    doubts = []
    unit = measure.unit
    if unit is None:
        last = next((r for r in reversed(reader.raws) if r.quantity == quantity and not r.dropped), None)
        unit = _unit_for(reader, quantity, measure.value)
        if last and last.denominator and measure.number.plain:
            return "in", measure.value / last.denominator, ["unit_carried"]
        if quantity == "pressure" or unit is None:
            doubts.append("unit_assumed")
    value = value_for(measure, quantity, unit)
    if not plausible(quantity, value, unit):
        doubts.append("implausible")
    if len(measure.number.parts) > 1:
        doubts.append("digits_run_together")
    if measure.number.misheard:
        doubts.append("misheard_number")
    if unit == "thou":
        return "thou", value, doubts
    return unit, value, doubts


def _left_by_work(reader: Reader, index: int, event: Event) -> bool:
    """Whether a figure is what work brought a thing to: "set it to 30", "pumped it up to 36"."""
    measure = event.measure
    assert measure is not None
    for earlier in reversed(reader.events[max(0, index - 4) : index]):
        if earlier.kind == "action" and earlier.mention and earlier.mention.rows[0].family == "action":
            row = earlier.mention.rows[0]
            between = reader.talk.norms[earlier.start : measure.start]
            near = measure.start - earlier.end <= 9
            done = row.data["form"] == "past" and row.id in ("adjust", "inflate", "tighten", "top_up", "align", "replace", "repair", "clean")
            same = reader.talk.clauses[earlier.clause].sentence == reader.talk.clauses[event.clause].sentence
            given = reader.talk.at(earlier.start) in ("gave", "given")
            aimed = bool({"to", "at", "now"} & set(between[-5:])) or row.id == "inflate" or given
            return near and done and same and aimed
        if earlier.kind in ("measure", "code"):
            return False
    before = [reader.talk.at(i) for i in range(measure.start - 4, measure.start)]
    worked = any(r.action in ("adjust", "inflate", "tighten") and r.status == "done" for r in reader.raws[-3:])
    return worked and "now" in before


def read_code(reader: Reader, index: int, event: Event) -> None:
    """Makes a reading of a marking."""
    code = event.code
    if code is None or any(m.start == code.start and m.role == "limit" for m in reader.talk.measures):
        return
    home = {"manufactured": "tyre", "size_marking": "tyre", "fault_code": "warning_lamp"}.get(code.quantity)
    if code.quantity == "grade_marking":
        home = "brake_fluid" if code.value.startswith("DOT") else "engine_oil" if "W-" in code.value else "tyre"
    targets = reader.targets_for(index, event)
    if home and not (targets and targets[0].component == home):
        if code.quantity == "grade_marking" and targets and targets[0].component in ("clutch", "gearbox", "fork", "shaft_drive", "master_cylinder"):
            pass
        else:
            earlier = next((t for t in reversed(reader.where.spoken[-6:]) if t.component == home), None)
            takes_end = vocabulary().components[home].takes_end
            end = reader.where.local or reader.where.heading if takes_end else None
            targets = (earlier,) if earlier and (not end or earlier.end == end) else (Target(home, end),)
    if code.quantity == "fault_code":
        reader.where.focus = targets
    for target in targets:
        raw = Raw(target, reader._evidence_start(event), event.end, event.clause, quantity=code.quantity, value=code.value)
        raw.why, raw.doubts = [f"quantity:{code.quantity}"], list(code.doubts)
        reader.raws.append(raw)
    reader.open_list = False


def dry_where_greased(reader: Reader) -> None:
    """ "Fork is dry, greased it": dry is in order of a seal, but not of what is then lubricated."""
    for raw in reader.raws:
        if raw.condition == "sound" and raw.word and reader.talk.at(raw.word[0]) == "dry" and not raw.dropped:
            sentence = _sentence(reader, raw.word[0])
            oiled = any(r.action == "lubricate" and r.target == raw.target and _sentence(reader, r.end - 1) == sentence for r in reader.raws)
            if oiled:
                raw.condition = "dry"


def drop_measured_conditions(reader: Reader) -> None:
    """An amount of play, slack or water is a reading only, unless it is called too much."""
    readings = [r for r in reader.raws if r.quantity and not r.dropped]
    for raw in reader.raws:
        if raw.word is None or raw.condition is None:
            continue
        named = {row.id for m in reader.talk.of("quantity") if m.start < raw.word[1] and raw.word[0] < m.end for row in m.rows}
        if raw.condition == "fault_code":
            named = {"fault_code"}
        sentence = _sentence(reader, raw.word[0])
        if any(r.quantity in named and (r.target == raw.target or raw.condition == "fault_code") and _sentence(reader, r.end - 1) == sentence for r in readings):
            too_much = "too" in reader.talk.norms[max(0, raw.word[0] - 2) : raw.word[0] + 1]
            raw.dropped = raw.dropped or not too_much


def attach_limits(reader: Reader) -> None:
    """Gives each limit to the readings it was said with: those just before, else the one right after."""
    for said in reader.talk.limits:
        raws = _readings_for(reader, said)
        for raw in raws:
            limit = _limit_for(reader, said, raw)
            if limit and (raw.limit is None or raw.limit == limit):
                raw.limit = limit
            elif limit and raw.limit:
                merged = {k: v for k, v in raw.limit.model_dump().items() if v is not None} | {k: v for k, v in limit.model_dump().items() if v is not None}
                raw.limit = Limit(**merged)


def _readings_for(reader: Reader, said: LimitSaid) -> list[Raw]:
    sentence = _sentence(reader, said.start)
    numeric = [r for r in reader.raws if r.quantity in _NUMERIC and not r.dropped and _same_family(r, said)]
    found = [r for r in numeric if r.phase == "found"]
    before = [r for r in found if r.end <= said.start and _sentence(reader, r.end - 1) >= sentence - 1]
    if before:
        last = before[-1]
        if _sentence(reader, last.end - 1) == sentence or not _starts_new(reader, said, last):
            return [r for r in before if _shares(reader, r, last, said)]
    after = [r for r in numeric if r.start >= said.start - 8 and r.end > said.end and _sentence(reader, r.end - 1) <= sentence + 1]
    return after[:1]


def _starts_new(reader: Reader, said: LimitSaid, last: Raw) -> bool:
    """Whether another part was named between a reading and a limit of the next sentence."""
    return any(last.end <= p.start < said.start and p.component and p.component != last.target.component for p in reader.talk.parts)


def _shares(reader: Reader, raw: Raw, last: Raw, said: LimitSaid) -> bool:
    """A limit said once for two sides goes to both."""
    if raw is last:
        return True
    both = any(w in ("both", "either", "each", "pair") for w in reader.talk.norms[max(0, said.start - 6) : said.end + 2])
    same = raw.quantity == last.quantity and raw.target.component == last.target.component
    near = _sentence(reader, raw.end - 1) == _sentence(reader, last.end - 1)
    twins = raw.start == last.start or (raw.target != last.target and raw.target.side != last.target.side)
    return same and raw.limit is None and (both or (near and twins))


def _same_family(raw: Raw, said: LimitSaid) -> bool:
    if said.unit is None:
        return True
    return FAMILIES.get(said.unit) == FAMILIES.get(raw.unit or "") or raw.unit is None


def _limit_for(reader: Reader, said: LimitSaid, raw: Raw) -> Limit | None:
    """A limit in the unit of its reading, a bare one placed low or high by what it limits."""
    low, high, target = said.low, said.high, said.target
    if said.bare is not None:
        if raw.quantity in vocabulary().high_limits:
            high = said.bare
        else:
            low = said.bare
    scale = 1.0
    if said.unit and raw.unit and said.unit != raw.unit:
        from witnessmark.units import convert

        try:
            scale = convert(1.0, said.unit, raw.unit)
        except ValueError:
            return None
    if raw.denominator and said.unit is None:
        scale = 1 / raw.denominator if (low or high or target or 0) >= 1 else 1.0
    def fit(x: float | None) -> float | None:
        return None if x is None else x * scale
    return Limit(low=fit(low), high=fit(high), target=fit(target))
