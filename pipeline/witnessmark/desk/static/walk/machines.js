/** Which machine: one that is known, one typed now, or the one named in the talk. */

import { Unreachable, ask } from "./api.js";
import { recall, remember } from "./tell.js";

const MOST = 5;
const REMEMBERED = "walk machines";
const plain = (text) => text.toUpperCase().replace(/[^\p{L}\p{N}]/gu, "");

export class Machines {
  chosen = null;
  #known = recall(REMEMBERED, []);

  constructor() {
    const find = (id) => document.getElementById(id);
    this.fold = find("machine");
    this.words = find("machine-chosen");
    this.search = find("machine-search");
    this.list = find("machine-list");
    this.note = find("machine-note");
    this.search.addEventListener("input", () => this.#show());
    this.search.addEventListener("keydown", (event) => event.key === "Enter" && this.#takeOnly(event));
    this.list.addEventListener("change", (event) => this.#choose(event.target.value || null));
    this.list.addEventListener("click", (event) => {
      if (event.detail && event.target.closest("label")) this.fold.open = false; // touched; arrow keys go on
    });
    this.fold.addEventListener("toggle", () => this.fold.open && this.#load());
    this.#show();
  }

  #choose(name) {
    this.chosen = name;
    this.words.textContent = name ?? "said in the talk";
  }

  async #load() {
    try {
      const { ok, data } = await ask("GET", "/api/machines");
      if (!ok) return;
      this.#known = (Array.isArray(data) ? data : data.machines).map(named).filter((one) => one.name);
      remember(REMEMBERED, this.#known.slice(0, 200));
    } catch (error) {
      if (!(error instanceof Unreachable)) throw error;
    }
    this.#show();
  }

  #takeOnly(event) {
    event.preventDefault();
    const found = this.list.querySelectorAll('input:not([value=""])');
    if (found.length !== 1) return;
    this.#choose(found[0].value);
    found[0].checked = true;
    this.fold.open = false;
    this.fold.querySelector("summary").focus();
  }

  #show() {
    const typed = this.search.value.trim();
    const found = this.#known.filter((one) => plain(one.name + one.more).includes(plain(typed)));
    const rows = [choice("", "Said in the talk", "", this.chosen === null)];
    for (const one of found.slice(0, MOST))
      rows.push(choice(one.name, one.name, one.more, one.name === this.chosen));
    const known = this.#known.some((one) => plain(one.name) === plain(typed));
    if (typed && !known) rows.push(choice(typed, typed, "not known here yet", typed === this.chosen));
    this.list.replaceChildren(this.list.querySelector("legend"), ...rows);
    const left = found.length - MOST;
    this.note.textContent = left > 0 ? `${left} more: type some of the name.` : "";
  }
}

function named(one) {
  const name = one.registration ?? one.vin ?? one.name ?? "";
  return { name, more: one.last_seen ? `seen ${one.last_seen}` : "" };
}

function choice(value, text, more, checked) {
  const label = document.createElement("label");
  const input = Object.assign(document.createElement("input"), {
    type: "radio",
    name: "machine",
    value,
    checked,
  });
  const words = document.createElement("span");
  words.append(`${text} `);
  if (more) words.append(Object.assign(document.createElement("small"), { textContent: more }));
  label.append(input, words);
  return label;
}
