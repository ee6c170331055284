/** Requests to the desk. What went wrong comes back as an answer, or as `Unreachable`. */

export class Unreachable extends Error {}

const head = () => document.querySelector('meta[name="form-key"]');
const LONGEST_MS = { short: 20_000, body: 180_000 };

/** Who is signed in, as far as the page knows: {id, name}. */
export const person = { id: "", name: "" };

export function knowPerson(element) {
  person.id = element.dataset.person;
  person.name = element.dataset.name;
}

/**
 * @returns {Promise<{status: number, ok: boolean, data: any, after: number|null}>} `after` are the
 *     seconds that the desk asks to wait
 * @throws {Unreachable} no network, or the desk is not running
 */
export async function ask(method, path, body = undefined, headers = {}) {
  const answer = await once(method, path, body, headers);
  if (answer.status !== 403 || method === "GET") return answer;
  await renewKey(); // signed in again in another tab: the key of this page is of the sign-in before
  return once(method, path, body, headers);
}

async function once(method, path, body, headers) {
  const raw = body === undefined || body instanceof ArrayBuffer || body instanceof Blob;
  const all = { Accept: "application/json", "X-Form-Key": head().content, ...headers };
  if (!raw) all["Content-Type"] = "application/json";
  const signal = AbortSignal.timeout(raw && body ? LONGEST_MS.body : LONGEST_MS.short);
  const sent = { method, headers: all, body: raw ? body : JSON.stringify(body), signal };
  try {
    const answer = await fetch(path, { ...sent, cache: "no-store" });
    return await plain(answer);
  } catch (error) {
    throw new Unreachable(error.message);
  }
}

async function plain(answer) {
  const json = (answer.headers.get("content-type") ?? "").includes("json");
  const after = parseInt(answer.headers.get("retry-after") ?? "", 10);
  const data = json ? await answer.json() : null;
  return { status: answer.status, ok: answer.ok, data, after: Number.isNaN(after) ? null : after };
}

/** Take form key and person from a fresh copy of the page; the open one stays as it is. */
export async function renewKey() {
  try {
    const answer = await fetch("/walk", { headers: { Accept: "text/html" }, cache: "no-store" });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const walk = page.getElementById("walk");
    if (!walk) return;
    head().content = page.querySelector('meta[name="form-key"]').content;
    knowPerson(walk);
  } catch (error) {
    throw new Unreachable(error.message);
  }
}

/** A name for a walk. `randomUUID` is not there without TLS. */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40; // RFC 9562, version 4
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const text = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return text.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}
