// The fields of an item, by what kind it is, and the item that they make.

import { el } from "../common.js";
import { Combobox } from "./combobox.js";

const NUMBER = /^-?(\d+|\d{1,3}( \d{3})+)(\.\d+)?$/;
const PLACES = { end: ["front", "rear"], side: ["left", "right"] };
const CLOCKS = [{ id: "mi", name: "miles" }, { id: "km", name: "kilometres" }];
const BOUNDS = { low: "at least", high: "at most", target: "aim for" };
let made = 0;

/** What a field holds does not fit; its message says why. */
export class Unfit extends Error {}

/** A group of choices of which one holds. */
export class Radios {
  constructor(label, choices, chosen, changed) {
    const name = `radio-${++made}`;
    this.inputs = choices.map((choice) => {
      const input = el("input", { type: "radio", name, id: `${name}-${choice.id}`, onchange: changed });
      input.checked = choice.id === chosen;
      return { id: choice.id, input, label: el("label", { class: "tick", for: input.id }, input, choice.name) };
    });
    this.element = el("fieldset", {}, el("legend", {}, label), this.inputs.map((one) => one.label));
    this.input = this.inputs.find((one) => one.input.checked)?.input ?? this.inputs[0].input;
  }

  get value() {
    return this.inputs.find((one) => one.input.checked)?.id ?? null;
  }
}

/** A line of text. */
class Line {
  constructor(label, value, changed, { hint = "", numeric = false } = {}) {
    const id = `line-${++made}`;
    this.label = label;
    this.input = el("input", {
      id, type: "text", autocomplete: "off", spellcheck: "false", maxlength: 300, value: value ?? "", oninput: changed,
      inputmode: numeric ? "decimal" : null, "aria-describedby": hint ? `${id}-hint` : null,
    });
    this.element = el("div", {}, el("label", { for: id }, label), this.input,
      hint ? el("p", { class: "soft small", id: `${id}-hint` }, hint) : null);
  }

  get value() {
    return this.input.value.trim() || null;
  }

  /** Digits and a decimal point; a comma means two things. */
  get number() {
    if (this.value === null) return null;
    if (!NUMBER.test(this.value)) throw new Unfit(`${this.label}: “${this.value}” is no number here. Use digits and a decimal point, no comma.`);
    return Number(this.value.replaceAll(" ", ""));
  }
}

const placeChoices = (axis) => [{ id: "none", name: "none" }, ...PLACES[axis].map((id) => ({ id, name: id }))];

/** Fields for one item; rebuilt where a choice changes which fields there are. */
export class Fields {
  /**
   * @param {object} words what /api/words has
   * @param {"machine"|"finding"|"reading"|"work"} sort
   * @param {object} was the item as it stands; empty for a new one
   * @param {() => void} changed
   */
  constructor(words, sort, was, changed) {
    Object.assign(this, { words, sort, was, changed });
    this.element = el("div", { class: "fields" });
    this.own = {};
    this.build();
  }

  build() {
    const own = this[this.sort]();
    const place = this.sort === "machine" ? [] : this.place();
    const rows = this.was.component ? [...own, ...place] : [...place, ...own]; // who adds begins with the part
    this.element.replaceChildren(...rows.filter(Boolean).map((field) => field.element));
  }

  /** The field that is most often the wrong one. */
  get first() {
    return { machine: "registration", finding: "condition", reading: "value", work: "kind" }[this.sort];
  }

  focus() {
    const field = this.was.component || this.sort === "machine" ? this.own[this.first] : this.own.component;
    field.input.focus();
    field.input.select?.();
  }

  machine() {
    const clock = this.was.odometer;
    return [
      this.line("registration", "Registration", this.was.registration),
      this.line("vin", "VIN", this.was.vin),
      this.line("odometer", "Odometer", clock && plain(clock.value), { numeric: true, hint: "Empty: it was not said." }),
      this.radios("clock", "Odometer in", CLOCKS, clock?.unit ?? "mi"),
    ];
  }

  finding() {
    return [
      this.choice("condition", "Condition", this.words.conditions, this.was.condition),
      this.radios("state", "State", this.words.states, this.was.state ?? "present"),
    ];
  }

  work() {
    return [
      this.choice("kind", "Work", this.words.work, this.was.kind),
      this.radios("status", "Status", this.words.statuses, this.was.status ?? "done"),
    ];
  }

