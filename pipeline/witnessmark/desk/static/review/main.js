// Starts the review page from the values that came with it.

import { helpPanel, listenForKeys } from "./keys.js";
import { Page } from "./page.js";

const AUTOPLAY = "witnessmark.autoplay";

const root = document.getElementById("review");
const view = JSON.parse(document.getElementById("given").textContent);
const page = new Page(root, view);
const help = helpPanel();
const does = (name) => () => page[name]();

const autoplay = document.getElementById("autoplay");
autoplay.checked = localStorage.getItem(AUTOPLAY) === "on";
autoplay.addEventListener("change", () => localStorage.setItem(AUTOPLAY, autoplay.checked ? "on" : "off"));
autoplay.closest("label").hidden = !view.sound;

const add = document.getElementById("add");
add.hidden = !page.decides;
add.addEventListener("pointerdown", (event) => event.preventDefault()); // keeps the selection
add.addEventListener("click", does("add"));
document.addEventListener("selectionchange", () => {
  add.textContent = page.talk.selected() ? "Add from these words" : "Add an item";
});
document.getElementById("help").addEventListener("click", () => help.showModal());
if (matchMedia("(max-width: 70rem)").matches) document.getElementById("all").open = false;

listenForKeys({
  ...Object.fromEntries(["confirm", "correct", "reject", "postpone", "undo", "listen", "slower", "wider", "add", "next", "back"]
    .map((name) => [name, does(name)])),
  help: () => help.showModal(),
});
page.start();
