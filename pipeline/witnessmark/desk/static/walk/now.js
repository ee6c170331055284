/** The walk that is being spoken: everything on the screen between start and end. */

import { letSleep, stayAwake } from "./awake.js";
import * as keep from "./keep.js";
import { Level, WORDS, sound } from "./level.js";
import { addPhoto, thumbnail } from "./photo.js";
import { Recording } from "./record.js";
import { Recorded } from "./source.js";
import { ReadBack } from "./speak.js";
import { alarm, calm, find, minutes, notice, put, sentence } from "./tell.js";

const TICK_MS = 250;
const STILL_S = 20;
const AWAY = ["no network", "trouble", "signed out", "stuck", "other person"];

/** Event `over` with detail {asked, one}: the recording has ended, whoever ended it. */
export class Now extends EventTarget {
  #timer = setInterval(() => this.#tick(), TICK_MS);
  #still = false;
  #said = "";
  #ended = false;
  #locks = () => {};

  constructor({ walk, stream, walks, live, readsBack, largestPhoto }) {
    super();
    Object.assign(this, { walk, live, largestPhoto });
    this.level = new Level(stream);
    this.recording = new Recording(walk, stream);
    this.sending = walks.add(walk, new Recorded(walk));
    this.readBack = new ReadBack(this);
    this.readBack.on = readsBack;
    this.#listen();
    keep.saveWalk(walk).catch((error) => this.#full(error.message));
    live.follow(walk);
    stayAwake().then((stays) => {
      if (!stays && !this.#ended)
        this.#locks = notice(
          "The phone will not keep its screen on. When it has locked, look whether the recording goes on.",
        );
    });
    this.#begin();
  }

  #begin() {
    put(find("level-word"), WORDS.listening);
    put(find("sent"), "");
    find("shot-list").replaceChildren();
    find("shots").hidden = true;
    this.#showPaused();
    this.#tick();
  }

  pauseOrGoOn() {
    if (this.recording.paused) this.recording.resume();
    else this.recording.pause();
    this.#showPaused();
  }

  end() {
    this.recording.end();
  }

  /** Phone put away or page closing: what was said by now goes into the store. */
  flush() {
    this.recording.flush(0);
  }

  async photo(file, at) {
    try {
      await addPhoto(this.walk, file, at, this.largestPhoto);
    } catch (error) {
      if (!(error instanceof keep.Full))
        return alarm(`This picture cannot be used (${error.message}). Take it again.`);
      this.#full(error.message);
    }
    find("shots").hidden = false;
    return find("shot-list").append(thumbnail(file, at));
  }

  #listen() {
    const { recording, level, sending } = this;
    level.addEventListener("level", ({ detail }) => this.#showLevel(detail));
    level.addEventListener("pause", () => recording.flush());
    sending.addEventListener("change", () => this.#showSent());
    sending.addEventListener("photo refused", ({ detail }) =>
      this.#loud(`The desk did not take a photo: ${detail}`),
    );
    recording.addEventListener("part", () => sending.more());
    recording.addEventListener("full", ({ detail }) => this.#full(detail));
    recording.addEventListener("taken", () =>
      this.#loud("The phone took the microphone away – a call? Nothing is heard now."),
    );
    recording.addEventListener("back", () => calm());
    recording.addEventListener("over", ({ detail }) => this.#over(detail.asked));
    this.live.onwalk = ({ understood }) => this.readBack.offer(understood?.doubts ?? []);
  }

  #tick() {
    put(find("clock"), minutes(this.recording.seconds));
    const still = this.recording.still > STILL_S;
    if (still && !this.#still)
      this.#loud("The recorder has given nothing for 20 seconds. End the walk and start another.");
    if (!still && this.#still) calm();
    this.#still = still;
  }

  #showPaused() {
    const { paused } = this.recording;
    find("band").classList.toggle("paused", paused);
    put(find("state"), paused ? "Paused" : "Recording");
    put(find("pause"), paused ? "Go on" : "Pause");
  }

  #showLevel({ db, word }) {
    const { paused } = this.recording;
    const part = paused ? 0 : Math.max(0, Math.min(1, (db + 70) / 60));
    find("level-bar").style.setProperty("--level", part.toFixed(2));
    const shown = paused ? "paused – not recording" : word;
    put(find("level-word"), shown);
    find("level-word").classList.toggle("warned", shown.startsWith("no sound") || shown === WORDS.quiet);
    if (shown.startsWith("no sound") || shown === WORDS.quiet) this.#say(shown);
  }

  #showSent() {
    const { standing, counts } = this.sending;
    const left = counts.parts - counts.sent;
    const wait = `kept on this phone, ${left} ${left === 1 ? "part waits" : "parts wait"}`;
    const away = AWAY.includes(standing.kind);
    const reason = standing.kind === "no network" ? "No network" : sentence(standing.what.replace(/\.$/, ""));
    put(find("sent"), away ? `${reason} – ${wait}` : left ? `Sending: ${left} to go` : "All sent so far");
    find("sent").classList.toggle("away", away);
    if (away) this.#say(`${reason} – kept on this phone`);
    else if (this.#said.endsWith("kept on this phone")) this.#say("Sending goes on");
  }

  /** To a screen reader, once. */
  #say(text) {
    if (text === this.#said) return;
    this.#said = text;
    put(find("spoken"), text);
  }

  #full(reason) {
    this.#loud(
      reason === "no room"
        ? "This phone is full. What you say is held in memory and lost with a reload: keep this page open, and free some room."
        : `This phone keeps nothing for the page (${reason}). What is not sent is lost with a reload: keep this page open.`,
    );
  }

  #loud(text, actions) {
    alarm(text, actions);
    sound(this.level.context);
  }

  #over(asked) {
    clearInterval(this.#timer);
    this.#ended = true;
    this.#locks();
    if (!asked) sound(this.level.context);
    this.readBack.end();
    setTimeout(() => this.level.end(), 1500); // lets the tones out
    letSleep();
    this.sending.more();
    const { walk, sending } = this;
    this.dispatchEvent(new CustomEvent("over", { detail: { asked, one: { walk, sending } } }));
  }
}