  reading() {
    const value = this.was.value;
    return [
      this.line("value", "Value", typeof value === "number" ? plain(value) : value),
      this.unitField(this.was.unit),
      ...Object.entries(this.was.limit ?? {}).filter(([, bound]) => bound !== null).map(([name, bound]) =>
        this.line(`limit_${name}`, `Limit said, ${BOUNDS[name]}`, plain(bound), { numeric: true })),
      this.choice("quantity", "Quantity", this.words.quantities, this.was.quantity, () => this.requantified()),
      this.radios("phase", "Measured", this.words.phases, this.was.phase ?? "found"),
    ];
  }

  /** Another quantity has other units; the limit that was said is of the quantity before. */
  requantified() {
    const before = this.own.unit.element;
    const fresh = this.unitField(null);
    before.replaceWith(fresh.element);
    for (const name of Object.keys(BOUNDS)) {
      this.own[`limit_${name}`]?.element.remove();
      delete this.own[`limit_${name}`];
    }
  }

  unitField(unit) {
    const id = this.own.quantity ? this.own.quantity.value : this.was.quantity;
    const quantity = this.words.quantities.find((one) => one.id === id);
    const fitting = quantity ? quantity.units : this.words.units.map((one) => one.id);
    const chosen = unit ?? quantity?.unit ?? null;
    const name = `unit-${++made}`;
    const input = el("select", { id: name, onchange: () => this.changed() },
      quantity && quantity.unit === null ? el("option", { value: "" }, "none")
        : this.words.units.filter((one) => fitting.includes(one.id)).map((one) => el("option", { value: one.id }, one.name)));
    if (chosen) input.value = chosen;
    const field = { input, element: el("div", {}, el("label", { for: name }, "Unit"), input), get value() { return input.value || null; } };
    this.own.unit = field;
    return field;
  }

  place() {
    const part = () => this.words.components.find((one) => one.id === this.own.component.value);
    const component = this.choice("component", "Part", this.words.components, this.was.component, () => show());
    const end = this.radios("end", "End", placeChoices("end"), this.was.end ?? "none");
    const side = this.radios("side", "Side", placeChoices("side"), this.was.side ?? "none");
    const show = () => {
      end.element.hidden = !part()?.takes_end;
      side.element.hidden = !part()?.takes_side && !this.was.side;
    };
    show();
    return [component, end, side];
  }

  line(name, label, value, more) {
    return (this.own[name] = new Line(label, value, () => this.changed(), more));
  }

  radios(name, label, choices, chosen) {
    return (this.own[name] = new Radios(label, choices, chosen, () => this.changed()));
  }

  choice(name, label, choices, chosen, also = () => {}) {
    const box = new Combobox(label, choices, { chosen, changed: () => { also(); this.changed(); } });
    return (this.own[name] = box);
  }

  /**
   * The item that the fields make.
   * @throws {Unfit}
   */
  entry() {
    const { own } = this;
    if (this.sort === "machine") return this.identity();
    const kept = { key: this.was.key ?? "", evidence: this.was.evidence ?? [] };
    const placed = {
      ...kept, component: chosen(own.component, "part"),
      end: shownChoice(own.end), side: shownChoice(own.side),
    };
    if (this.sort === "finding") {
      const state = own.state.value;
      return { ...placed, state, condition: state === "unseen" ? null : chosen(own.condition, "condition") };
    }
    if (this.sort === "work") return { ...placed, kind: chosen(own.kind, "work"), status: own.status.value };
    return { ...placed, ...this.measured(), phase: own.phase.value };
  }

  measured() {
    const { own } = this;
    const quantity = chosen(own.quantity, "quantity");
    const text = this.words.quantities.find((one) => one.id === quantity).unit === null;
    if (own.value.value === null) throw new Unfit("Give the value.");
    if (text) return { quantity, value: own.value.value, unit: null, limit: null };
    const bounds = Object.keys(BOUNDS).filter((name) => own[`limit_${name}`]).map((name) => [name, own[`limit_${name}`].number]);
    const held = bounds.some(([, bound]) => bound !== null);
    return { quantity, value: own.value.number, unit: own.unit.value, limit: held ? Object.fromEntries(bounds) : null };
  }

  identity() {
    const { own } = this;
    const distance = own.odometer.number;
    return {
      registration: own.registration.value, vin: own.vin.value,
      odometer: distance === null ? null : { value: distance, unit: own.clock.value },
    };
  }
}

const plain = (number) => String(number);
const shownChoice = (radios) => (radios.element.hidden || radios.value === "none" ? null : radios.value);

function chosen(box, what) {
  if (box.value) return box.value;
  const typed = box.input.value.trim();
  throw new Unfit(typed ? `“${typed}” is no ${what} on the list. Choose one of it.` : `Choose the ${what}.`);
}
