// An editable combobox after the ARIA Authoring Practices ("Editable Combobox With List Autocomplete").

import { el } from "../common.js";

const SHOWN = 12;
let made = 0;

export class Combobox {
  /**
   * @param {string} label
   * @param {{id: string, name: string, said?: string[]}[]} choices
   * @param {object} more
   * @param {string} [more.chosen] id
   * @param {boolean} [more.free] whether any text will do
   * @param {() => void} [more.changed]
   */
  constructor(label, choices, { chosen = null, free = false, changed = () => {} } = {}) {
    const id = `choice-${++made}`;
    Object.assign(this, { id, choices, free, changed, at: -1, shown: [] });
    this.list = el("ul", { role: "listbox", id: `${id}-list`, "aria-label": label, hidden: true });
    this.input = el("input", {
      id, type: "text", role: "combobox", autocomplete: "off", spellcheck: "false", maxlength: 200,
      "aria-expanded": "false", "aria-autocomplete": "list", "aria-controls": `${id}-list`,
      oninput: () => this.typed(), onkeydown: (event) => this.key(event),
      onblur: () => this.leave(), onclick: () => this.open(),
    });
    this.element = el("div", { class: "combobox" }, el("label", { for: id }, label), this.input, this.list);
    this.choose(chosen, true);
  }

  /** The id that was chosen; null where what is typed is none. Of a free one, the text. */
  get value() {
    return this.free ? this.input.value.trim() : this.chosen;
  }

  choose(id, quietly = false) {
    const found = this.choices.find((one) => one.id === id);
    this.chosen = found ? found.id : null;
    if (found || !this.free) this.input.value = found ? found.name : "";
    this.close();
    if (!quietly) this.changed();
  }

  typed() {
    const exact = this.choices.find((one) => plain(one.name) === plain(this.input.value));
    this.chosen = exact ? exact.id : null;
    this.open(this.input.value);
    this.changed();
  }

  open(typed = "") {
    this.shown = fitting(this.choices, typed).slice(0, SHOWN);
    this.list.replaceChildren(...this.shown.map(({ choice, said }, n) =>
      el("li", {
        role: "option", id: `${this.id}-${n}`, "aria-selected": "false",
        onmousedown: (event) => event.preventDefault(), onclick: () => this.choose(choice.id),
      }, choice.name, said ? el("span", { class: "soft" }, ` (“${said}”)`) : null)));
    this.list.hidden = this.shown.length === 0;
    this.input.setAttribute("aria-expanded", String(!this.list.hidden));
    this.point(typed && this.shown.length && !this.free ? 0 : -1);
  }

  close() {
    this.list.hidden = true;
    this.at = -1;
    this.input.setAttribute("aria-expanded", "false");
    this.input.removeAttribute("aria-activedescendant");
  }

  point(at) {
    this.at = at;
    [...this.list.children].forEach((row, n) => row.setAttribute("aria-selected", String(n === at)));
    if (at < 0) this.input.removeAttribute("aria-activedescendant");
    else this.input.setAttribute("aria-activedescendant", `${this.id}-${at}`);
    this.list.children[at]?.scrollIntoView({ block: "nearest" });
  }

  key(event) {
    const open = !this.list.hidden;
    const last = this.shown.length - 1;
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      if (!open) return this.open(event.altKey ? "" : this.chosen ? "" : this.input.value);
      const step = event.key === "ArrowDown" ? 1 : -1;
      this.point(this.at + step > last ? 0 : this.at + step < 0 ? last : this.at + step);
    } else if (event.key === "Enter" && open && this.at >= 0) {
      event.preventDefault();
      event.stopPropagation();
      this.choose(this.shown[this.at].choice.id);
    } else if (event.key === "Escape" && open) {
      event.preventDefault();
      event.stopPropagation();
      this.close();
    }
  }

  /** What was typed and pointed at counts when going on with Tab; what is no choice stays to be seen. */
  leave() {
    const open = !this.list.hidden;
    if (open && this.at >= 0 && !this.chosen && !this.free) this.choose(this.shown[this.at].choice.id);
    else this.close();
  }
}

const plain = (text) => text.trim().toLowerCase();

/** Choices whose name or spoken names fit what was typed, names first, then by where it fits. */
function fitting(choices, typed) {
  const wanted = plain(typed).split(/\s+/).filter(Boolean);
  if (!wanted.length) return choices.map((choice) => ({ choice }));
  const ranked = [];
  choices.forEach((choice, place) => {
    const own = rank(plain(choice.name), wanted) ?? rank(plain(choice.id.replaceAll("_", " ")), wanted);
    if (own !== null) ranked.push({ choice, place, rank: own });
    else {
      const said = (choice.said || []).find((one) => rank(one, wanted) !== null);
      if (said) ranked.push({ choice, said, place, rank: 10 + rank(said, wanted) });
    }
  });
  return ranked.sort((a, b) => a.rank - b.rank || a.place - b.place);
}

/** 0 where the words typed begin the name, 1 where each begins one of its words; null where not. */
function rank(name, wanted) {
  if (name.startsWith(wanted.join(" "))) return 0;
  const words = name.split(/[\s-]+/);
  return wanted.every((one) => words.some((word) => word.startsWith(one))) ? 1 : null;
}
