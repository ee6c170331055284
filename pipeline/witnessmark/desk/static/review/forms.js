// The forms for a correction, an addition and a rejection. What would be judged is shown before it is sent.

import { Problem, announce, ask, el, problemBox } from "../common.js";
import { Combobox } from "./combobox.js";
import { Fields, Radios, Unfit } from "./fields.js";
import { badge, changesOf, verdictLine } from "./item.js";

const PAUSE = 200;
const SORTS = [{ id: "finding", name: "observation" }, { id: "reading", name: "measurement" }, { id: "work", name: "job" }];

/** A form for an item; `sort` and `was` are those of the item, or of nothing for a new one. */
export class EntryForm {
  /**
   * @param {object} given
   * @param {object} given.words of /api/words
   * @param {string} given.walkround id
   * @param {string} given.key of the item
   * @param {string} given.sort
   * @param {object} given.was the entry
   * @param {string} [given.says] for a correction: what the item says
   * @param {HTMLElement[]} [given.heard] likewise: the words behind the item
   * @param {import("./talk.js").Talk} [given.talk] for a new item: where its words are found
   * @param {object|null} [given.piece] the words selected
   * @param {(wanted: {becomes: object, grade: string|null, why: string}) => void} given.send
   * @param {() => void} given.leave
   */
  constructor(given) {
    Object.assign(this, given);
    this.why = new Combobox("Why (may stay empty)", [], { free: true, changed: () => this.grade.value && this.changed() });
    this.grade = new Radios("Grade", [{ id: null, name: "by the rules" }, ...this.words.grades], null, () => this.changed());
    this.preview = el("div", { class: "preview", role: "region", "aria-label": "How it would be judged", "aria-live": "polite" });
    this.button = el("button", { type: "submit" }, this.talk ? "Add it" : "Keep the correction");
    this.fieldBox = el("div", {});
    this.element = el("form", {
      class: "sheet decide-form", "aria-labelledby": "form-head", autocomplete: "off", novalidate: true,
      onsubmit: (event) => { event.preventDefault(); this.submit(); },
      onkeydown: (event) => { if (event.key === "Escape") { event.preventDefault(); this.leave(); } },
    }, el("h2", { id: "form-head" }, this.talk ? "Add an item" : `Correct: ${this.says}`),
    this.talk ? [this.sorts(), this.source()] : el("div", { class: "heard" }, this.heard),
    this.fieldBox, this.grade.element, this.why.element,
    el("div", { class: "form-foot" }, this.preview, el("p", { class: "buttons" }, this.button,
      el("button", { type: "button", class: "quiet", onclick: () => this.leave() }, "Leave it"))));
    this.show(this.sort, this.was);
  }

  show(sort, was) {
    this.sort = sort;
    this.fields = new Fields(this.words, sort, was, () => this.changed());
    this.fieldBox.replaceChildren(this.fields.element);
    this.grade.element.hidden = !["finding", "reading"].includes(sort);
    this.seen = null;
    if (!this.talk) this.changed();
  }

  focus() {
    this.fields.focus();
  }

  /** For a new item: what kind it is. */
  sorts() {
    return el("fieldset", {}, el("legend", {}, "Kind"), SORTS.map(({ id, name }) => {
      const input = el("input", { type: "radio", name: "sort", id: `sort-${id}`, onchange: () => this.show(id, {}) });
      input.checked = id === this.sort;
      return el("label", { class: "tick", for: input.id }, input, name);
    }));
  }

  /** For a new item: the words that it rests on, found as they are typed. */
  source() {
    const told = el("p", { class: "soft small", id: "source-told" });
    const again = el("button", { type: "button", class: "quiet", hidden: true, onclick: () => look(this.piece.char_end) }, "The next place");
    const input = el("input", { id: "source", type: "text", maxlength: 500, autocomplete: "off", "aria-describedby": "source-told", oninput: () => look() });
    const look = (from = 0) => {
      this.piece = this.talk.find(input.value, from);
      tell();
      this.changed();
    };
    const tell = () => {
      this.talk.mark(this.piece ? [this.piece] : []);
      again.hidden = !this.piece;
      told.textContent = this.piece ? "Found in the talk and marked there." : input.value.trim()
        ? "These words are not in the talk; it is added without words." : "Words of the talk that say it. Empty: nobody said it.";
    };
    if (this.piece) input.value = this.piece.text;
    tell();
    return el("div", {}, el("label", { for: "source" }, "Words it rests on"), input, told, again);
  }

  entry() {
    const made = this.fields.entry();
    if (this.talk) made.evidence = this.piece ? [this.piece] : [];
    return made;
  }

  /** What is sent: how it should read, the reviewer's own grade if he gives one, and why. */
  wanted() {
    const grade = this.grade.element.hidden ? null : this.grade.value;
    return { becomes: this.entry(), grade, why: this.why.value };
  }

