// What stands around the item in hand: the bar of actions, the end, and what belongs to the whole walkround.

import { el, moment } from "../common.js";
import { STANDS, capital, changesOf, picture } from "./item.js";

/** The actions on an item; of a decided one only those that may still be taken. */
export function bar(page, item) {
  const act = (word, key, does, more = {}) => el("button", {
    type: "button", class: more.first ? `${does} first` : `${does} quiet`, "aria-keyshortcuts": key, disabled: more.not, onclick: () => page[does](),
  }, word, el("kbd", { "aria-hidden": "true" }, key));
  const listen = item && page.sound.stretches(item).length
    ? [act("Listen", "l", "listen"), act("Slower", "s", "slower"), act("Wider", "w", "wider")] : [];
  const undo = page.done.length ? act("Undo", "u", "undo") : null;
  let choices = [];
  if (page.decides && item?.waiting) {
    choices = [act(confirmWord(page, item), "y", "confirm", { first: true, not: unnamed(item) }), act("Correct", "c", "correct"),
      act("Reject", "r", "reject"), act("Later", "p", "postpone")];
  } else if (page.decides && item) {
    choices = [el("button", { type: "button", class: "first quiet", onclick: () => page.putBack(item.key) }, "Back to waiting"),
      act("Correct", "c", "correct"), item.standing === "rejected" ? null : act("Reject", "r", "reject"), act("Next", "n", "next", { first: true })];
  }
  return el("div", { class: "bar-of-actions", role: "group", "aria-label": "Decide" },
    el("p", { id: "just", class: "small", "aria-hidden": "true" }),
    el("div", { class: "choices" }, choices), el("div", { class: "sounds" }, listen, undo));
}

const unnamed = (item) => item.sort === "machine" && !item.entry.registration && !item.entry.vin;

function confirmWord(page, item) {
  const left = item.doubts.length - (page.cleared.get(item.key) ?? 0);
  return left > 1 ? `Clear doubt (${left})` : left === 1 ? "Clear and confirm" : "Confirm";
}

/** Nothing more waits, or only what was put back in this sitting. */
export function donePanel(page) {
  const { view } = page;
  const put = view.queue.filter((key) => page.aside.has(key));
  const count = (standing) => view.items.filter((item) => item.standing === standing).length;
  const counts = ["confirmed", "corrected", "added", "rejected"].map((one) => [one, count(one)]).filter(([, n]) => n);
  return el("section", { class: "sheet stack", "aria-labelledby": "all-done" },
    el("h2", { id: "all-done", tabindex: -1 }, put.length ? "Nothing more waits in this sitting" : "All is decided"),
    el("p", {}, counts.map(([one, n]) => `${n} ${STANDS[one]}`).join(", ") || "There was nothing to decide", "."),
    put.length ? el("p", {}, el("button", { type: "button", onclick: () => { page.aside.clear(); page.go(put[0]); } }, `Take up the ${put.length} put back`)) : null,
    view.never_mentioned.length ? el("p", {}, "Never mentioned, which is not the same as in order: ", few(view.never_mentioned), ". Add what was looked at.") : null,
    !view.queue.length && page.decides ? el("p", {}, el("a", { class: "button", href: `/links?walkround=${view.id}` }, "Make the owner's link")) : null,
    el("p", {}, el("a", { href: "/review" }, "To the walkrounds that wait")));
}

const few = (names) => (names.length > 8 ? `${names.slice(0, 8).join(", ")} and ${names.length - 8} more` : names.join(", "));

/** Defects together, what was never mentioned, pictures, and the whole trail. */
export function restOf(view, go) {
  return [
    view.together.length ? el("section", {}, el("h2", {}, "Together"), el("ul", {}, view.together.map((one) => el("li", {}, one)))) : null,
    view.never_mentioned.length ? folded(`Never mentioned (${view.never_mentioned.length})`,
      el("p", { class: "soft small" }, "Gravest first. Not mentioned is not the same as in order."),
      el("ul", { class: "columns" }, view.never_mentioned.map((name) => el("li", {}, name)))) : null,
    view.photos.length ? folded(`Photographs (${view.photos.length})`, el("div", { class: "photos" }, view.photos.map((one) => picture(view, one)))) : null,
    view.trail.length ? folded(`Trail (${view.trail.length})`, trailTable(view, go)) : null,
  ].filter(Boolean);
}

function folded(head, ...inside) {
  const box = el("details", { "data-of": head.replace(/ \(.*/, "") }, el("summary", {}, head), inside);
  box.open = wasOpen.has(box.dataset.of);
  box.addEventListener("toggle", () => (box.open ? wasOpen.add(box.dataset.of) : wasOpen.delete(box.dataset.of)));
  return box;
}

const wasOpen = new Set();

function trailTable(view, go) {
  const rows = [...view.trail].reverse().map((line) => el("tr", {},
    el("td", {}, moment(line.when)), el("td", {}, line.who), el("td", {}, line.did),
    el("td", {}, el("button", { type: "button", class: "link", onclick: () => go(line.item) }, capital(line.says)),
      line.grade ? el("div", { class: "small" }, `own grade: ${line.grade}`) : null,
      line.changes.length ? el("div", { class: "small" }, changesOf(line.changes)) : null,
      line.why ? el("div", { class: "small soft" }, `“${line.why}”`) : null)));
  const heads = ["When", "Who", "Did", "Item"].map((head) => el("th", { scope: "col" }, head));
  return el("div", { class: "wide", role: "region", "aria-label": "Trail", tabindex: 0 },
    el("table", { class: "small" }, el("thead", {}, el("tr", {}, heads)), el("tbody", {}, rows)));
}
