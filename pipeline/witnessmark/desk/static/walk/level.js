/** How loud it is, in words a glance takes in, and when somebody is silent. */

const STEP_MS = 100;
const KEPT_STEPS = 100; // 10 s
const VOICE_DB = -45; // a voice at arm's length; a phone with the microphone covered stays below
const NOTHING_DB = -62;
const OVER_NOISE_DB = 8;
const NO_SOUND_S = 20;
const PAUSE_S = 0.6; // a little longer than the desk asks for (live_pause)

export const WORDS = {
  hearing: "hearing you",
  listening: "listening",
  quiet: "very quiet – come closer",
  reading: "reading back – not listening",
};

/**
 * What to say about the loudness of the last seconds.
 * @param {number[]} history dB below full scale, one each 100 ms, newest last
 * @param {number} silent seconds since anything at all was heard
 */
export function judge(history, silent) {
  if (silent >= NO_SOUND_S) return `no sound for ${Math.floor(silent / 10) * 10} s`;
  const voice = voiceLimit(history);
  if (history.slice(-20).some((db) => db > voice)) return WORDS.hearing;
  const loudest = Math.max(...history, -Infinity);
  if (history.length < KEPT_STEPS || loudest > voice || loudest < NOTHING_DB) return WORDS.listening;
  return loudest > VOICE_DB ? WORDS.listening : WORDS.quiet; // steady noise is no voice, but no silence either
}

/** Above this it is a voice: louder than a workshop's own noise, which the quiet tenth of steps shows. */
function voiceLimit(history) {
  const floor = [...history].sort((a, b) => a - b)[Math.floor(history.length / 10)] ?? -100;
  return Math.max(VOICE_DB, Math.min(floor + OVER_NOISE_DB, -12));
}

/** Listens to a stream. Events: `level` (detail {db, word}), `pause` when somebody fell silent. */
export class Level extends EventTarget {
  #history = [];
  #lastSound = performance.now();
  #lastVoice = performance.now();
  #spoke = false;
  reading = false; // true while the phone itself speaks

  constructor(stream) {
    super();
    this.context = new AudioContext();
    this.#analyser = this.context.createAnalyser();
    this.#analyser.fftSize = 4096;
    this.#samples = new Float32Array(this.#analyser.fftSize);
    this.context.createMediaStreamSource(stream).connect(this.#analyser);
    this.#timer = setInterval(() => this.#listen(), STEP_MS);
  }

  #analyser;
  #samples;
  #timer;

  /** Seconds since the last voice. */
  quietFor() {
    return (performance.now() - this.#lastVoice) / 1000;
  }

  end() {
    clearInterval(this.#timer);
    this.context.close();
  }

  #listen() {
    if (this.context.state !== "running") void this.context.resume();
    this.#analyser.getFloatTimeDomainData(this.#samples);
    const power = this.#samples.reduce((sum, one) => sum + one * one, 0) / this.#samples.length;
    const db = 10 * Math.log10(power + 1e-10);
    const now = performance.now();
    if (!this.reading) this.#note(db, now);
    const word = this.reading ? WORDS.reading : judge(this.#history, (now - this.#lastSound) / 1000);
    this.dispatchEvent(new CustomEvent("level", { detail: { db, word } }));
  }

  #note(db, now) {
    this.#history = [...this.#history.slice(1 - KEPT_STEPS), db];
    if (db > NOTHING_DB) this.#lastSound = now;
    if (db > voiceLimit(this.#history)) {
      this.#lastVoice = now;
      this.#spoke = true;
    } else if (this.#spoke && this.quietFor() > PAUSE_S) {
      this.#spoke = false;
      this.dispatchEvent(new Event("pause"));
    }
  }
}

/** Three tones, for somebody who does not look at the phone. */
export function sound(context) {
  if (context?.state !== "running") return;
  for (const at of [0, 0.35, 0.7]) {
    const tone = new OscillatorNode(context, { frequency: 880, type: "square" });
    const gain = new GainNode(context, { gain: 0.25 });
    tone.connect(gain).connect(context.destination);
    tone.start(context.currentTime + at);
    tone.stop(context.currentTime + at + 0.2);
  }
}
