/** Brings one walk to the desk, however often the way there breaks, and lets go of it only then. */

import { Unreachable, ask, person } from "./api.js";
import * as keep from "./keep.js";
import { contentDigest } from "./sha256.js";

const PAUSES_S = [1, 2, 4, 8, 15, 30];
const REST_MS = 1000;
const REFUSALS = 5; // of one thing, before somebody has to decide
const FINAL = [410, 413, 415];
const ARRIVED = ["waiting", "reading", "read"];
const OVER = ["done", "stuck", "unread"];
const RAW = { "Content-Type": "application/octet-stream" };

/** Something that keeps the next step from being done. `kind` is one of those of `Sending.standing`. */
class Trouble extends Error {
  constructor(kind, what, remedy = "", after = 0) {
    super(what);
    Object.assign(this, { kind, remedy, after });
  }
}

/**
 * Event `change`. `standing` is {kind, what, remedy}; kinds: `sending`, `caught up` (all recorded by now
 * is there), `no network`, `trouble` (the desk answers, but not well), `signed out`, `other person`,
 * `stuck` (a person decides), `unread` (all is there, but the desk could not read it), `done`.
 */
export class Sending extends EventTarget {
  standing = { kind: "sending", what: "", remedy: "" };
  counts = { parts: 0, sent: 0 };
  #begun = false;
  #tries = 0;
  #refusals = 0;
  #stopped = false;
  #sleep = null;

  constructor(walk, source) {
    super();
    this.walk = walk;
    this.source = source;
    addEventListener("online", () => this.nudge());
  }

  get path() {
    return `/api/walks/${this.walk.id}`;
  }

  /** Go on until it is done. Only one page at a time does this for a walk; the others do nothing. */
  async run() {
    const work = async () => {
      while (!this.#stopped && !OVER.includes(this.standing.kind)) await this.#turn();
    };
    if (!navigator.locks) return work().then(() => true);
    return navigator.locks.request(lockOf(this.walk.id), { ifAvailable: true }, async (lock) => {
      if (lock) await work();
      return Boolean(lock);
    });
  }

  /** Try now rather than after the pause. */
  nudge() {
    this.#tries = 0;
    this.#sleep?.();
  }

  /** A new part is there. It waits its turn while nothing gets through. */
  more() {
    if (this.standing.kind === "caught up") this.#sleep?.();
  }

  stop() {
    this.#stopped = true;
    this.#sleep?.();
  }

  async #turn() {
    try {
      const went = await this.#step();
      if (went) [this.#tries, this.#refusals] = [0, 0];
      await this.#tell();
      if (!went) await this.#rest(REST_MS);
    } catch (error) {
      const trouble = named(error);
      this.standing = { kind: trouble.kind, what: trouble.message, remedy: trouble.remedy };
      await this.#tell();
      const pause = PAUSES_S[Math.min(this.#tries++, PAUSES_S.length - 1)];
      if (trouble.kind !== "stuck")
        await this.#rest(Math.max(pause * (0.8 + 0.4 * Math.random()), trouble.after) * 1000);
    }
  }

  /** @returns {Promise<boolean>} whether there was something to do */
  async #step() {
    if (this.walk.person !== person.id)
      throw new Trouble(
        "other person",
        `This walk was spoken by ${this.walk.who}.`,
        "It waits until they sign in here.",
      );
    if (!this.walk.made || !this.#begun) return this.#make();
    const part = await this.source.next();
    if (part) return this.#send(part);
    const photo = (await keep.photos(this.walk.id)).find((one) => !one.sent);
    if (photo) return this.#sendPhoto(photo);
    if (!this.walk.recording) return this.walk.ended ? this.#finish() : this.#end();
    this.#now("caught up");
    return false;
  }

  /** Begin it, or learn how far it had come. */
  async #make() {
    const { data } = await this.#ask("PUT", "", { ...this.walk.details, sent_at: new Date().toISOString() });
    this.source.skip?.(data?.chunks ?? 0);
    this.#begun = true;
    return this.#note({ made: true });
  }

  async #send(part) {
    if (!part.bytes)
      throw new Trouble(
        "stuck",
        `Part ${part.n + 1} is no longer on this phone.`,
        "Send what is left as a new walk.",
      );
    const headers = { ...RAW, "Content-Digest": contentDigest(part.sha256) };
    await this.#ask("PUT", `/chunks/${part.n}`, part.bytes, headers);
    await this.source.sent(part);
    this.#now("sending");
    return true;
  }

  async #sendPhoto(photo) {
    const answer = await ask(
      "PUT",
      `${this.path}/photos/${photo.sha256}?at=${photo.at.toFixed(2)}`,
      photo.bytes,
      {
        "Content-Type": photo.type,
      },
    );
    if ([413, 415, 422].includes(answer.status))
      this.dispatchEvent(new CustomEvent("photo refused", { detail: answer.data?.detail ?? "" }));
    else await this.#checked(answer);
    await keep.markPhoto(photo);
    return true;
  }

