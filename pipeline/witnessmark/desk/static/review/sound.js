// Plays a moment of the recording: fetched once, cut to the sample by the desk, kept for playing again.

import { send } from "../common.js";

const KEPT = 30;
/** Half of speaking speed is hard to understand; this is not. */
const SLOW = 0.7;
const LONGEST = 60;

export class Sound {
  /**
   * @param {string} walkround its id
   * @param {boolean} there whether the walkround has sound
   * @param {(playing: boolean) => void} changed told when sound begins and ends
   */
  constructor(walkround, there, changed) {
    this.base = `/api/walkrounds/${walkround}/clip`;
    this.there = there;
    this.clips = new Map();
    this.player = new Audio();
    this.player.preservesPitch = true;
    this.player.addEventListener("playing", () => changed(true));
    for (const end of ["ended", "pause", "error"]) this.player.addEventListener(end, () => changed(false));
    this.turn = 0;
  }

  /** Stretches of the recording behind an item; empty where there is nothing to hear. */
  stretches(item, wider = 0) {
    if (!this.there) return [];
    const timed = item.evidence.filter((piece) => piece.start !== null);
    return timed.map(({ start, end }) => {
      const from = Math.max(0, start - wider);
      return [from, Math.min((end ?? start) + wider, from + LONGEST)];
    });
  }

  /** Fetch what will be wanted next. */
  async fetchAhead(item) {
    for (const [start, end] of this.stretches(item)) await this.clip(start, end).catch(() => {});
  }

  /**
   * Play the words behind an item, one stretch after the other.
   * @throws {Problem}
   */
  async play(item, { slow = false, wider = 0 } = {}) {
    const turn = ++this.turn;
    for (const [start, end] of this.stretches(item, wider)) {
      const address = await this.clip(start, end);
      if (turn !== this.turn) return;
      await this.playOne(address, slow ? SLOW : 1);
      if (turn !== this.turn) return;
    }
  }

  stop() {
    this.turn += 1;
    this.player.pause();
  }

  playOne(address, rate) {
    return new Promise((done, failed) => {
      this.player.onended = done;
      this.player.onerror = () => failed(this.player.error ?? new Error("no sound")); // also while it plays: no loudspeaker
      this.player.src = address;
      this.player.playbackRate = rate;
      // Another key was pressed meanwhile: that one plays.
      this.player.play().catch((error) => (error.name === "AbortError" ? done() : failed(error)));
    });
  }

  clip(start, end) {
    const address = `${this.base}?start=${start.toFixed(3)}&end=${end.toFixed(3)}`;
    if (!this.clips.has(address)) {
      const made = send("GET", address).then((answer) => answer.blob()).then((blob) => URL.createObjectURL(blob));
      this.clips.set(address, made);
      made.catch(() => this.clips.delete(address));
      this.forget();
    }
    return this.clips.get(address);
  }

  forget() {
    while (this.clips.size > KEPT) {
      const [oldest, made] = this.clips.entries().next().value;
      this.clips.delete(oldest);
      made.then((address) => URL.revokeObjectURL(address), () => {});
    }
  }
}
