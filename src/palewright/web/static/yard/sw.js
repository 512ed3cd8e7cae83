/**
 * Keeps the pages of the yard for a day without a signal. Nothing of other pages, no prices: the files listed in FILES and pages below /yard/.
 * FILES and VERSION are written before this text by the server. All files of a version come in together or not at all, so
 * that no page is ever put together from modules of two versions.
 */

const KEEP = "palewright-yard-" + VERSION;
const PATIENCE = 4000;
/** A page of another version was just handed out: its files come from the server, as it does. */
let stale = false;

self.addEventListener("install", (event) => event.waitUntil(fill()));

self.addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) if (name.startsWith("palewright-yard-") && name !== KEEP) await caches.delete(name);
      await self.clients.claim();
    })(),
  );
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  if (FILES.includes(url.pathname)) event.respondWith(file(event.request, url.pathname));
  else if (isPage(url.pathname)) event.respondWith(page(event.request, url.pathname));
});

/** @param {string} path */
function isPage(path) {
  return /^\/yard\/[^/.]*$/.test(path);
}

/** Every file anew, and every page that an earlier version kept: anew where the server gives it, else as it was. */
async function fill() {
  const box = await caches.open(KEEP);
  await box.addAll(FILES.map((url) => new Request(url, { cache: "reload" })));
  for (const name of await caches.keys()) {
    if (!name.startsWith("palewright-yard-") || name === KEEP) continue;
    const old = await caches.open(name);
    for (const request of await old.keys()) {
      const path = new URL(request.url).pathname;
      if (!isPage(path)) continue;
      const fresh = await fetch(path).catch(() => null);
      const kept = fresh && fresh.ok && !fresh.redirected ? fresh : await old.match(request);
      if (kept) await box.put(path, kept);
    }
  }
  await self.skipWaiting();
}

/** @param {Request} request @param {string} path */
async function file(request, path) {
  const box = await caches.open(KEEP);
  const kept = await box.match(path);
  if (kept && !stale) return kept;
  return fetch(request).catch((error) => {
    if (kept) return kept;
    throw error;
  });
}

/** The server's page if it comes soon, else the last one: also where the session has ended, for the phone keeps what is not sent. @param {Request} request @param {string} path */
async function page(request, path) {
  const box = await caches.open(KEEP);
  const kept = await box.match(path);
  const asked = fetch(request).then(async (answer) => {
    if (!answer.ok || answer.redirected) return kept ?? answer;
    stale = answer.headers.get("X-Yard-Version") !== VERSION;
    if (stale) self.registration.update().catch(() => {});
    else await box.put(path, answer.clone());
    return answer;
  });
  if (!kept) return asked;
  const late = new Promise((done) => setTimeout(done, PATIENCE, kept));
  return Promise.race([asked, late]).catch(() => kept);
}
