/** Keeps the screen on while something is recorded. The system takes the lock away with each hiding. */

let wanted = false;
let lock = null;

async function take() {
  if (!wanted || document.visibilityState !== "visible" || (lock && !lock.released)) return;
  lock = (await navigator.wakeLock?.request("screen").catch(() => null)) ?? null; // refused on low battery
  if (!wanted) await letSleep();
}

document.addEventListener("visibilitychange", take);

/** @returns {Promise<boolean>} whether the screen stays on by itself now */
export async function stayAwake() {
  wanted = true;
  await take();
  return Boolean(lock && !lock.released);
}

export async function letSleep() {
  wanted = false;
  await lock?.release();
  lock = null;
}
