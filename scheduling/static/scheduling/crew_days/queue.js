/* Keeps what a person tapped until the server has it, and sends it as that person's only. Ids are
   made here, once, so that an answer lost on the way is harmless. Knows no page and no word. */

const BATCH = 50;
const FACTS_SECONDS = 20;
const PHOTO_SECONDS = 90;
const OLD_DAYS = 3;
const NO_PICTURE = [400, 404, 413];
let opening = null;

function open() {
  opening ||= new Promise((resolve, reject) => {
    const asked = indexedDB.open("crew-days", 1);
    asked.onupgradeneeded = () => {
      const facts = asked.result.createObjectStore("facts", { keyPath: "n", autoIncrement: true });
      facts.createIndex("id", "id", { unique: true });
      asked.result.createObjectStore("photos");
    };
    asked.onsuccess = () => {
      asked.result.onversionchange = asked.result.onclose = () => {
        asked.result.close();
        opening = null;
      };
      resolve(asked.result);
    };
    asked.onerror = () => reject(asked.error);
  });
  opening.catch(() => {
    opening = null;
  });
  return opening;
}

const result = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

/** Resolves when what `work` did is on the disk, rejects when none of it is. */
async function change(work) {
  const db = await open();
  const within = db.transaction(["facts", "photos"], "readwrite", { durability: "strict" });
  const done = new Promise((resolve, reject) => {
    within.oncomplete = resolve;
    within.onabort = () => reject(within.error || new Error("aborted"));
  });
  work(within.objectStore("facts"), within.objectStore("photos"));
  return done;
}

async function read(store, ask) {
  return result(ask((await open()).transaction(store).objectStore(store)));
}

export const rows = async (person) =>
  (await read("facts", (facts) => facts.getAll())).filter((row) => row.person === person);

const ofPerson = (person) => IDBKeyRange.bound([person], [person, []]);

const pictures = async (person) =>
  (await read("photos", (photos) => photos.getAllKeys(ofPerson(person)))).map((key) => key[1]);

/** UUID, by hand where the address is no secure one. */
export function newId() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 15) | 64;
  bytes[8] = (bytes[8] & 63) | 128;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

/** told: [{fact, picture?}], kept all or none. */
export const keep = (person, told) =>
  change((facts, photos) => {
    for (const { fact, picture } of told) {
      facts.add({ id: fact.id, person, state: "waiting", why: "", fact });
      if (picture) photos.add(picture, [person, fact.id]);
    }
  });

/** How many taps and pictures wait; a picture with its tap is one thing. */
export async function unsent(person) {
  const known = await rows(person);
  const waiting = known.filter((row) => row.state === "waiting").map((row) => row.id);
  const refused = new Set(known.filter((row) => row.state === "refused").map((row) => row.id));
  const photos = (await pictures(person)).filter((id) => !refused.has(id));
  return {
    facts: waiting.length,
    photos: photos.length,
    things: new Set([...waiting, ...photos]).size,
  };
}

export const drop = (row) =>
  change((facts, photos) => {
    facts.delete(row.n);
    photos.delete([row.person, row.id]);
  });

/** Forget what was sent, once the page knows it from the server, or after days. */
export async function tidy(person, known) {
  const oldest = Date.now() - OLD_DAYS * 864e5;
  const all = await read("facts", (facts) => facts.getAll());
  const keys = await read("photos", (photos) => photos.getAllKeys());
  const withPicture = new Set(keys.map((key) => key[1]));
  const spent = all.filter(
    (row) =>
      row.state === "sent" &&
      !withPicture.has(row.id) &&
      (row.person !== person || known.has(row.id) || row.sentAt < oldest),
  );
  if (!spent.length) return;
  await change((facts) => {
    for (const row of spent) facts.delete(row.n);
  });
}

async function call(url, method, token, body, seconds) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), seconds * 1000);
  const headers = { "X-CSRFToken": token, Accept: "application/json" };
  if (typeof body === "string") headers["Content-Type"] = "application/json";
  const how = { method, headers, body, signal: stop.signal, redirect: "manual", cache: "no-store" };
  try {
    const answer = await fetch(url, how);
    // Whoever sends a phone elsewhere does not know it any more.
    if (answer.type === "opaqueredirect") return { status: 401, told: {} };
    const told = await answer.json();
    return { status: answer.status, told, date: Date.parse(answer.headers.get("date")) };
  } catch {
    return { status: 0, told: {} };
  } finally {
    clearTimeout(timer);
  }
}

