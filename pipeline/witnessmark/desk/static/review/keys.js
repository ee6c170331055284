// Single letters act, but never inside a field, never while held down, and not at all once switched off.

import { el } from "../common.js";

const SETTING = "witnessmark.keys";

export const KEYS = [
  ["y", "confirm", "Confirm it as it stands; of several doubts, clear the one in hand"],
  ["c", "correct", "Correct it"],
  ["r", "reject", "Reject it, with a reason"],
  ["p", "postpone", "Put it back for later"],
  ["u", "undo", "Undo your last decision"],
  ["l", "listen", "Listen, or listen again"],
  ["s", "slower", "Listen slower"],
  ["w", "wider", "Listen to a second more on each side"],
  ["a", "add", "Add an item, from the words selected in the talk if any are"],
  ["n", "next", "Next item, without deciding"],
  ["b", "back", "Item before"],
  ["?", "help", "This list"],
];

/** Whether letters act. Off is kept for this device. */
export const keysOn = () => localStorage.getItem(SETTING) !== "off";

/** Do what a letter stands for. */
export function listenForKeys(does) {
  addEventListener("keydown", (event) => {
    if (event.repeat || event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return;
    if (!keysOn() || event.target.closest("input, textarea, select, dialog, [contenteditable]")) return;
    const row = KEYS.find(([key]) => key === event.key.toLowerCase());
    if (!row) return;
    event.preventDefault();
    does[row[1]]();
  });
}

/** The help panel. */
export function helpPanel() {
  const on = el("input", {
    type: "checkbox", id: "keys-on",
    onchange: () => localStorage.setItem(SETTING, on.checked ? "on" : "off"),
  });
  on.checked = keysOn();
  const panel = el("dialog", { class: "sheet help", "aria-labelledby": "help-head" },
    el("h2", { id: "help-head" }, "Keys"),
    el("label", { class: "tick", for: "keys-on" }, on, "Letters act on this page"),
    el("p", { class: "soft small" }, "They never act while you type in a field. Switch them off if you speak your commands or a screen reader needs them; every key has a button. Inside a form: Tab and the arrow keys choose, Enter keeps, Escape leaves it as it was."),
    el("table", {}, el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "Key"), el("th", { scope: "col" }, "What it does"))),
      el("tbody", {}, KEYS.map(([key, , what]) => el("tr", {}, el("td", {}, el("kbd", {}, key)), el("td", {}, what))))),
    el("p", {}, el("button", { type: "button", onclick: () => panel.close() }, "Close")));
  document.body.append(panel);
  return panel;
}
