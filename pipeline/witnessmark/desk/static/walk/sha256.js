/**
 * SHA-256 (FIPS 180-4) of bytes that come in parts: for a whole file in slices, and for pages
 * without TLS, where the browser offers none.
 */

const ROUND = new Uint32Array(64);
const BEGIN = new Uint32Array(8);
fillConstants();

/** First 32 bits of the fractions of the primes' roots (FIPS 180-4, 4.2.2 and 5.3.3). */
function fillConstants() {
  const bits = (root) => (root % 1) * 2 ** 32;
  for (let number = 2, found = 0; found < 64; number++) {
    let prime = true;
    for (let by = 2; by * by <= number && prime; by++) prime = number % by !== 0;
    if (!prime) continue;
    if (found < 8) BEGIN[found] = bits(Math.sqrt(number));
    ROUND[found++] = bits(Math.cbrt(number));
  }
}

export class Sha256 {
  #state = BEGIN.slice();
  #words = new Uint32Array(64);
  #block = new Uint8Array(64);
  #filled = 0;
  #length = 0;

  /** @param {Uint8Array} bytes the next of them */
  update(bytes) {
    this.#length += bytes.length;
    for (let at = 0; at < bytes.length;) {
      const step = Math.min(64 - this.#filled, bytes.length - at);
      this.#block.set(bytes.subarray(at, at + step), this.#filled);
      this.#filled += step;
      at += step;
      if (this.#filled === 64) this.#work();
    }
    return this;
  }

  /** @returns {Uint8Array} the hash; nothing can be added after it */
  digest() {
    const bits = this.#length * 8;
    const padding = new Uint8Array(((119 - (this.#length % 64)) % 64) + 9);
    padding[0] = 0x80;
    const view = new DataView(padding.buffer);
    view.setUint32(padding.length - 8, Math.floor(bits / 2 ** 32));
    view.setUint32(padding.length - 4, bits >>> 0);
    this.update(padding);
    const out = new DataView(new ArrayBuffer(32));
    this.#state.forEach((word, at) => out.setUint32(at * 4, word));
    return new Uint8Array(out.buffer);
  }

  #work() {
    const w = this.#words;
    const view = new DataView(this.#block.buffer);
    for (let t = 0; t < 16; t++) w[t] = view.getUint32(t * 4);
    for (let t = 16; t < 64; t++) {
      const [x, y] = [w[t - 15], w[t - 2]];
      const small = turn(x, 7) ^ turn(x, 18) ^ (x >>> 3);
      const large = turn(y, 17) ^ turn(y, 19) ^ (y >>> 10);
      w[t] = w[t - 16] + small + w[t - 7] + large;
    }
    let [a, b, c, d, e, f, g, h] = this.#state;
    for (let t = 0; t < 64; t++) {
      const mixed = turn(e, 6) ^ turn(e, 11) ^ turn(e, 25);
      const one = (h + mixed + ((e & f) ^ (~e & g)) + ROUND[t] + w[t]) | 0;
      const other = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
      [h, g, f, e, d, c, b, a] = [g, f, e, (d + one) | 0, c, b, a, (one + other) | 0];
    }
    [a, b, c, d, e, f, g, h].forEach((word, at) => (this.#state[at] += word));
    this.#filled = 0;
  }
}

const turn = (word, by) => (word >>> by) | (word << (32 - by));

/** @returns {Promise<Uint8Array>} hash of bytes that are all there */
export async function hashOf(bytes) {
  if (globalThis.crypto?.subtle) return new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return new Sha256().update(new Uint8Array(bytes)).digest();
}

export const hex = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");

/** The field of RFC 9530 for a body of that hash, given in hexadecimal. */
export function contentDigest(hexadecimal) {
  const letters = hexadecimal.match(/../g).map((pair) => String.fromCharCode(parseInt(pair, 16)));
  return `sha-256=:${btoa(letters.join(""))}:`;
}
