// One item with all that it takes to decide: what it says, its doubts, its words, its verdicts, its trail.

import { clock, el, moment } from "../common.js";

const AROUND = 60;
const NEAR = 6;

/**
 * @param {object} item
 * @param {object} view the walkround
 * @param {object} more
 * @param {number} more.cleared doubts looked at already
 * @param {string} more.place "3 of 12 waiting"
 * @returns {HTMLElement}
 */
export function itemSheet(item, view, { cleared, place }) {
  return el("article", { class: `item sheet ${item.grade}`, "aria-labelledby": "says" },
    el("p", { class: "place soft" }, place),
    el("h2", { id: "says", tabindex: -1, "aria-describedby": "told" }, capital(item.says)),
    el("div", { id: "told", class: "stack" }, standing(item), graded(item), doubts(item, cleared)),
    heard(item, view),
    photos(item, view),
    el("div", { id: "past" }),
    otherVerdicts(item),
    trailOf(item));
}

/** What an item says as a heading: a figure and its unit stay on one line. */
export const capital = (text) =>
  text.slice(0, 1).toUpperCase() + text.slice(1).replace(/(\d) (?=\S{1,6}(?:[,;)]|$| ))/g, "$1\u00a0");

export const STANDS = {
  waiting: "waits", postponed: "put back", confirmed: "confirmed", corrected: "corrected", added: "added",
  rejected: "rejected",
};

function standing(item) {
  const last = item.trail.at(-1);
  if (!last) return null;
  const kept = item.waiting ? "It waits again." : item.standing === "rejected" ? "It stays out of the record." : "It is in the record.";
  return el("p", { class: "stands" }, `${capital(last.did)} by ${last.who}, ${moment(last.when)}. ${kept}`,
    last.why ? el("span", { class: "soft" }, ` “${last.why}”`) : null);
}

/** The verdict that counts for the order of the queue, with whose rule it is. */
function graded(item) {
  const verdict = deciding(item);
  if (!verdict) return item.sort === "finding" || item.sort === "reading" ? el("p", {}, badge("ungraded", "not judged")) : null;
  return el("p", {}, verdictLine(verdict));
}

const deciding = (item) => item.verdicts.find((verdict) => verdict.grade === item.grade) ?? item.verdicts[0];

export const badge = (grade, word) => el("span", { class: `grade ${grade}` }, word);

function doubts(item, cleared) {
  if (!item.doubts.length || !item.waiting) return null;
  return el("ol", { class: "doubts", "aria-label": "Doubts" }, item.doubts.map((sentence, n) =>
    el("li", { class: n < cleared ? "cleared" : n === cleared ? "next" : "" },
      el("strong", {}, n < cleared ? "Cleared: " : "Doubt: "), sentence)));
}

/** The words behind an item with those around them, and when they were said. */
export function heardIn(item, view) {
  return item.evidence.map((piece) => {
    const from = Math.max(0, piece.char_start - AROUND);
    const before = view.text.slice(from, piece.char_start);
    const after = view.text.slice(piece.char_end, piece.char_end + AROUND);
    return el("blockquote", {},
      piece.start === null ? null : el("span", { class: "soft at" }, `at ${clock(piece.start)} `),
      from ? "… " + before.replace(/^\S*\s/, "") : before, el("mark", {}, view.text.slice(piece.char_start, piece.char_end)),
      piece.char_end + AROUND < view.text.length ? after.replace(/\s\S*$/, "") + " …" : after);
  });
}

/** The words; what was first printed or said. */
function heard(item, view) {
  const pieces = heardIn(item, view);
  if (!pieces.length) {
    pieces.push(el("p", { class: "soft" }, item.drafted === null
      ? "Added by a reviewer, without words of the talk." : "No words of the talk stand behind this."));
  }
  return el("section", { class: "heard", "aria-label": "Heard" }, pieces,
    item.said_first ? el("p", {}, el("strong", {}, "Said first, then corrected: "), item.said_first) : null,
    printedFirst(item, view),
    el("p", { class: "small", id: "sound-note" }));
}

function printedFirst(item, view) {
  const within = view.printed.filter((one) => item.evidence.some((piece) =>
    one.char_start < piece.char_end && one.char_end > piece.char_start));
  return within.map((one) => el("p", { class: "small" },
    one.first ? [el("strong", {}, "First printed: "), `“${one.first}”, now “${one.text}”. `] : null,
    one.probability < 0.5 ? `The recogniser was sure of “${one.text}” to ${Math.round(one.probability * 100)} of 100.` : null));
}

function otherVerdicts(item) {
  const others = item.verdicts.filter((verdict) => verdict !== deciding(item));
  if (!others.length) return null;
  return el("section", { class: "verdicts", "aria-label": "Also judged by" }, el("h3", {}, "Also judged by"),
    el("ul", {}, others.map((verdict) => el("li", {}, verdictLine(verdict)))));
}

/** One verdict: grade, message, whose rule, the limit, the source and how sure it is. */
export function verdictLine(verdict) {
  const source = verdict.source && `Source: ${verdict.source}${verdict.sure ? ` (${verdict.sure})` : ""}`;
  const rule = [verdict.basis, verdict.limit && `limit ${verdict.limit}`].filter(Boolean).join(", ");
  const told = [capital(rule), source].filter(Boolean).join(". ");
  return [badge(verdict.grade, verdict.word), " ", verdict.message, told ? el("span", { class: "rule" }, `${told}.`) : null];
}

function photos(item, view) {
  const near = view.photos.filter((photo) => photo.seconds !== null && item.evidence.some((piece) =>
    piece.start !== null && photo.seconds > piece.start - NEAR && photo.seconds < (piece.end ?? piece.start) + NEAR));
  return near.length ? el("div", { class: "photos" }, near.map((photo) => picture(view, photo))) : null;
}

export function picture(view, photo) {
  const when = photo.seconds === null ? "of the whole" : `at ${clock(photo.seconds)}`;
  const address = `/api/walkrounds/${view.id}/photos/${photo.sha256}`;
  return el("a", { href: address }, el("img", { src: address, alt: `Photograph ${when}, by ${photo.who}`, loading: "lazy" }));
}

function trailOf(item) {
  if (!item.trail.length) return null;
  return el("section", { "aria-label": "Trail of this item" }, el("h3", {}, "Trail"),
    el("ul", { class: "trail" }, item.trail.map((line) => el("li", {}, trailWords(line)))));
}

/** Who did what, when and why, with what changed. */
export function trailWords(line) {
  return [`${moment(line.when)}, ${line.who}: ${line.did}`,
    line.changes.length ? [": ", changesOf(line.changes)] : null,
    line.grade ? `, graded ${line.grade} by own judgement` : null,
    line.why ? ` (“${line.why}”)` : null];
}

/** "value 1.2 mm → 2.1 mm", each change once. */
export function changesOf(changes) {
  return changes.map((change, n) => [n ? "; " : null, `${change.field} `, el("del", {}, change.before),
    el("span", { "aria-hidden": "true" }, " → "), el("ins", {}, change.after)]);
}
