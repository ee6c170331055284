// Decisions: sent once, held on to without an answer, and never put over somebody else's unseen.

import { Problem, announce, el, problemBox } from "../common.js";
import { conflictBox } from "./forms.js";
import { capital } from "./item.js";
import { Sending } from "./sending.js";

/** Why an item waits again that was decided; the terminal says the same. */
export const UNDONE = "undone by the reviewer";

export class Deciding {
  /** @param {import("./page.js").Page} page */
  constructor(page) {
    this.page = page;
    this.sending = new Sending(page.view.id);
    this.busy = false;
  }

  get pending() {
    return this.sending.pending;
  }

  /** Decide on an item, once: not while another decision has no answer. */
  decide(kind, { key = this.page.current, why = "", becomes = null, grade = null } = {}) {
    if (this.busy) return undefined;
    if (this.pending) {
      announce("Your last decision had no answer yet: send it again or drop it first.", { now: true });
      this.page.at("trouble").querySelector("button")?.focus();
      return undefined;
    }
    const item = this.page.view.items.find((one) => one.key === key);
    return this.sendOff({ item: key, kind, why, becomes, grade, seen: item?.seen ?? 0, reads: item?.says ?? null });
  }

  async sendOff(decision) {
    if (this.busy) return;
    this.hold(true);
    let answer;
    let problem = null;
    try {
      answer = await this.sending.send(decision);
    } catch (error) {
      if (!(error instanceof Problem)) throw error;
      problem = error;
    } finally {
      this.hold(false);
    }
    if (!problem) this.kept(decision, answer);
    else if (problem.open) this.unanswered(decision, problem);
    else if (problem.details.standing) this.overtaken(decision, problem);
    else this.page.trouble(problemBox(problem));
  }

  hold(busy) {
    this.busy = busy;
    this.page.root.toggleAttribute("aria-busy", busy);
  }

  kept(decision, answer) {
    const { page } = this;
    const { view } = page;
    const undone = decision.kind === "postpone" && decision.why === UNDONE;
    const others = answer.count !== view.count + 1;
    const line = answer.item.trail.at(-1);
    page.take(answer.item);
    Object.assign(view, { queue: answer.queue, count: answer.count, trail: [...view.trail, line] });
    page.done = undone ? page.done.filter((key) => key !== decision.item) : [...page.done, decision.item];
    if (decision.kind === "postpone" && !undone) page.aside.add(decision.item);
    page.cleared.delete(decision.item);
    page.go(this.nextAfter(decision, undone));
    const left = view.queue.length;
    page.tell(`${capital(line.did)}: ${answer.item.says}. ${left ? `${left} waiting.` : "All is decided."}`);
    if (others || decision.becomes || decision.item === "machine") {
      page.past.clear();
      page.others.look({ anew: true });
    }
  }

  /** What was undone is shown again; an addition leaves the item in hand. */
  nextAfter(decision, undone) {
    const { page } = this;
    if (undone) return decision.item;
    return decision.kind === "add" && page.item?.waiting ? page.current : page.ahead[0] ?? null;
  }

  /** No answer: the decision stays on the screen until it is sent or dropped. */
  unanswered(decision, problem) {
    const { page } = this;
    const drop = () => {
      this.sending.drop();
      page.at("trouble").replaceChildren();
      page.others.look({ anew: true });
      page.focusItem();
    };
    const box = problemBox(problem,
      el("button", { type: "button", onclick: () => this.sendOff(decision) }, "Send it again"),
      el("button", { type: "button", class: "quiet", onclick: drop }, "Drop it"));
    const says = page.view.items.find((one) => one.key === decision.item)?.says;
    box.prepend(el("p", {}, el("strong", {}, "Not known to be kept: "), `you wanted to ${DOES[decision.kind]} ${says ? `“${says}”` : "an item"}`,
      decision.why ? ` (“${decision.why}”)` : null, ". It stays here until you send it again; sent twice it counts once."));
    page.trouble(box);
  }

  /** Somebody else was sooner. What was typed stays. */
  overtaken(decision, problem) {
    const { page } = this;
    const { form } = page;
    const before = page.view.items.find((one) => one.key === decision.item);
    const { standing } = problem.details;
    page.take(standing);
    page.render();
    if (form) page.open(form);
    const leave = () => {
      page.others.look({ anew: true });
      page.go(standing.waiting ? decision.item : page.ahead.find((key) => key !== decision.item) ?? null);
    };
    const again = () => {
      this.sendOff({ ...decision, ...(form?.wanted ? form.wanted() : {}), seen: standing.seen, reads: standing.says });
    };
    page.trouble(conflictBox(problem, { ...decision, says: before?.drafted ?? before?.says }, { leave, again }));
    page.others.look({ anew: true });
  }
}

const DOES = { confirm: "confirm", correct: "correct", reject: "reject", add: "add", postpone: "put back" };
