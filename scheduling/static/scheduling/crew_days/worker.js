/* Answers for the crew's pages where there is no signal. KNOWN stands above, made by the server.
   Pages are kept for one person at a time; whose they are, the server says with each.
   A classic script still: it imports nothing, and older phones take no module for a worker. */
"use strict";

const ASSETS = `assets-${KNOWN.version}`;
const PATIENCE = 3000;
const OLD = 15 * 60e3;
const DAYS = 2;
const DAY = /\/\d+\/\d{4}-\d{2}-\d{2}\/$/;

const isOurs = (prefix) => async () =>
  (await caches.keys()).filter((name) => name.startsWith(prefix));
const pageStores = isOurs("pages-");
const assetStores = isOurs("assets-");
const dropStores = (names) => Promise.all(names.map((name) => caches.delete(name)));
const bare = (url) => String(url).split("#")[0];

/** The session is over or was another's: nobody sees what was kept for the one before. */
const forget = async () => dropStores(await pageStores());

async function kept(url) {
  for (const name of await pageStores()) {
    const found = await (await caches.open(name)).match(bare(url), { ignoreVary: true });
    if (found) return found;
  }
  return null;
}

/** Keep a page for its person, with the time in it, so that it can say how old it is. */
async function keep(url, answer, person) {
  const store = `pages-${person}`;
  await dropStores((await pageStores()).filter((name) => name !== store));
  const text = (await answer.text()).replace("<html", `<html data-kept="${Date.now()}"`);
  const headers = { "X-Kept": Date.now() };
  for (const name of ["Content-Type", "Content-Security-Policy", "Referrer-Policy"])
    if (answer.headers.has(name)) headers[name] = answer.headers.get(name);
  await (await caches.open(store)).put(bare(url), new Response(text, { headers }));
}

async function remove(url) {
  for (const name of await pageStores()) await (await caches.open(name)).delete(bare(url));
}

/** A page from the server; what is kept follows it. Rejects where there is no signal. */
async function ask(url) {
  const answer = await fetch(url, { credentials: "same-origin", cache: "no-store" });
  const person = answer.headers.get("X-Person");
  const isOver = !person && (answer.redirected || [401, 403].includes(answer.status));
  try {
    if (isOver) await forget();
    else if (answer.status === 404 || answer.status === 410) await remove(url);
    else if (answer.ok && person) await keep(answer.url, answer.clone(), person);
  } catch {
    // A full phone: the page is shown all the same, and what was kept before stays.
  }
  return { answer, isOver };
}

async function tell(message) {
  for (const page of await self.clients.matchAll()) page.postMessage(message);
}

/** From the server, unless that takes too long and there is a copy. */
async function page(event) {
  const { url } = event.request;
  const asked = ask(url);
  const old = await kept(url);
  let isLate = false;
  event.waitUntil(
    asked.then(
      ({ isOver }) => isLate && tell(isOver ? { ended: true } : { url: bare(url) }),
      () => {},
    ),
  );
  const network = asked.then(({ answer }) => {
    if (old && answer.status >= 500) return old;
    return answer.redirected ? Response.redirect(answer.url) : answer;
  });
  if (!old) return network.catch(() => caches.match(KNOWN.noSignal));
  const tired = new Promise((resolve) => setTimeout(resolve, PATIENCE)).then(() => {
    isLate = true;
    return old;
  });
  return Promise.race([network.catch(() => old), tired]);
}

/** A file of the pages: its name or this worker changes when it does. */
async function asset(request) {
  const mine = await caches.open(ASSETS);
  const found =
    (await mine.match(request, { ignoreVary: true })) ||
    (await caches.match(request, { ignoreVary: true }));
  return found || fetch(request);
}

/** The days that stand first on the list: today and the next one with work. */
async function daysOf(list) {
  const text = list ? await list.text() : "";
  const links = [...text.matchAll(/href="([^"]+)"/g)].map((found) => found[1]);
  return links.filter((link) => DAY.test(link)).slice(0, DAYS);
}

/** Fetch the pages that this person may want without signal, and drop the others. */
async function keepPages(urls) {
  const full = (url) => new URL(url, self.location).href;
  const wanted = [];
  const fetchOnce = async (url) => {
    if (wanted.includes(url)) return;
    wanted.push(url);
    const old = await kept(url);
    if (!old || Math.abs(Date.now() - old.headers.get("X-Kept")) > OLD)
      await ask(url).catch(() => {});
  };
  for (const url of urls) await fetchOnce(full(url));
  if (!urls.length) return;
  for (const url of await daysOf(await kept(full(KNOWN.scope)))) await fetchOnce(full(url));
  for (const name of await pageStores()) {
    const store = await caches.open(name);
    for (const request of await store.keys())
      if (!wanted.includes(request.url)) await store.delete(request);
  }
}

async function install() {
  const store = await caches.open(ASSETS);
  const all = [...KNOWN.assets, KNOWN.noSignal];
  await store.addAll(all.map((url) => new Request(url, { cache: "reload" })));
  await self.skipWaiting();
}

/** A page kept under the worker before may still name that one's files: one generation stays. */
async function activate() {
  const names = (await assetStores()).filter((name) => name !== ASSETS);
  await dropStores(names.slice(0, -1));
  await self.clients.claim();
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));
self.addEventListener("message", (event) => {
  if (event.data.keep) event.waitUntil(keepPages(event.data.keep));
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (KNOWN.assets.includes(url.pathname) || url.pathname.startsWith(KNOWN.static)) {
    event.respondWith(asset(request));
  } else if (url.pathname.startsWith(KNOWN.scope) && url.pathname !== self.location.pathname) {
    if (request.mode === "navigate") event.respondWith(page(event));
    else event.respondWith(ask(request.url).then(({ answer }) => answer));
  }
});