function outcome({ status, told }) {
  if (status === 401 || status === 403) return "sign_in";
  if (status === 409) return "other";
  return status === 200 && Array.isArray(told.kept) ? "kept" : "again";
}

const reason = (told) =>
  Object.values(told.errors || {})
    .flat()
    .map(String)
    .join(" ") || String(told.detail || "");

const mark = (marked) =>
  change((facts) => {
    for (const row of marked) facts.put(row);
  });

const refusedRow = (row, why) => ({ ...row, state: "refused", why });

/** Rows that the answer does not name wait on. */
async function settle(batch, told) {
  const kept = new Set(told.kept);
  const refused = new Map((told.refused || []).map((one) => [one.id, one.why]));
  const settled = batch.filter((row) => kept.has(row.id) || refused.has(row.id));
  await mark(
    settled.map((row) =>
      refused.has(row.id)
        ? refusedRow(row, refused.get(row.id))
        : { ...row, state: "sent", sentAt: Date.now() },
    ),
  );
  return settled.length === batch.length;
}

/** The taps in their order, with how much is left; resolves to what became of them. */
async function tellFacts(way, clock) {
  for (;;) {
    const left = (await rows(way.person)).filter((row) => row.state === "waiting");
    const batch = left.slice(0, BATCH);
    const now = new Date();
    // A clock that was set back meanwhile would have the taps after the sending.
    const facts = batch.map(({ fact }) => ({
      ...fact,
      at: Date.parse(fact.at) > now ? now.toISOString() : fact.at,
    }));
    const body = JSON.stringify({
      person: way.person,
      now: now.toISOString(),
      unsent: left.length - batch.length,
      unsent_photos: (await unsent(way.person)).photos,
      facts,
    });
    const answer = await call(way.url, "POST", way.token(), body, FACTS_SECONDS);
    if (answer.date) clock(answer.date - now);
    const became = outcome(answer);
    if (became !== "kept") return became;
    if (!(await settle(batch, answer.told))) return "again";
    if (left.length === batch.length) return "kept";
  }
}

/** Send the pictures of taps that the server has, one by one. */
async function tellPhotos(way) {
  const byId = new Map((await rows(way.person)).map((row) => [row.id, row]));
  for (const id of await pictures(way.person)) {
    const row = byId.get(id);
    if (!row || row.state !== "sent") continue;
    const key = [way.person, id];
    const picture = await read("photos", (photos) => photos.get(key));
    if (!picture) continue;
    const form = new FormData();
    form.append("photo", picture, `${id}.jpg`);
    const url = `${way.url}/${id}/photo`;
    const answer = await call(url, "PUT", way.token(), form, PHOTO_SECONDS);
    const became = outcome(answer);
    if (became === "kept") await change((_facts, photos) => photos.delete(key));
    else if (NO_PICTURE.includes(answer.status) && answer.told.title)
      await mark([refusedRow(row, reason(answer.told))]);
    else return became;
    way.told();
  }
  return "kept";
}

async function sendAll(way, clock) {
  const taps = await tellFacts(way, clock);
  way.told();
  const { photos } = await unsent(way.person);
  if (taps !== "kept" || !photos) return taps;
  const became = await tellPhotos(way);
  // The office reads how much is left on the phone.
  return became === "kept" ? tellFacts(way, clock) : became;
}

/** Send all that waits, unless another tab does. way: {person, url, token(), told()}; resolves
    to {became: kept | again | sign_in | other | busy, skew: ms that the clock is behind}. */
export async function send(way) {
  let skew = null;
  const clock = (wrong) => {
    skew = wrong;
  };
  const work = async (lock) => (lock === null ? "busy" : sendAll(way, clock));
  const became = await (navigator.locks
    ? navigator.locks.request("crew-days-send", { ifAvailable: true }, work)
    : work());
  return { became, skew };
}
