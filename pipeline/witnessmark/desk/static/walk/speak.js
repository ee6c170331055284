/** Reads doubtful numbers back, in a quiet second, while the recording hears nothing. */

const QUIET_S = 1;
const LONGEST_MS = 6000; // some browsers never say that they have finished; the recording must hear again

export const canSpeak = () => "speechSynthesis" in globalThis && "SpeechSynthesisUtterance" in globalThis;

export class ReadBack {
  on = false;
  #waiting = [];
  #known = new Set();
  #speaking = false;

  /** @param {{recording: import("./record.js").Recording, level: import("./level.js").Level}} of */
  constructor({ recording, level }) {
    this.recording = recording;
    this.level = level;
    level.addEventListener("level", () => this.#look());
    addEventListener("pointerdown", this.#stop);
  }

  #patience;
  #stop = () => this.#hearAgain();

  /** What is in doubt now. Only questions with a number are read, each once. */
  offer(doubts) {
    const questions = new Set(doubts.map((doubt) => doubt.question).filter((text) => /\d/.test(text)));
    this.#waiting = [...questions].filter((text) => !this.#known.has(text));
    if (!this.on) for (const text of questions) this.#known.add(text); // none of the old ones on switching on
  }

  end() {
    this.on = false;
    this.#stop();
    removeEventListener("pointerdown", this.#stop);
  }

  #look() {
    const ready = this.on && !this.#speaking && !this.recording.paused && this.level.quietFor() >= QUIET_S;
    if (ready && this.#waiting.length) this.#say(this.#waiting.shift());
  }

  #say(text) {
    this.#known.add(text);
    const words = new SpeechSynthesisUtterance(text);
    words.lang = "en";
    words.onend = words.onerror = () => this.#hearAgain();
    this.#deaf(true);
    this.#patience = setTimeout(() => this.#hearAgain(), LONGEST_MS);
    speechSynthesis.speak(words);
  }

  #hearAgain() {
    if (!this.#speaking) return;
    clearTimeout(this.#patience);
    speechSynthesis.cancel();
    this.#deaf(false);
  }

  #deaf(yes) {
    this.#speaking = this.level.reading = yes;
    this.recording.deaf(yes);
  }
}
