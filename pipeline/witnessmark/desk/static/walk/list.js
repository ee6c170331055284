/** The walks that are not done: those on this phone, and those at the desk. */

import { Unreachable, ask, person } from "./api.js";
import { button, find, minutes, moment, notice, sentence } from "./tell.js";

const GONE = "It is then gone for good.";
const CUT_OFF =
  "Only what has come is read. What the phone still holds can come later, as a walk of its own. Do this where the phone is lost or broken.";
const STILL_COMING_MS = 30_000;

const EVERY_MS = 6000;
const CLOCK = /^Walk at \d\d:\d\d/; // the name of a walk; the time stands beside it
const AT_DESK = {
  waiting: "At the desk, waits to be read.",
  reading: "Being read",
  read: "Read.",
};

/** How a walk on this phone stands, in a sentence. */
export function standing({ walk, sending }) {
  if (!sending)
    return walk.kind === "file" ? "Choose this file again to go on." : "Open in another tab of this phone.";
  const { kind, what, remedy } = sending.standing;
  const { parts, sent } = sending.counts;
  const progress = `${sent} of ${parts} parts are at the desk.`;
  if (kind === "no network") return `No network: kept on this phone, goes on by itself. ${progress}`;
  if (kind === "caught up") return "Being recorded.";
  if (kind === "sending")
    return sent < parts ? `Sending. ${progress}` : "All sent. The desk puts it together.";
  if (kind === "unread") return "At the desk, but it could not be read.";
  return [sentence(what), remedy, kind === "trouble" ? `Tried again by itself. ${progress}` : ""]
    .filter(Boolean)
    .join(" ");
}

export class List {
  #rows = new Map();
  #desk = [];
  #hidden = new Set();
  #local = 0;

  constructor(walks) {
    this.walks = walks;
    this.element = find("walk-list");
    walks.addEventListener("change", () => this.#changed());
    setInterval(() => document.visibilityState === "visible" && this.load(), EVERY_MS);
    this.load();
  }

  /** A walk that has the screen to itself is not listed as well. */
  hide(id) {
    this.#hidden = new Set([id]);
    this.show();
  }

  #changed() {
    const left = this.walks.all.size < this.#local; // one has arrived
    this.#local = this.walks.all.size;
    this.show();
    if (left) this.load();
  }

  async load() {
    try {
      const { ok, data } = await ask("GET", "/api/walks");
      if (ok) this.#desk = data;
    } catch (error) {
      if (!(error instanceof Unreachable)) throw error;
    }
    this.show();
  }

