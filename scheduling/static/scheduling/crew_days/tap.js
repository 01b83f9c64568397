/* What a form of the crew's pages says, as a fact, and its photograph, made small. */

import { newId } from "./queue.js";
import { day } from "./shown.js";

const LONGEST_SIDE = 1600;
const MOST_BYTES = 300e3;
const NOT_SAID = "csrfmiddlewaretoken id kind job step condition seen_version photo".split(" ");

const numbers = (texts) =>
  texts
    .join(" ")
    .replaceAll(",", ".")
    .split(/[\s;]+/)
    .filter(Boolean)
    .map(Number);

const WHAT = {
  finished: (told) => ({
    minutes: Number(told.get("minutes")),
    bags: told.get("bags") ? Number(told.get("bags")) : null,
    depths_in: numbers(told.getAll("depths_in")),
    whole: !["no", "false"].includes(told.get("whole")),
  }),
  turned_away: (told) => ({
    missing: told.getAll("missing").map(Number),
    why: told.get("why") || "",
  }),
  checked: (told) =>
    Object.fromEntries([...told].filter(([name, value]) => !NOT_SAID.includes(name) && value)),
  photo: (told) => ({ about: told.get("about") || null, caption: told.get("caption") || "" }),
  note: (told) => ({ text: told.get("text") || "" }),
};

/** What a form of a kind says beyond where and when. */
export const whatOf = (kind, told) => WHAT[kind]?.(told) ?? {};

const whole = (text) => (text ? Number(text) : null);

/** A fact of this moment about a place of the day. */
export function factOf(kind, { job, step, condition }, what) {
  return {
    id: newId(),
    kind,
    crew: day.crew,
    day: day.day,
    job: whole(job),
    step: step || "",
    condition: whole(condition),
    at: new Date().toISOString(),
    seen_version: day.version,
    what,
  };
}

/** Upright, small, without what the camera wrote into it. */
export async function shrink(file) {
  const picture = await createImageBitmap(file);
  const by = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * by));
  canvas.height = Math.max(1, Math.round(picture.height * by));
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  let small = null;
  for (const quality of [0.8, 0.6, 0.4]) {
    small = await new Promise((done) => canvas.toBlob(done, "image/jpeg", quality));
    if (!small || small.size <= MOST_BYTES) break;
  }
  if (!small) throw new Error("no picture");
  return small;
}
