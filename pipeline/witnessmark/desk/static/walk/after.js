/** What becomes of the walk that just ended. */

import { buttons, standing, whyUnread } from "./list.js";
import { find, minutes, put } from "./tell.js";

/** Event `become` (detail: the walk it goes on as, or null) when somebody decided what the desk would not take. */
export class After extends EventTarget {
  #one = null;
  #desk = null;
  #shown = "";

  constructor(walks, list) {
    super();
    this.walks = walks;
    this.list = list;
    walks.addEventListener("change", () => this.#show());
  }

  /** @param {{walk: object, sending: object}} one */
  begin(one) {
    [this.#one, this.#desk] = [one, null];
    put(find("after-clock"), minutes(one.walk.seconds));
    this.#show();
  }

  /** The desk's word on it. */
  hear(walk) {
    if (walk.id !== this.#one?.walk.id) return;
    this.#desk = walk;
    this.#show();
  }

  leave() {
    this.#one = null;
  }

  #show() {
    if (!this.#one) return;
    const kind = this.#one.sending.standing.kind;
    const there = ["done", "unread"].includes(kind);
    const {
      title,
      text,
      remedy = "",
      progress = null,
      actions = [],
    } = there ? this.#atDesk() : this.#onTheWay(kind);
    put(find("after-title"), title);
    put(find("after-state"), text);
    put(find("after-remedy"), remedy);
    const bar = find("after-progress");
    bar.hidden = progress === null;
    if (progress !== null) bar.value = progress;
    find("after-actions").classList.toggle("decide", kind === "stuck");
    const names = actions.map(([words]) => words).join();
    if (names !== this.#shown) find("after-actions").replaceChildren(...(names ? [buttons(actions)] : []));
    this.#shown = names;
  }

  #become(one) {
    this.dispatchEvent(new CustomEvent("become", { detail: one ?? null }));
  }

  #onTheWay(kind) {
    const { parts, sent } = this.#one.sending.counts;
    const way = { title: "Ended", text: standing(this.#one), progress: parts ? sent / parts : 0 };
    if (kind === "stuck")
      return { ...way, title: "Not taken", actions: this.list.ways(this.#one, (one) => this.#become(one)) };
    if (kind === "signed out") way.actions = [["Sign in", () => location.assign("/sign-in?to=/walk")]];
    return {
      remedy:
        "Keep this page open until all of it is at the desk. If it closes, open it again: nothing is lost.",
      ...way,
    };
  }

  #atDesk() {
    const {
      id,
      state,
      progress,
      walkround,
      problem,
      notes = [],
    } = this.#desk ?? { id: this.#one.walk.id, state: "waiting" };
    const remedy = notes.join(" ");
    if (state === "reading")
      return {
        title: "Being read",
        text: `${Math.round(progress * 100)} % of it is read.`,
        progress,
        remedy,
      };
    if (state === "read")
      return {
        title: "Read",
        text: "It is ready for the reviewer.",
        remedy,
        actions: [["Open the findings", () => location.assign(`/review/${walkround}`)]],
      };
    if (state === "failed") {
      const [text, remedy] = whyUnread(problem);
      return { title: "Not read", text, remedy, actions: this.list.waysUnread({ id, problem }) };
    }
    if (state === "dropped") return { title: "Dropped", text: "This walk is gone." };
    return { title: "At the desk", text: "All of it is there. It waits to be read.", remedy };
  }
}
