// The whole talk, word by word: marks what an item rests on, and takes a selection for a new one.

import { el } from "../common.js";

export class Talk {
  /**
   * @param {HTMLElement} box where the words go
   * @param {object} view the walkround
   * @param {(key: string) => void} chosen told when a word is pressed on which an item rests
   */
  constructor(box, view, chosen) {
    this.box = box;
    this.text = view.text;
    this.words = [];
    const unsure = view.printed;
    let at = 0;
    for (const match of view.text.matchAll(/\S+/g)) {
      box.append(view.text.slice(at, match.index));
      const end = match.index + match[0].length;
      const printed = unsure.find((one) => one.char_start < end && one.char_end > match.index);
      const span = el("span", { class: wordClass(printed), title: printed && toldOf(printed) }, match[0]);
      this.words.push({ start: match.index, end, span, keys: [] });
      box.append(span);
      at = end;
    }
    box.addEventListener("click", (event) => {
      if (!getSelection().isCollapsed) return;
      const word = this.words.find((one) => one.span === event.target);
      if (word?.keys.length) chosen(word.keys[0]);
    });
  }

  /** Which words the items rest on. */
  know(items) {
    for (const word of this.words) word.keys = [];
    for (const item of items) {
      for (const piece of item.evidence) for (const word of this.within(piece)) word.keys.push(item.key);
    }
    for (const word of this.words) word.span.classList.toggle("unused", word.keys.length === 0);
  }

  within(piece) {
    return this.words.filter((word) => word.start < piece.char_end && word.end > piece.char_start);
  }

  /** Mark the words behind an item and bring them into view, within the pane only. */
  mark(evidence) {
    const marked = new Set(evidence.flatMap((piece) => this.within(piece)));
    for (const word of this.words) word.span.classList.toggle("marked", marked.has(word));
    const first = this.words.find((word) => marked.has(word));
    if (first && this.box.scrollHeight > this.box.clientHeight) {
      this.box.scrollTop = first.span.offsetTop - this.box.offsetTop - this.box.clientHeight / 3;
    }
  }

  /** The piece of the talk between two characters, whole words without the stop at their end. */
  piece(start, end) {
    const text = this.text.slice(start, end).replace(/[.,;:!?]+$/, "");
    return { text, char_start: start, char_end: start + text.length };
  }

  /** The words selected in the talk, or null. */
  selected() {
    const selection = getSelection();
    if (selection.isCollapsed || !selection.rangeCount) return null;
    const range = selection.getRangeAt(0);
    const within = this.words.filter((word) => range.intersectsNode(word.span) && touches(range, word.span));
    return within.length ? this.piece(within[0].start, within.at(-1).end) : null;
  }

  /** Where these words were said: the first place from a character on, else from the beginning; or null. */
  find(said, from = 0) {
    const wanted = said.trim().toLowerCase().split(/\s+/).filter(Boolean);
    if (!wanted.length) return null;
    const plain = this.words.map((word) => bare(word.span.textContent));
    const fits = (at) => wanted.every((one, n) => plain[at + n] === bare(one));
    const places = this.words.map((_, at) => at).filter(fits);
    const at = places.find((place) => this.words[place].start >= from) ?? places[0];
    return at === undefined ? null : this.piece(this.words[at].start, this.words[at + wanted.length - 1].end);
  }
}

function wordClass(printed) {
  if (!printed) return "w";
  return printed.first ? "w unsure changed" : "w unsure";
}

function toldOf(printed) {
  const sure = `recogniser: ${Math.round(printed.probability * 100)} of 100`;
  return printed.first ? `first printed “${printed.first}”; ${sure}` : sure;
}

/** A range that only ends where the word begins does not take it in. */
function touches(range, span) {
  const own = document.createRange();
  own.selectNodeContents(span);
  return range.compareBoundaryPoints(Range.END_TO_START, own) < 0
    && range.compareBoundaryPoints(Range.START_TO_END, own) > 0;
}

const bare = (word) => word.toLowerCase().replace(/^[^\p{L}\p{N}]+|[^\p{L}\p{N}]+$/gu, "");