  async #end() {
    const { parts } = await this.source.counts();
    const sha256 = await this.source.whole();
    await this.#ask("POST", "/end", { chunks: parts, sha256 });
    return this.#note({ ended: true });
  }

  async #finish() {
    const { data } = await this.#ask("GET", "");
    if (data.state === "dropped")
      throw new Trouble("stuck", "Somebody dropped this walk at the desk.", "It is still on this phone.");
    if (ARRIVED.includes(data.state)) {
      await keep.forget(this.walk.id);
      this.#now("done");
    } else this.#now(data.state === "failed" ? "unread" : "sending");
    return false;
  }

  async #ask(method, path, body, headers) {
    return this.#checked(await ask(method, this.path + path, body, headers));
  }

  async #checked(answer) {
    if (answer.ok) return answer;
    const { status, data, after } = answer;
    const what = data?.detail ?? `The desk answers with ${status}.`;
    const remedy = data?.remedy ?? "";
    if (status === 401)
      throw new Trouble("signed out", "Nobody is signed in here any more.", "Sign in; nothing is lost.");
    if (status === 404) await this.#anew();
    if (data?.missing?.length) await this.source.again(data.missing);
    const decide =
      FINAL.includes(status) || ([400, 409, 422].includes(status) && ++this.#refusals >= REFUSALS);
    throw new Trouble(decide ? "stuck" : "trouble", what, remedy, after ?? 0);
  }

  /** The desk does not know the walk any more, such as after its disk was put back: begin again. */
  async #anew() {
    const { parts } = await this.source.counts();
    await this.source.again([...Array(parts).keys()]);
    await this.#note({ made: false, ended: false });
  }

  async #note(change) {
    Object.assign(this.walk, change);
    if (this.#stopped) return false; // it may have been dropped meanwhile
    await keep.saveWalk(this.walk).catch(() => {}); // told where parts are kept
    return true;
  }

  #now(kind) {
    this.standing = { kind, what: "", remedy: "" };
  }

  async #tell() {
    this.counts = await this.source.counts();
    this.dispatchEvent(new Event("change"));
  }

  #rest(milliseconds) {
    return new Promise((resolve) => {
      const timer = setTimeout(resolve, milliseconds);
      this.#sleep = () => (clearTimeout(timer), resolve());
    });
  }
}

export const lockOf = (walk) => `walk ${walk}`;

function named(error) {
  if (error instanceof Trouble) return error;
  if (error instanceof Unreachable)
    return new Trouble(
      "no network",
      "No way to the desk.",
      "Everything is kept on this phone and sent later.",
    );
  if (error instanceof DOMException && error.name.startsWith("Not"))
    return new Trouble("stuck", "The file cannot be read any more.", "Choose it again.");
  return new Trouble("trouble", `Sending failed (${error.message}).`, "It is tried again.");
}
