// What several pages need: requests with the form key, problems said plainly, elements made without markup.

/** A request that was refused (status 4xx, 5xx) or got no answer (status 0). */
export class Problem extends Error {
  constructor(status, details) {
    super(details.detail || "The desk did not answer.");
    this.status = status;
    this.remedy = details.remedy || "";
    this.details = details;
  }
}

const NO_ANSWER = {
  detail: "The desk cannot be reached.",
  remedy: "Look whether this device is on the workshop's network, then try again.",
};

/** The key that each change carries; see desk/access/guard.py. */
export function formKey() {
  return document.querySelector('meta[name="form-key"]')?.content || "";
}

/**
 * Ask the desk.
 * @param {string} method
 * @param {string} url
 * @param {object} [body] sent as JSON
 * @param {RequestInit} [more] such as a signal
 * @returns {Promise<any>} the answer's JSON; null where it has none
 * @throws {Problem}
 */
export async function ask(method, url, body, more = {}) {
  const answer = await send(method, url, body, more);
  return answer.status === 204 ? null : answer.json();
}

/** As `ask`, and returns the Response itself. */
export async function send(method, url, body, more = {}) {
  const headers = { Accept: "application/json", ...(more.headers || {}) };
  if (method !== "GET") headers["X-Form-Key"] = formKey();
  let content = body;
  if (body !== undefined && !(body instanceof Blob) && !(body instanceof ArrayBuffer)) {
    headers["Content-Type"] = "application/json";
    content = JSON.stringify(body);
  }
  let answer;
  try {
    answer = await fetch(url, { ...more, method, headers, body: content });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Problem(0, NO_ANSWER);
  }
  if (answer.ok) return answer;
  const details = await answer.json().catch(() => ({ detail: `The desk answered ${answer.status}.` }));
  throw new Problem(answer.status, details);
}

/**
 * An element. Attributes whose name begins with "on" are listeners; false, null and undefined are left out.
 * Children are elements or text, never markup.
 */
export function el(tag, attributes = {}, ...children) {
  return fill(document.createElement(tag), attributes, children);
}

/** As `el`, for drawings. */
export function svg(tag, attributes = {}, ...children) {
  return fill(document.createElementNS("http://www.w3.org/2000/svg", tag), attributes, children);
}

function fill(made, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === false || value === null || value === undefined) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (name === "value") made.value = value;
    else made.setAttribute(name, value === true ? "" : value);
  }
  made.append(...children.flat(3).filter((child) => child !== null && child !== undefined && child !== false));
  return made;
}

let quiet, loud;

/** Say a sentence to who listens to the page. `now` interrupts what is being read. */
export function announce(sentence, { now = false } = {}) {
  quiet ??= region("polite");
  loud ??= region("assertive");
  const where = now ? loud : quiet;
  where.textContent = "";
  // The same sentence twice is said twice only when the region was empty in between.
  setTimeout(() => { where.textContent = sentence; }, 30);
}

function region(politeness) {
  const made = el("div", { class: "hidden", "aria-live": politeness, role: politeness === "polite" ? "status" : "alert" });
  document.body.append(made);
  return made;
}
addEventListener("DOMContentLoaded", () => { quiet ??= region("polite"); loud ??= region("assertive"); });

/** A problem as a box that can be read and acted on. */
export function problemBox(problem, ...actions) {
  return el("div", { class: "told", role: "alert" },
    el("p", {}, el("strong", {}, problem.message)),
    problem.remedy ? el("p", {}, problem.remedy) : null,
    actions.length ? el("p", { class: "buttons" }, actions) : null);
}

const DAY = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short", year: "numeric" });
const MOMENT = new Intl.DateTimeFormat("en-GB", {
  day: "numeric", month: "short", hour: "2-digit", minute: "2-digit",
});

/** "21 May 2026" for "2026-05-21". */
export const day = (iso) => DAY.format(new Date(`${iso}T12:00:00`));
/** "21 May, 14:03" in the reader's own time. */
export const moment = (iso) => MOMENT.format(new Date(iso));
/** "1:05" for 65.2 seconds. */
export const clock = (seconds) =>
  `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;
