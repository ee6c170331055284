// The list of all items: what waits in the order to look at it, then what is decided.

import { el } from "../common.js";
import { STANDS, badge, capital } from "./item.js";

/**
 * @param {object} view the walkround
 * @param {string|null} current key of the item in hand
 * @param {(key: string) => void} go
 */
export function queueList(view, current, go) {
  const items = new Map(view.items.map((item) => [item.key, item]));
  const decided = view.items.filter((item) => !item.waiting).map((item) => item.key);
  const row = (key) => entry(items.get(key), key === current, go);
  return [
    view.queue.length ? [el("h2", {}, `Waiting (${view.queue.length})`), el("ol", {}, view.queue.map(row))] : null,
    decided.length ? [el("h2", {}, `Decided (${decided.length})`), el("ol", {}, decided.map(row))] : null,
  ].flat().filter(Boolean);
}

function entry(item, current, go) {
  const doubts = item.waiting && item.doubts.length;
  return el("li", {}, el("button", {
    type: "button", class: `row item ${item.grade}`, "aria-current": current ? "true" : null,
    onclick: () => go(item.key),
  },
  el("span", { class: "row-says" }, capital(item.says)),
  el("span", { class: "row-more" },
    item.waiting ? null : el("span", { class: "done" }, STANDS[item.standing]),
    item.standing === "postponed" ? el("span", {}, "put back") : null,
    item.word && item.waiting ? badge(item.grade, item.word) : null,
    doubts ? el("span", { class: "doubt-count" }, doubts === 1 ? "1 doubt" : `${doubts} doubts`) : null)));
}
