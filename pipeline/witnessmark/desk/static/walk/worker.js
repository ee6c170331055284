/**
 * Lets the walk page open without a network: it and its files, as they came last. Nothing of the
 * workshop is kept: no answer of the API, no other page.
 */

const KEPT = "walk-page-1";
const PAGE = "/walk";
const PATIENCE_MS = 4000; // a network that gives nothing for so long is none

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

/** The page says which files it is made of, once it stands. */
self.addEventListener("message", (event) => {
  const wanted = event.data?.keep;
  if (Array.isArray(wanted)) event.waitUntil(keepAll([PAGE, ...wanted]));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  const ours = origin === self.location.origin && request.method === "GET";
  const page = request.mode === "navigate" && pathname === PAGE;
  if (ours && (page || pathname.startsWith("/static/")))
    event.respondWith(fresh(request, page ? PAGE : pathname));
});

async function keepAll(paths) {
  const cache = await caches.open(KEPT);
  await Promise.allSettled([...new Set(paths)].map((path) => fetchInto(cache, path, path)));
}

async function fetchInto(cache, request, path) {
  const answer = await fetch(request);
  if (answer.ok && !answer.redirected && answer.type === "basic") await cache.put(path, answer.clone());
  return answer;
}

/** From the desk; where that fails or takes too long, as it came last. */
async function fresh(request, path) {
  const cache = await caches.open(KEPT);
  const coming = fetchInto(cache, request, path);
  const kept = cache.match(path);
  const late = new Promise((resolve) => setTimeout(resolve, PATIENCE_MS));
  const first = await Promise.race([coming, late]).catch(() => undefined);
  return first ?? (await kept) ?? coming;
}
