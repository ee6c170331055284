/** The walk page: which of its three steps is shown, and what each control does. */

import { knowPerson, renewKey } from "./api.js";
import { After } from "./after.js";
import { takeFiles } from "./files.js";
import { holdToDo } from "./hold.js";
import * as keep from "./keep.js";
import { List } from "./list.js";
import { Live } from "./live.js";
import { Machines } from "./machines.js";
import { Now } from "./now.js";
import { mediaType, microphone, whyClosed } from "./record.js";
import { canSpeak } from "./speak.js";
import { alarm, button, calm, find, minutes, moment, notice, recall, remember } from "./tell.js";
import { Walks, newWalk } from "./walks.js";

const LITTLE_ROOM = 100 << 20; // bytes; some three hours of talk
const root = find("walk");
knowPerson(root);

const walks = new Walks(Number(root.dataset.slice));
const machines = new Machines();
const list = new List(walks);
const after = new After(walks, list);
const live = new Live(find("live"));
let now = null;
let photoAt = 0;

function step(name) {
  root.dataset.step = name;
  document.body.classList.toggle("walking", name === "recording");
  scrollTo(0, 0);
}

const chosen = () => ({ machine: machines.chosen, jurisdiction: find("country").value || null });

async function start(more = {}) {
  calm();
  find("start").disabled = true;
  let stream;
  try {
    stream = await microphone();
    begin(stream, { ...chosen(), ...more });
  } catch (error) {
    for (const track of stream?.getTracks() ?? []) track.stop();
    alarm(whyClosed(error));
  }
  find("start").disabled = false;
}

function begin(stream, choice) {
  const started = new Date();
  const name = `Walk at ${started.toTimeString().slice(0, 5)}${choice.goesOn ? ", continued" : ""}`;
  const walk = newWalk("recording", { ...choice, media_type: mediaType(), name, started });
  const { largestPhoto } = root.dataset;
  now = new Now({
    walk,
    stream,
    walks,
    live,
    readsBack: find("read-back").checked,
    largestPhoto: Number(largestPhoto),
  });
  now.addEventListener("over", ({ detail }) => over(detail));
  list.hide(walk.id);
  step("recording");
  find("pause").focus({ preventScroll: true });
  keep.askToStay();
  warnOfLittleRoom();
}

function over({ asked, one }) {
  now = null;
  live.onwalk = null;
  after.begin(one);
  step("after");
  find("another").focus({ preventScroll: true });
  if (asked) return;
  const until = minutes(one.walk.seconds);
  alarm(`The phone stopped the recording at ${until}. Everything until then is kept.`, [goOn(one.walk)]);
}

/** A new walk of the same machine. */
const goOn = ({ details: { machine, jurisdiction } }) =>
  button("Go on in a new walk", () => start({ machine, jurisdiction, goesOn: true }), "large");

function goesOnAs(one) {
  after.begin(one);
  list.hide(one.walk.id);
  live.follow(one.walk);
}

function another() {
  after.leave();
  live.leave();
  find("live").hidden = find("shots").hidden = true;
  list.hide(null);
  step("before");
  find("start").focus({ preventScroll: true });
}

async function warnOfLittleRoom() {
  const { quota = Infinity, usage = 0 } = (await navigator.storage?.estimate?.().catch(() => null)) ?? {};
  if (quota - usage < LITTLE_ROOM)
    notice(
      `Little room is left on this phone (${Math.round((quota - usage) / 2 ** 20)} MB). Sending goes on, but free some soon.`,
    );
}

/** What stands in the way of recording here; null where nothing does. */
function closedBecause() {
  if (!isSecureContext)
    return "The microphone stays closed because this page came without encryption (http). Open the desk by its https address, or on the computer it runs on as http://localhost. Recordings made elsewhere can be sent below all the same.";
  if (!navigator.mediaDevices?.getUserMedia || !mediaType())
    return "This browser records neither Opus nor AAC. Use another browser, or record with the phone's own recorder and send the file below.";
  return null;
}

function wireBefore() {
  const closed = closedBecause();
  find("start").hidden = Boolean(closed);
  find("closed").hidden = !closed;
  find("closed").textContent = closed ?? "";
  find("start").addEventListener("click", () => start());
  const country = find("country");
  const usual = recall("walk country", null);
  if (usual !== null && [...country.options].some((one) => one.value === usual)) country.value = usual;
  country.addEventListener("change", () => remember("walk country", country.value));
  const readBack = find("read-back");
  readBack.checked = canSpeak() && recall("walk reads back", false);
  readBack.closest("label").hidden = !canSpeak() || Boolean(closed);
  readBack.addEventListener("change", () => remember("walk reads back", readBack.checked));
}

function wireRecording() {
  holdToDo(find("end"), {
    done: () => now?.end(),
    short: "Hold for one second",
    ask: "End the walk? Press again",
  });
  find("pause").addEventListener("click", () => now?.pauseOrGoOn());
  find("photo").addEventListener("click", () => {
    photoAt = now?.recording.seconds ?? 0;
    find("camera").click();
  });
  find("camera").addEventListener("change", ({ target }) => {
    for (const file of target.files) now?.photo(file, photoAt);
    target.value = "";
  });
  live.addEventListener("walk", ({ detail }) => {
    live.onwalk?.(detail);
    after.hear(detail);
  });
}

function wireLeaving() {
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden") return now?.flush();
    renewKey().catch(() => {}); // somebody may have signed in meanwhile
    walks.nudge();
    return list.load();
  });
  addEventListener("pagehide", () => now?.flush());
  addEventListener("beforeunload", (event) => walks.busy && event.preventDefault());
}

function wireWalks() {
  walks.addEventListener("cut", ({ detail: walk }) => {
    const at = moment(walk.details.started_at);
    notice(
      `The walk of ${at} was broken off at ${minutes(walk.seconds)} when its page closed. What was recorded is kept and sent; the last five seconds may be missing.`,
      closedBecause() ? [] : [goOn(walk)],
    );
  });
  walks.addEventListener("empty", ({ detail: walk }) =>
    notice(`The walk of ${moment(walk.details.started_at)} was broken off before anything of it was kept.`),
  );
  walks.begin();
}

/** Everything the page is made of goes into the worker's store, so that it opens without a network. */
async function keepPage() {
  if (!navigator.serviceWorker) return;
  await navigator.serviceWorker.register("/walk-worker.js", { scope: "/walk" });
  const { active } = await navigator.serviceWorker.ready;
  const files = performance.getEntriesByType("resource").map((entry) => new URL(entry.name));
  const ours = files.filter((url) => url.origin === location.origin && url.pathname.startsWith("/static/"));
  active.postMessage({ keep: ours.map((url) => url.pathname) });
}

wireBefore();
wireRecording();
wireLeaving();
wireWalks();
find("another").addEventListener("click", another);
after.addEventListener("become", ({ detail: one }) => (one ? goesOnAs(one) : another()));
takeFiles(walks, { largest: Number(root.dataset.largest), chosen });
keepPage().catch(() => {}); // a private window: it opens with a network only
