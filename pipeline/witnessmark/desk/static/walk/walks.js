/** All walks that this phone still has to bring to the desk. */

import { ask, newId, person } from "./api.js";
import * as keep from "./keep.js";
import { Sending, lockOf } from "./send.js";
import { Recorded, Sliced } from "./source.js";
import { day } from "./tell.js";

const LOOK_MS = 5000;

/** A walk that begins now. `kind` is "recording" or "file". */
export function newWalk(
  kind,
  { machine = null, jurisdiction = null, media_type, name, started = new Date() },
) {
  const details = {
    machine,
    jurisdiction,
    on: day(started),
    media_type,
    name,
    started_at: started.toISOString(),
  };
  const standing = { recording: kind === "recording", made: false, ended: false, seconds: 0 };
  return { id: newId(), kind, person: person.id, who: person.name, details, ...standing };
}

/**
 * Events: `change`; `cut` (detail: a walk whose recording was broken off with its page); `empty`
 * (one of which nothing had been kept).
 */
export class Walks extends EventTarget {
  /** id → {walk, sending}; `sending` is null for what another tab sends or what misses its file */
  all = new Map();

  constructor(slice) {
    super();
    this.slice = slice;
  }

  /** Take up what was left, now and whenever another tab leaves something. */
  async begin() {
    await this.#look();
    setInterval(() => this.#look(), LOOK_MS);
  }

  add(walk, source) {
    const sending = new Sending(walk, source);
    this.all.set(walk.id, { walk, sending });
    sending.addEventListener("change", () => this.#changed(sending));
    sending.run().then((ours) => ours || this.#put(walk));
    this.#tell();
    return sending;
  }

  /** A file that was chosen again for a walk that missed it. */
  rejoin(file) {
    const left = [...this.all.values()].find(
      ({ walk, sending }) =>
        !sending && walk.kind === "file" && walk.details.name === file.name && walk.size === file.size,
    );
    return left && this.add(left.walk, new Sliced(file, this.slice));
  }

  /** Send it under a new name: where the desk will not have it under the old. */
  async anew({ walk, sending }) {
    sending?.stop();
    const id = newId();
    await keep.moveTo(walk, id);
    this.all.delete(walk.id);
    await this.#look();
    return this.all.get(id);
  }

  /** The desk reads it once more: see that it does. */
  resume({ walk }) {
    return this.add(walk, new Recorded(walk));
  }

  async drop({ walk, sending }) {
    sending?.stop();
    this.all.delete(walk.id);
    await keep.forget(walk.id);
    this.#tell();
  }

  nudge() {
    for (const { sending } of this.all.values()) sending?.nudge();
  }

  /** Whether leaving the page now would stop something that does not go on by itself. */
  get busy() {
    const going = [...this.all.values()].filter(({ sending }) => sending);
    return going.some(({ walk }) => walk.recording || (walk.kind === "file" && !walk.file && !walk.ended));
  }

  #changed(sending) {
    if (sending.standing.kind === "done") this.all.delete(sending.walk.id);
    this.#tell();
  }

  #put(walk) {
    this.all.set(walk.id, { walk, sending: null });
    this.#tell();
  }

  #tell() {
    this.dispatchEvent(new Event("change"));
  }

  async #look() {
    const kept = await keep.walks();
    const held = new Set(((await navigator.locks?.query())?.held ?? []).map((lock) => lock.name));
    for (const [id, { sending }] of this.all)
      if (!sending && !kept.some((walk) => walk.id === id)) this.all.delete(id); // another tab brought it
    for (const walk of kept) {
      if (this.all.get(walk.id)?.sending) continue;
      if (held.has(lockOf(walk.id))) this.#put(walk);
      else await this.#takeUp(walk);
    }
  }

  async #takeUp(walk) {
    if (walk.kind === "file")
      return walk.file ? this.add(walk, new Sliced(walk.file, this.slice)) : this.#put(walk);
    if (walk.recording && !(await this.#cut(walk))) return null;
    return this.add(walk, new Recorded(walk));
  }

  /** The page that recorded it is gone: it ends as it stands. */
  async #cut(walk) {
    const parts = await keep.parts(walk.id);
    walk.recording = false;
    if (parts.length) await keep.saveWalk(walk);
    else await this.#empty(walk);
    this.dispatchEvent(new CustomEvent(parts.length ? "cut" : "empty", { detail: walk }));
    return parts.length > 0;
  }

  async #empty(walk) {
    await keep.forget(walk.id);
    if (walk.made) await ask("DELETE", `/api/walks/${walk.id}`).catch(() => {}); // else it is listed there
  }
}
