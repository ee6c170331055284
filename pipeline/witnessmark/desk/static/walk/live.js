/** What the desk has understood so far, shown large and told to screen readers without repeating itself. */

import { Unreachable, ask } from "./api.js";

const EVERY_MS = 700;
const MOST_ASKED = 3; // the reviewer sees all
const SETTLED = ["read", "dropped"];

export class Live extends EventTarget {
  #timer = null;
  #walk = null;
  #shown = {};

  /** @param {HTMLElement} element with parts marked `data-live` */
  constructor(element) {
    super();
    this.element = element;
  }

  /** Follow a walk, once the desk knows it: event `walk` with each answer. */
  follow(walk) {
    this.#walk = walk;
    this.#show(null);
    this.#next(0);
  }

  leave() {
    clearTimeout(this.#timer);
    this.#walk = null;
  }

  #next(after) {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#ask(), after);
  }

  async #ask() {
    const walk = this.#walk;
    if (!walk.made) return this.#next(EVERY_MS / 2);
    try {
      const { ok, data } = await ask("GET", `/api/walks/${walk.id}`);
      if (walk !== this.#walk) return;
      if (ok) this.#answer(data);
      if (ok && SETTLED.includes(data.state)) return this.leave();
    } catch (error) {
      if (!(error instanceof Unreachable)) throw error; // the sending tells it
    }
    return walk === this.#walk && this.#next(EVERY_MS);
  }

  #answer(walk) {
    this.#show(walk.understood);
    this.dispatchEvent(new CustomEvent("walk", { detail: walk }));
  }

  #show(understood) {
    const { last = [], doubts = [], not_mentioned = [], text = "", machine = "" } = understood ?? {};
    this.element.hidden = !understood;
    this.#put("machine", machine ? `Machine: ${machine}` : "");
    this.#put("last", last[0]?.says ?? "");
    this.#part("last").parentElement.hidden = !last.length;
    this.#put("heard", last[0]?.heard ? `“${last[0].heard}”` : "");
    this.#list(
      "before",
      last.slice(1).map((one) => one.says),
    );
    this.#list(
      "doubts",
      doubts.slice(0, MOST_ASKED).map((one) => one.question),
    );
    this.#put("more", doubts.length > MOST_ASKED ? `and ${doubts.length - MOST_ASKED} before that` : "");
    this.#list("open", not_mentioned);
    this.#put("open-count", `Not said yet: ${not_mentioned.length}`);
    this.#put("text", text);
  }

  #part(name) {
    return this.element.querySelector(`[data-live="${name}"]`);
  }

  #put(name, text) {
    if (this.#shown[name] === text) return;
    this.#shown[name] = text;
    const part = this.#part(name);
    part.textContent = text;
    part.hidden = !text;
  }

  #list(name, texts) {
    const whole = texts.join("\n");
    if (this.#shown[name] === whole) return;
    this.#shown[name] = whole;
    const list = this.#part(name);
    const old = new Map([...list.children].map((item) => [item.textContent, item]));
    list.replaceChildren(...texts.map((text) => old.get(text) ?? item(text))); // kept ones are not read again
    list.closest("[data-live-box]").hidden = !texts.length;
  }
}

function item(text) {
  const made = document.createElement("li");
  made.textContent = text;
  return made;
}
