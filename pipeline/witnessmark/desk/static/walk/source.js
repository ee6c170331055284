/** Where the parts of a walk come from: the phone's store, or a file in slices. */

import * as keep from "./keep.js";
import { Sha256, hashOf, hex } from "./sha256.js";

/** Parts that were recorded here. */
export class Recorded {
  constructor(walk) {
    this.walk = walk;
  }

  /** The next part to send; null where there is none now. */
  async next() {
    const part = (await keep.parts(this.walk.id)).find((one) => !one.sent);
    return part ? { ...part, bytes: await keep.bytesOf(part.walk, part.n) } : null;
  }

  async sent({ bytes: _, ...part }) {
    await keep.markPart(part, true);
  }

  async again(missing) {
    const gone = new Set(missing);
    for (const part of await keep.parts(this.walk.id)) if (gone.has(part.n)) await keep.markPart(part, false);
  }

  /** {parts, sent} in numbers; `parts` still grows while it is being recorded. */
  async counts() {
    const all = await keep.parts(this.walk.id);
    return { parts: all.length, sent: all.filter((part) => part.sent).length };
  }

  async whole() {
    const hash = new Sha256();
    for (const part of await keep.parts(this.walk.id))
      hash.update(new Uint8Array(await keep.bytesOf(this.walk.id, part.n)));
    return hex(hash.digest());
  }
}

/** A file, read slice by slice. */
export class Sliced {
  #next = 0;
  #hashed = 0;
  #hash = new Sha256();
  #whole = null;
  #again = [];

  constructor(file, slice) {
    this.file = file;
    this.slice = slice;
    this.parts = Math.ceil(file.size / slice);
  }

  async next() {
    const n = this.#again[0] ?? this.#next;
    if (n >= this.parts) return null;
    const bytes = await this.#read(n);
    return { n, bytes, sha256: hex(await hashOf(bytes)) };
  }

  async sent({ n }) {
    if (this.#again[0] === n) this.#again.shift();
    else this.#next = n + 1;
  }

  async again(missing) {
    this.#again = missing.filter((n) => n < this.parts);
  }

  /** Go on behind the parts that the desk has. */
  skip(parts) {
    this.#next = Math.max(this.#next, Math.min(parts, this.parts));
  }

  async counts() {
    return { parts: this.parts, sent: this.#next - this.#again.length };
  }

  async whole() {
    while (this.#hashed < this.parts) await this.#read(this.#hashed);
    this.#whole ??= hex(this.#hash.digest());
    return this.#whole;
  }

  async #read(n) {
    const bytes = await this.file.slice(n * this.slice, (n + 1) * this.slice).arrayBuffer();
    if (n === this.#hashed) {
      this.#hash.update(new Uint8Array(bytes));
      this.#hashed++;
    }
    return bytes;
  }
}
