// The page as a whole: which item is in hand, and what each key does with it.

import { Problem, announce, ask, el, problemBox } from "../common.js";
import { Deciding, UNDONE } from "./deciding.js";
import { EntryForm, RejectForm } from "./forms.js";
import { capital, heardIn, itemSheet } from "./item.js";
import { pastOf } from "./past.js";
import { queueList } from "./queue.js";
import { bar, donePanel, restOf } from "./around.js";
import { Others } from "./others.js";
import { newKey } from "./sending.js";
import { Sound } from "./sound.js";
import { Talk } from "./talk.js";

/** Nobody reads an item in less; a key pressed sooner was meant for the one before. */
const LOOK = 350;
/** Where the item has the whole screen. */
const NARROW = matchMedia("(max-width: 48rem)");

export class Page {
  constructor(root, view) {
    const at = (id) => root.querySelector(`#${id}`);
    Object.assign(this, { root, view, at, who: root.dataset.who, decides: root.dataset.decides === "1" });
    this.deciding = new Deciding(this);
    this.others = new Others(this);
    this.sound = new Sound(view.id, view.sound, (playing) => root.classList.toggle("playing", playing));
    this.talk = new Talk(at("words"), view, (key) => this.go(key));
    this.done = [];
    this.aside = new Set();
    this.cleared = new Map();
    this.past = new Map();
    this.form = null;
    this.talk.know(view.items);
  }

  get item() {
    return this.view.items.find((item) => item.key === this.current) ?? null;
  }

  /** Items that wait and were not put back in this sitting. */
  get ahead() {
    return this.view.queue.filter((key) => !this.aside.has(key));
  }

  start() {
    const open = this.deciding.pending;
    const here = (key) => this.view.items.some((item) => item.key === key);
    this.go([open?.item, asked()].find(here) ?? this.ahead[0] ?? null);
    addEventListener("hashchange", () => here(asked()) && this.go(asked()));
    if (open) this.deciding.unanswered(open, new Problem(0, { detail: "Your last decision had no answer before this page was loaded.", remedy: "Send it again: if it was kept, nothing happens twice." }));
    this.others.watch();
    addEventListener("beforeunload", (event) => { if (this.form || this.deciding.pending) event.preventDefault(); });
  }

  /** Take an item in hand; null shows that all is decided. */
  go(key, { focus = true } = {}) {
    this.sound.stop();
    this.current = key;
    this.form = null;
    this.root.classList.remove("writing");
    this.shownAt = performance.now();
    this.render();
    if (focus) this.focusItem();
    const item = this.item;
    this.talk.mark(item?.evidence ?? []);
    if (NARROW.matches && focus) this.at("hand").scrollIntoView();
    if (!item) return;
    this.showPast(key);
    const next = this.view.items.find((one) => one.key === this.ahead.find((other) => other !== key));
    this.sound.fetchAhead(item).then(() => next && this.sound.fetchAhead(next));
    if (this.at("autoplay").checked && item.waiting) this.listen();
  }

  focusItem() {
    this.root.querySelector("#says, #all-done")?.focus();
  }

  render() {
    const { view, item } = this;
    this.at("queue").replaceChildren(...queueList(view, this.current, (key) => this.go(key)));
    this.showCount();
    const hand = item ? [itemSheet(item, view, { cleared: this.cleared.get(item.key) ?? 0, place: this.place(item) }), bar(this, item)]
      : [donePanel(this), this.decides ? bar(this, null) : null];
    this.at("hand").replaceChildren(el("div", { id: "trouble" }), el("div", { id: "form" }), ...hand.filter(Boolean));
    if (item && this.form) this.at("form").replaceChildren(this.form.element);
    this.at("rest").replaceChildren(...restOf(view, (key) => this.go(key)));
    if (item && !this.sound.there) this.at("sound-note").textContent = `${capital(view.soundless)} Decide by its words.`;
  }

  showCount() {
    const { view } = this;
    const left = view.queue.length;
    this.at("left").textContent = left ? `${left} of ${view.items.length} waiting.` : "Nothing waits.";
    this.root.querySelector("h1").textContent = view.title;
  }

  place(item) {
    const at = this.view.queue.indexOf(item.key);
    return at < 0 ? "decided" : `${at + 1} of ${this.view.queue.length} waiting`;
  }

  async showPast(key) {
    const item = this.item;
    if (!this.past.has(key)) {
      const asked = ask("GET", `/api/walkrounds/${this.view.id}/earlier?item=${encodeURIComponent(key)}`);
      this.past.set(key, asked);
      asked.catch(() => this.past.delete(key));
    }
    const past = await this.past.get(key).catch((problem) => ({ note: problem.message, points: [], others: [] }));
    if (this.current === key && item) this.at("past")?.replaceChildren(pastOf(past, this.view.on));
  }

  // --- what the keys do

