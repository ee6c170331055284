/** Recordings made elsewhere: chosen or dropped, sent in slices. */

import * as keep from "./keep.js";
import { Sliced } from "./source.js";
import { find, notice } from "./tell.js";
import { newWalk } from "./walks.js";

const KEPT_WHOLE = 256 << 20; // bytes; a larger one is read from its place, and chosen again after a reload

/**
 * @param {import("./walks.js").Walks} walks
 * @param {{largest: number, chosen: () => object}} how `chosen` gives machine and jurisdiction
 */
export function takeFiles(walks, { largest, chosen }) {
  const [choose, input, drop] = [find("choose"), find("file"), find("drop")];
  const take = (list) => [...list].forEach((file) => takeFile(file));

  async function takeFile(file) {
    if (!file.size) return notice(`${file.name} is empty.`);
    if (file.size > largest)
      return notice(`${file.name} is larger than the desk takes (${megabytes(largest)}).`);
    if (walks.rejoin(file)) return null;
    const media_type = (file.type || "application/octet-stream").slice(0, 100);
    const started = new Date(file.lastModified);
    const walk = newWalk("file", { ...chosen(), media_type, name: line(file.name), started });
    Object.assign(walk, { size: file.size, file: file.size <= KEPT_WHOLE ? file : null });
    walks.add(walk, new Sliced(file, walks.slice));
    return remember(walk);
  }

  choose.addEventListener("click", () => input.click());
  input.addEventListener("change", () => (take(input.files), (input.value = "")));
  for (const name of ["dragover", "drop"]) addEventListener(name, (event) => event.preventDefault());
  drop.addEventListener("dragover", () => drop.classList.add("over"));
  drop.addEventListener("dragleave", () => drop.classList.remove("over"));
  drop.addEventListener("drop", (event) => {
    drop.classList.remove("over");
    take(event.dataTransfer.files);
  });
}

async function remember(walk) {
  try {
    await keep.saveWalk(walk);
  } catch {
    walk.file = null; // no room: it is read from its place
    await keep.saveWalk(walk).catch(() => {});
  }
}

const line = (name) => name.replace(/[\x00-\x1f\x7f]/g, " ").slice(-200);
const megabytes = (bytes) => `${Math.round(bytes / 2 ** 20)} MB`;
