/** Photographs of a moment: into the phone's store first, in a format that the desk takes. */

import * as keep from "./keep.js";
import { hashOf, hex } from "./sha256.js";
import { minutes } from "./tell.js";

const TAKEN = ["image/jpeg", "image/png", "image/webp"];
const LONGEST_SIDE = 4096;

/** @returns {Promise<object>} what was kept. @throws {keep.Full} it is held in memory only */
export async function addPhoto(walk, file, at, largest) {
  const fit = await fitting(file, largest);
  const bytes = await fit.arrayBuffer();
  const photo = { walk: walk.id, sha256: hex(await hashOf(bytes)), at, type: fit.type, bytes, sent: false };
  await keep.savePhoto(photo);
  return photo;
}

/** As it is, where the desk takes that; else made anew as JPEG. */
async function fitting(file, largest) {
  if (TAKEN.includes(file.type) && file.size <= largest) return file;
  const picture = await createImageBitmap(file);
  const scale = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [Math.round(picture.width * scale), Math.round(picture.height * scale)];
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  const made = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.85));
  if (!made || made.size > largest) throw new Error("too large");
  return made;
}

/** A picture for the strip, with its place in the talk. */
export function thumbnail(file, at) {
  const [item, image, words] = ["li", "img", "span"].map((name) => document.createElement(name));
  image.src = URL.createObjectURL(file);
  image.onload = () => URL.revokeObjectURL(image.src);
  image.alt = `Photo at ${minutes(at)}`;
  words.textContent = minutes(at);
  item.append(image, words);
  return item;
}
