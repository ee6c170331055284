// What others decide meanwhile: asked for every few seconds while the page is looked at, and shown in place.

import { announce, ask, el } from "../common.js";
import { queueList } from "./queue.js";
import { restOf } from "./around.js";

const EVERY = 4000;

export class Others {
  /** @param {import("./page.js").Page} page */
  constructor(page) {
    this.page = page;
  }

  watch() {
    setInterval(() => { if (document.visibilityState === "visible") this.look(); }, EVERY);
    addEventListener("focus", () => this.look());
  }

  /** See whether others decided; `anew` also where nothing seems to have changed. */
  async look({ anew = false } = {}) {
    const { page } = this;
    const { view } = page;
    if (page.deciding.busy) return;
    const after = anew ? "" : `?after=${view.count}`;
    const live = await ask("GET", `/api/walkrounds/${view.id}/live${after}`).catch(() => null);
    if (!live?.items || page.deciding.busy || live.count < view.count) return;
    const news = live.trail.slice(view.trail.length).filter((line) => line.who !== page.who);
    const before = JSON.stringify(page.item);
    Object.assign(view, live);
    page.talk.know(view.items);
    this.show(before);
    if (news.length) announce(news.map((line) => `${line.who} ${line.did}: ${line.says}`).join(". "));
  }

  /** Draw again what changed, leaving forms, boxes and the place of the focus as they are. */
  show(before) {
    const { page } = this;
    const box = page.at("trouble")?.firstElementChild;
    const inside = document.activeElement;
    if (before === JSON.stringify(page.item)) {
      this.around();
      return;
    }
    page.render();
    if (box) page.at("trouble").replaceChildren(box);
    else this.tell();
    if (page.current) page.showPast(page.current);
    if (!document.contains(inside) || inside === document.body) page.focusItem();
    else inside.focus();
  }

  around() {
    const { page } = this;
    const go = (key) => page.go(key);
    const inQueue = page.at("queue").contains(document.activeElement);
    if (!inQueue) page.at("queue").replaceChildren(...queueList(page.view, page.current, go));
    page.at("rest").replaceChildren(...restOf(page.view, go));
    page.showCount();
  }

  tell() {
    const { page } = this;
    const last = page.item?.trail.at(-1);
    if (!last || page.item.waiting || last.who === page.who || page.form) return;
    page.at("trouble").replaceChildren(el("p", { class: "told" }, `${last.who} decided on this one just now.`));
  }
}
