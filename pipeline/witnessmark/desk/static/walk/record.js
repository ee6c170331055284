/** One recording: the microphone, its parts on their way into the phone's store, and its clock. */

import * as keep from "./keep.js";
import { hashOf, hex } from "./sha256.js";

const SLICE_MS = 1000;
const SHORTEST_MS = 500; // between two parts
const BITS_PER_SECOND = 64_000;
const TYPES = ["audio/webm;codecs=opus", "audio/ogg;codecs=opus", "audio/mp4;codecs=mp4a.40.2", "audio/mp4"];

/** What this browser records; null where it records nothing that the desk reads. */
export const mediaType = () =>
  globalThis.MediaRecorder ? (TYPES.find((type) => MediaRecorder.isTypeSupported(type)) ?? null) : null;

/** The microphone, open. @throws {DOMException} as getUserMedia */
export const microphone = () =>
  navigator.mediaDevices.getUserMedia({
    audio: { channelCount: 1, echoCancellation: false, noiseSuppression: false, autoGainControl: true },
  });

/**
 * Events: `part` when one is kept, `full` when the phone had no room for it (it is held in memory),
 * `taken` and `back` when the system takes the microphone and returns it, `over` (detail {asked}).
 */
export class Recording extends EventTarget {
  #recorder;
  #stream;
  #count = 0;
  #keeping = Promise.resolve();
  #asked = false;
  #spoken = 0;
  #since = null;
  #lastPart = performance.now();

  constructor(walk, stream) {
    super();
    this.walk = walk;
    this.#stream = stream;
    this.#recorder = new MediaRecorder(stream, {
      mimeType: walk.details.media_type,
      audioBitsPerSecond: BITS_PER_SECOND,
    });
    this.#recorder.ondataavailable = ({ data }) => this.#take(data);
    this.#recorder.onstop = () => this.#over();
    this.#recorder.onerror = () => this.#recorder.state !== "inactive" && this.#recorder.stop();
    this.#watch(stream.getAudioTracks()[0]);
    this.#recorder.start(SLICE_MS);
    this.#since = performance.now();
  }

  /** Seconds recorded, without pauses. */
  get seconds() {
    return (this.#spoken + (this.#since === null ? 0 : performance.now() - this.#since)) / 1000;
  }

  get paused() {
    return this.#recorder.state === "paused";
  }

  /** Seconds since the recorder gave something. */
  get still() {
    return this.paused ? 0 : (performance.now() - this.#lastPart) / 1000;
  }

  pause() {
    if (this.#recorder.state !== "recording") return;
    this.#recorder.pause();
    this.#stopClock();
    this.flush(0);
  }

  resume() {
    if (!this.paused) return;
    this.#recorder.resume();
    this.#since = this.#lastPart = performance.now();
  }

  /** Put what was said by now into the store, unless that was just done. */
  flush(shortest = SHORTEST_MS) {
    if (this.#recorder.state === "inactive" || performance.now() - this.#lastPart < shortest) return;
    this.#recorder.requestData();
  }

  /** Record silence while the phone speaks, so that its words are not taken for the mechanic's. */
  deaf(yes) {
    for (const track of this.#stream.getAudioTracks()) track.enabled = !yes;
  }

  end() {
    this.#asked = true;
    this.#stopClock();
    if (this.#recorder.state !== "inactive") this.#recorder.stop();
  }

  #stopClock() {
    if (this.#since !== null) this.#spoken += performance.now() - this.#since;
    this.#since = null;
  }

  #watch(track) {
    track.addEventListener("mute", () => this.dispatchEvent(new Event("taken")));
    track.addEventListener("unmute", () => this.dispatchEvent(new Event("back")));
  }

  #take(data) {
    this.#lastPart = performance.now();
    if (!data.size) return;
    const n = this.#count++;
    this.#keeping = this.#keeping.then(() => this.#keep(n, data));
  }

  async #keep(n, data) {
    const bytes = await data.arrayBuffer();
    this.walk.seconds = this.seconds;
    try {
      await keep.addPart(this.walk.id, n, bytes, hex(await hashOf(bytes)));
      await keep.saveWalk(this.walk);
    } catch (error) {
      this.dispatchEvent(new CustomEvent("full", { detail: error.message }));
    }
    this.dispatchEvent(new Event("part"));
  }

  async #over() {
    this.#stopClock();
    for (const track of this.#stream.getTracks()) track.stop();
    await this.#keeping;
    Object.assign(this.walk, { recording: false, seconds: this.seconds });
    await keep.saveWalk(this.walk).catch(() => {});
    this.dispatchEvent(new CustomEvent("over", { detail: { asked: this.#asked } }));
  }
}

/** What to tell somebody when the microphone does not open. */
export function whyClosed(error) {
  const reasons = {
    NotAllowedError:
      "The browser does not let this page use the microphone. Touch the sign beside the address, allow the microphone, then start again.",
    NotFoundError: "There is no microphone. Plug one in, then start again.",
    NotReadableError: "Another program holds the microphone. Close it, then start again.",
  };
  return reasons[error.name] ?? `The microphone does not open (${error.message}). Load the page again.`;
}