  async listen(how = {}) {
    const item = this.item;
    if (!item) return;
    const told = this.at("sound-note");
    if (!this.sound.stretches(item).length) {
      if (told && this.sound.there) told.textContent = "No moment of the recording belongs to this item.";
      announce(told?.textContent ?? "");
      return;
    }
    try {
      await this.sound.play(item, how);
    } catch (error) {
      const says = error instanceof Problem ? `${error.message} ${error.remedy}` : "The browser does not play this.";
      if (told) told.textContent = says;
      announce(says);
    }
  }

  slower() { return this.listen({ slow: true }); }

  wider() { return this.listen({ wider: 1 }); }

  /** Of several doubts each is cleared by itself; the last one confirms. */
  confirm() {
    const item = this.waitingItem();
    if (!item) return;
    if (performance.now() - this.shownAt < LOOK) {
      this.tell("Too soon after the last one: look first.");
      return;
    }
    const cleared = (this.cleared.get(item.key) ?? 0) + 1;
    if (cleared < item.doubts.length) {
      this.cleared.set(item.key, cleared);
      this.shownAt = performance.now();
      this.render();
      this.refill(item);
      this.tell(`Doubt ${cleared} cleared. Doubt ${cleared + 1}: ${item.doubts[cleared]}`);
      return;
    }
    this.deciding.decide("confirm");
  }

  /** Say what a key came to: to who listens, and at the foot of the item until the next one. */
  tell(sentence) {
    announce(sentence);
    const foot = this.at("just");
    if (foot) foot.textContent = sentence;
  }

  /** Put back what a new drawing of the same item left empty. */
  refill(item) {
    this.showPast(item.key);
    this.focusItem();
  }

  postpone() {
    if (this.waitingItem()) this.deciding.decide("postpone");
  }

  async correct() {
    const item = this.decides && this.item;
    if (!item || this.form) return;
    const words = await this.words();
    if (!words || this.current !== item.key) return;
    this.open(new EntryForm({
      words, walkround: this.view.id, key: item.key, sort: item.sort, was: item.entry,
      says: capital(item.says), heard: heardIn(item, this.view),
      send: (wanted) => this.deciding.decide("correct", wanted), leave: () => this.close(),
    }));
  }

  async reject() {
    const item = this.decides && this.item;
    if (!item || item.standing === "rejected" || this.form) return;
    const words = await this.words();
    if (!words || this.current !== item.key) return;
    this.open(new RejectForm({ words, says: capital(item.says), send: (why) => this.deciding.decide("reject", { why }), leave: () => this.close() }));
  }

  async add() {
    if (!this.decides || this.form) return;
    const piece = this.talk.selected();
    const words = await this.words();
    if (!words) return;
    const key = newKey();
    this.open(new EntryForm({
      words, walkround: this.view.id, key, sort: "finding", was: {}, talk: this.talk, piece,
      send: (wanted) => this.deciding.decide("add", { key, ...wanted }), leave: () => this.close(),
    }));
  }

  undo() {
    const key = this.done.at(-1);
    if (!this.decides || this.form) return;
    if (!key) {
      this.tell("Nothing was decided in this sitting that could be undone.");
      return;
    }
    if (this.aside.delete(key)) {
      this.done.pop();
      this.go(key);
      return;
    }
    this.putBack(key);
  }

  /** The item waits again; the trail keeps both decisions. */
  putBack(key) {
    this.deciding.decide("postpone", { key, why: UNDONE });
  }

  next() { this.step(1); }

  back() { this.step(-1); }

  step(by) {
    const waits = this.view.queue;
    const keys = waits.length ? waits : this.view.items.map((item) => item.key);
    const at = keys.indexOf(this.current);
    this.go(keys[(Math.max(at, by < 0 ? 0 : -1) + by + keys.length) % keys.length]);
  }

  // --- forms

  open(form) {
    this.form = form;
    this.at("form").replaceChildren(form.element);
    this.root.classList.add("writing");
    form.focus();
  }

  close() {
    this.form = null;
    this.root.classList.remove("writing");
    this.at("form").replaceChildren();
    this.talk.mark(this.item?.evidence ?? []);
    this.focusItem();
  }

  async words() {
    try {
      this.known ??= await ask("GET", "/api/words");
    } catch (problem) {
      this.trouble(problemBox(problem));
    }
    return this.known;
  }

  waitingItem() {
    const item = this.item;
    if (!this.decides || !item || this.form) return null;
    if (item.waiting) return item;
    this.tell("This one is decided. Put it back to waiting first.");
    return null;
  }

  trouble(box) {
    this.at("trouble").replaceChildren(box);
    box.querySelector("button")?.focus();
  }

  take(item) {
    const at = this.view.items.findIndex((one) => one.key === item.key);
    if (at < 0) this.view.items.push(item);
    else this.view.items[at] = item;
    this.talk.know(this.view.items);
  }
}

/** Key of the item that the address names after "#", as links from machines and the search do. */
function asked() {
  try {
    return decodeURIComponent(location.hash.slice(1));
  } catch {
    return ""; // no such writing
  }
}
