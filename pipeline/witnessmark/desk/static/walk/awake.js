/** Keeps the screen on while something is recorded. The system takes the lock away with each hiding. */

let wanted = false;
let lock = null;

async function take() {
  if (!wanted || document.visibilityState !== "visible" || (lock && !lock.released)) return;
  lock = (await navigator.wakeLock?.request("screen").catch(() => null)) ?? null; // refused on low battery
  if (!wanted) await letSleep();
}

document.addEventListener("visibilitychange", take);

export function stayAwake() {
  wanted = true;
  return take();
}

export async function letSleep() {
  wanted = false;
  await lock?.release();
  lock = null;
}

/** Whether the screen stays on by itself. */
export const awake = () => Boolean(lock && !lock.released);