  show() {
    const here = [...this.walks.all.values()].filter((one) => one.sending?.standing.kind !== "unread");
    const known = new Set(here.map(({ walk }) => walk.id));
    const there = this.#desk.filter((walk) => !known.has(walk.id) && walk.state !== "dropped");
    const rows = [...here.map((one) => this.#ofPhone(one)), ...there.map((walk) => this.#ofDesk(walk))];
    this.#lay(rows.filter((row) => !this.#hidden.has(row.id)));
  }

  /** Rows that did not change stay, with the focus in them; so does one in which somebody is being asked. */
  #lay(rows) {
    const ids = new Set(rows.map((row) => row.id));
    for (const [id, { item }] of this.#rows) if (!ids.has(id)) (this.#rows.delete(id), item.remove());
    rows.forEach((row, at) => {
      const ways = row.actions.map(([words]) => words).join();
      const mark = JSON.stringify([row.title, row.text, row.progress, ways]);
      const old = this.#rows.get(row.id);
      const asked = old?.ways === ways && old.item.querySelector(".sure");
      const item = old?.mark === mark || asked ? old.item : drawn(row);
      if (old && old.item !== item) old.item.replaceWith(item);
      if (this.element.children[at] !== item)
        this.element.insertBefore(item, this.element.children[at] ?? null);
      this.#rows.set(row.id, { mark, ways, item });
    });
    find("no-walks").hidden = rows.length > 0;
  }

  #ofPhone(one) {
    const { walk, sending } = one;
    const actions = [];
    if (sending?.standing.kind === "stuck") actions.push(...this.ways(one));
    else if (!walk.recording && sending) actions.push(["Drop", () => this.#dropBoth(one), GONE]);
    else if (!sending && walk.kind === "file")
      actions.push(["Choose again", () => find("file").click()], ["Drop", () => this.#dropBoth(one), GONE]);
    if (sending?.standing.kind === "signed out")
      actions.push(["Sign in", () => location.assign("/sign-in?to=/walk")]);
    const { parts, sent } = sending?.counts ?? { parts: 0, sent: 0 };
    return {
      id: walk.id,
      title: titled(walk.details, walk.seconds),
      text: standing(one),
      progress: parts ? sent / parts : null,
      actions,
    };
  }

  #ofDesk(walk) {
    const { state, problem, progress } = walk;
    const text = state === "failed" ? whyUnread(problem).join(" ") : (AT_DESK[state] ?? coming(walk));
    const actions = [];
    if (state === "read") actions.push(["Open", () => location.assign(`/review/${walk.walkround}`)]);
    if (state === "failed") actions.push(...this.waysUnread(walk));
    if (state === "coming" && walk.chunks)
      actions.push(["End it with what has come", () => this.#endEarly(walk.id), CUT_OFF]);
    if (state === "coming" || state === "waiting")
      actions.push(["Drop", () => this.#dropAtDesk(walk.id), GONE]);
    return {
      id: walk.id,
      title: titled(walk, 0, walk.who),
      text: state === "reading" ? `${text}, ${Math.round(progress * 100)} %.` : text,
      progress: state === "reading" ? progress : null,
      actions,
    };
  }

  /** What somebody can decide about a walk that the desk does not take; `then` gets what became of it. */
  ways(one, then = () => {}) {
    return [
      ["Send as a new walk", async () => then(await this.walks.anew(one))],
      ["Remove from this phone", async () => then(await this.walks.drop(one)), GONE],
    ];
  }

  /** What somebody can do about a walk that could not be read. */
  waysUnread({ id, problem }) {
    const cut = isCut(problem);
    return [
      cut
        ? ["Read as far as it goes", () => this.#again(id, "?damaged=true")]
        : ["Read again", () => this.#again(id)],
      ["Drop", () => this.#dropAtDesk(id), GONE],
    ];
  }

  async #again(id, how = "") {
    if (!(await did(ask("POST", `/api/walks/${id}/again${how}`)))) return;
    const here = this.walks.all.get(id);
    if (here) this.walks.resume(here);
    await this.load();
  }

  async #endEarly(id) {
    if (await did(ask("POST", `/api/walks/${id}/end-early`))) await this.load();
  }

  async #dropAtDesk(id) {
    if (!(await did(ask("DELETE", `/api/walks/${id}`)))) return;
    const here = this.walks.all.get(id);
    if (here) await this.walks.drop(here);
    await this.load();
  }

  async #dropBoth(one) {
    if (one.walk.made && !(await did(ask("DELETE", `/api/walks/${one.walk.id}`), [404, 410]))) return;
    await this.walks.drop(one);
    await this.load();
  }
}

/** How a walk stands that some phone still sends, or stopped sending. */
function coming({ last_at }) {
  if (!last_at) return "Begun; nothing of it has come yet.";
  if (Date.now() - new Date(last_at) < STILL_COMING_MS) return "Being recorded or sent just now.";
  return `Not all of it is at the desk; the last part came at ${moment(last_at)}. The rest is on the phone that recorded it.`;
}

/** Whether the remedy offers to read a recording that is cut off: then that is the button. */
const isCut = (problem) => (problem?.remedy ?? "").includes("as far as it goes");

/** What is wrong, and what to do. */
export const whyUnread = (problem) => [
  sentence(problem?.what ?? "it could not be read."),
  problem?.remedy ?? "",
];

const titled = ({ machine, name, started_at }, seconds = 0, who = person.name) =>
  [
    machine ?? name.replace(CLOCK, "Walk"),
    moment(started_at),
    seconds ? minutes(seconds) : "",
    who === person.name ? "" : who,
  ]
    .filter(Boolean)
    .join(" · ");

/** Whether the desk did it; what it said instead is shown. */
async function did(asked, alright = []) {
  try {
    const { ok, status, data } = await asked;
    if (!ok && !alright.includes(status))
      notice([data?.detail ?? `The desk answers with ${status}.`, data?.remedy].filter(Boolean).join(" "));
    return ok || alright.includes(status);
  } catch (error) {
    if (!(error instanceof Unreachable)) throw error;
    notice("No way to the desk. Try it again when the network is back.");
    return false;
  }
}

function drawn({ title, text, progress, actions }) {
  const item = document.createElement("li");
  item.append(Object.assign(document.createElement("h3"), { textContent: title }));
  item.append(Object.assign(document.createElement("p"), { textContent: text }));
  if (progress !== null)
    item.append(
      Object.assign(document.createElement("progress"), {
        max: 1,
        value: progress,
        ariaLabel: `${title}: how far`,
      }),
    );
  if (actions.length) item.append(buttons(actions));
  return item;
}

/** Large buttons; a third member is what to consider, and makes one that asks first. */
export function buttons(actions) {
  const box = Object.assign(document.createElement("div"), { className: "actions" });
  for (const [text, act, sure] of actions) box.append(sure ? asking(text, act, sure) : button(text, act));
  return box;
}

function asking(text, act, sure) {
  const made = button(text, () => {
    const keepIt = button(sure === GONE ? "Keep it" : "Leave it open", () => box.replaceWith(made));
    const box = Object.assign(document.createElement("div"), { className: "actions sure" });
    const words = Object.assign(document.createElement("p"), { textContent: sure });
    box.append(words, button(`${text}: yes`, act), keepIt);
    made.replaceWith(box);
    keepIt.focus();
  });
  return made;
}