  tell(...lines) {
    this.preview.replaceChildren(...lines);
    const scrolls = this.preview.scrollHeight > this.preview.clientHeight;
    if (scrolls) this.preview.tabIndex = 0;
    else this.preview.removeAttribute("tabindex");
  }

  changed() {
    this.seen = null;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.judge(), PAUSE);
  }

  /** Ask how the item would be judged, and show it. */
  async judge() {
    clearTimeout(this.timer);
    let asked;
    try {
      asked = { item: this.key, ...this.wanted() };
    } catch (error) {
      if (!(error instanceof Unfit)) throw error;
      this.tell(el("p", {}, error.message));
      return;
    }
    const seen = shown(asked);
    if (this.asking === seen) return this.asked;
    this.asking = seen;
    this.asked = this.ask(asked, seen);
    return this.asked;
  }

  async ask(asked, seen) {
    try {
      const judged = await ask("POST", `/api/walkrounds/${this.walkround}/judged`, asked);
      if (this.asking !== seen) return;
      this.tell(...judgedBox(judged, Boolean(this.talk)));
      this.seen = seen;
    } catch (error) {
      if (!(error instanceof Problem)) throw error;
      if (this.asking === seen) this.tell(el("p", {}, el("strong", {}, error.message), " ", error.remedy));
    } finally {
      if (this.asking === seen) this.asking = null;
    }
  }

  /** Send it once how it would be judged is on the screen; else show that first. */
  async submit() {
    let wanted;
    try {
      wanted = this.wanted();
    } catch (error) {
      if (!(error instanceof Unfit)) throw error;
      announce(error.message, { now: true });
      this.tell(el("p", {}, el("strong", {}, error.message)));
      return;
    }
    if (this.seen === shown(wanted)) return this.send(wanted);
    await this.judge();
    this.button.focus();
    announce("Look at how it would be judged, then press once more.");
  }
}

/** What of a form must be on the screen before it is sent; why counts only with a grade of one's own. */
const shown = ({ becomes, grade, why }) => JSON.stringify([becomes, grade, grade && why]);

function judgedBox(judged, added) {
  const none = !added && !judged.changes.length;
  return [
    el("p", {}, el("strong", {}, none ? "Nothing would change; " : "Will read: "), none ? "its doubts would be settled." : judged.says),
    judged.changes.length ? el("p", {}, changesOf(judged.changes)) : null,
    judged.verdicts.length ? el("ul", {}, judged.verdicts.map((verdict) => el("li", {}, verdictLine(verdict)))) : el("p", { class: "soft" }, "It would not be judged."),
    judged.others.length ? [el("p", {}, "It also changes how others are judged:"),
      el("ul", {}, judged.others.map((one) => el("li", {}, `${one.says}: `, el("del", {}, one.before), " → ", el("ins", {}, one.after))))] : null,
  ].flat().filter(Boolean);
}

/** Asks for the reason of a rejection; offers those used before. */
export class RejectForm {
  constructor({ words, says, send, leave }) {
    this.reason = new Combobox("Why is it wrong?", words.reasons.map((name) => ({ id: name, name })), { free: true });
    this.told = el("p", { class: "preview", "aria-live": "polite" });
    this.element = el("form", {
      class: "sheet decide-form", "aria-labelledby": "form-head", autocomplete: "off", novalidate: true,
      onsubmit: (event) => {
        event.preventDefault();
        if (this.reason.value) return send(this.reason.value);
        this.told.textContent = "A rejection needs a reason. Say in a few words why it is wrong.";
        return this.focus();
      },
      onkeydown: (event) => { if (event.key === "Escape") { event.preventDefault(); leave(); } },
    }, el("h2", { id: "form-head" }, `Reject: ${says}`), this.reason.element, this.told,
    el("p", { class: "buttons" }, el("button", { type: "submit" }, "Reject it"),
      el("button", { type: "button", class: "quiet", onclick: leave }, "Leave it")));
  }

  focus() {
    this.reason.input.focus();
    this.reason.open();
  }
}

/** Somebody else decided meanwhile: what stands, what was wanted, and the two ways on. */
export function conflictBox(problem, wanted, { leave, again }) {
  const standing = problem.details.standing;
  const theirs = standing.waiting ? "Look at it first" : "Let theirs stand";
  const yours = { confirm: `confirm “${wanted.says}”`, reject: `reject it: “${wanted.why}”`, correct: "correct it as below", postpone: "put it back", add: "add it" }[wanted.kind];
  const box = problemBox(problem,
    el("button", { type: "button", onclick: leave }, theirs),
    el("button", { type: "button", class: "quiet", onclick: again }, "Decide as I wanted"));
  box.children[0].after(
    el("p", {}, el("strong", {}, "It now reads: "), standing.says, " ", badge(standing.grade, standing.standing)),
    standing.trail.at(-1)?.why ? el("p", {}, `Their reason: “${standing.trail.at(-1).why}”`) : "",
    el("p", {}, el("strong", {}, "You wanted to: "), yours, ". Nothing of yours was kept."));
  box.classList.add("conflict");
  return box;
}
