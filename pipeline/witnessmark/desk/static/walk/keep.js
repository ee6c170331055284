/**
 * What this phone keeps until the desk has all of it: walks, the parts of their sound, photographs.
 * A part's bytes lie apart from what is known about it, so that marking it sent rewrites little.
 */

const NAME = "witnessmark-walks";
const loose = { walks: new Map(), parts: new Map(), bytes: new Map(), photos: new Map() };
let opened = null;

export class Full extends Error {}

function open() {
  opened ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("walks", { keyPath: "id" });
      request.result.createObjectStore("parts", { keyPath: ["walk", "n"] });
      request.result.createObjectStore("bytes");
      request.result.createObjectStore("photos", { keyPath: ["walk", "sha256"] });
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  opened.catch(() => (opened = null));
  return opened;
}

/** Run work on stores; resolves when it is on the disk. */
async function transact(stores, mode, work) {
  const db = await open();
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(stores, mode, { durability: "strict" });
    let request;
    transaction.oncomplete = () => resolve(request?.result);
    transaction.onabort = () => reject(transaction.error ?? new Error("stopped"));
    try {
      request = work(...stores.map((name) => transaction.objectStore(name)));
    } catch (error) {
      reject(error);
      transaction.abort(); // all of it or nothing
    }
  });
}

const read = (store, work) => transact([store], "readonly", work).catch(() => undefined);
const ofWalk = (walk) => IDBKeyRange.bound([walk], [walk, []]);
const key = (walk, n) => `${walk}/${n}`;

/** Write, or hold in memory where the phone has no room; then say so by raising `Full`. */
async function write(stores, work, hold) {
  try {
    await transact(stores, "readwrite", work);
  } catch (error) {
    hold();
    throw new Full(error?.name === "QuotaExceededError" ? "no room" : String(error?.message ?? error));
  }
}

export async function saveWalk(walk) {
  await write(
    ["walks"],
    (store) => void store.put(walk),
    () => loose.walks.set(walk.id, walk),
  );
  loose.walks.delete(walk.id);
}

export async function walks() {
  const kept = (await read("walks", (store) => store.getAll())) ?? [];
  return [...kept.filter((walk) => !loose.walks.has(walk.id)), ...loose.walks.values()];
}

export function addPart(walk, n, bytes, sha256) {
  const part = { walk, n, size: bytes.byteLength, sha256, sent: false };
  return write(
    ["parts", "bytes"],
    (parts, store) => {
      parts.put(part);
      store.put(bytes, key(walk, n));
    },
    () => {
      loose.parts.set(key(walk, n), part);
      loose.bytes.set(key(walk, n), bytes);
    },
  );
}

/** What is known about a walk's parts, in order. */
export async function parts(walk) {
  const kept = (await read("parts", (store) => store.getAll(ofWalk(walk)))) ?? [];
  const held = [...loose.parts.values()].filter((part) => part.walk === walk);
  return [...kept.filter((part) => !loose.parts.has(key(walk, part.n))), ...held].sort((a, b) => a.n - b.n);
}

export const bytesOf = async (walk, n) =>
  loose.bytes.get(key(walk, n)) ?? (await read("bytes", (store) => store.get(key(walk, n))));

export function markPart(part, sent) {
  const changed = { ...part, sent };
  if (loose.parts.has(key(part.walk, part.n))) return loose.parts.set(key(part.walk, part.n), changed);
  return transact(["parts"], "readwrite", (store) => void store.put(changed));
}

export const savePhoto = (photo) =>
  write(
    ["photos"],
    (store) => void store.put(photo),
    () => loose.photos.set(key(photo.walk, photo.sha256), photo),
  );

export async function photos(walk) {
  const kept = (await read("photos", (store) => store.getAll(ofWalk(walk)))) ?? [];
  return [...kept, ...[...loose.photos.values()].filter((photo) => photo.walk === walk)];
}

export function markPhoto(photo) {
  const changed = { ...photo, sent: true };
  if (loose.photos.has(key(photo.walk, photo.sha256)))
    return loose.photos.set(key(photo.walk, photo.sha256), changed);
  return transact(["photos"], "readwrite", (store) => void store.put(changed));
}

/** The desk has all of it, or somebody dropped it: let it go. */
export async function forget(walk) {
  for (const map of Object.values(loose))
    for (const name of map.keys()) if (name === walk || name.startsWith(`${walk}/`)) map.delete(name);
  await transact(["walks", "parts", "bytes", "photos"], "readwrite", (all, known, bytes, shots) => {
    all.delete(walk);
    known.delete(ofWalk(walk));
    bytes.delete(IDBKeyRange.bound(`${walk}/`, `${walk}/:`)); // ":" follows the digits
    shots.delete(ofWalk(walk));
  }).catch(() => {});
}

/** Ask that the browser never throws it away by itself. */
export async function askToStay() {
  return (await navigator.storage?.persist?.().catch(() => false)) ?? false;
}

/** Give every part and photograph of a walk to a walk of a new name, unsent: all at once or not at all. */
export async function moveTo(walk, id) {
  const [known, shots] = [await parts(walk.id), await photos(walk.id)];
  const fresh = (one) => ({ ...one, walk: id, sent: false });
  const details = { ...walk.details, whole_of: walk.id }; // what the desk has of it is then found again
  const moved = { ...walk, id, details, made: false, ended: false };
  await transact(["walks", "parts", "bytes", "photos"], "readwrite", (all, metas, bytes, pictures) => {
    all.put(moved);
    all.delete(walk.id);
    for (const part of known) {
      metas.put(fresh(part));
      metas.delete([walk.id, part.n]);
      moveBytes(bytes, key(walk.id, part.n), key(id, part.n));
    }
    for (const shot of shots) {
      pictures.put(fresh(shot));
      pictures.delete([walk.id, shot.sha256]);
    }
  });
}

function moveBytes(store, from, to) {
  const held = loose.bytes.get(from);
  const got = store.get(from);
  got.onsuccess = () => {
    store.put(held ?? got.result, to);
    store.delete(from);
  };
}
