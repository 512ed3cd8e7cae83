/**
 * Keeps the pages of the yard for a day without a signal. Nothing of other pages, no prices: the files listed in FILES and pages below /yard/.
 * FILES and VERSION are written before this text by the server. A page names its version in the address of each of its
 * files, and each version is kept in a box of its own: no page is ever put together from modules of two versions.
 */

const OURS = "palewright-yard-";
const KEEP = OURS + VERSION;
const PATIENCE = 4000;

self.addEventListener("install", (event) => event.waitUntil(fill()));

self.addEventListener("activate", (event) => event.waitUntil(tidy().then(() => self.clients.claim())));

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  const [version, path] = versioned(url.pathname);
  if (FILES.includes(path) || version !== VERSION) event.respondWith(file(event.request, version, path));
  else if (isPage(path)) event.respondWith(page(event.request, path));
});

/** The version that an address names (ours where it names none), and the address without it. @param {string} path */
function versioned(path) {
  const found = /^\/static\/([0-9a-f]{16})(\/.+)$/.exec(path);
  return found ? [found[1], `/static${found[2]}`] : [VERSION, path];
}

/** @param {string} path */
function isPage(path) {
  return /^\/yard\/[^/.]*$/.test(path);
}

/** @param {Response} answer */
function isOurs(answer) {
  return answer.ok && !answer.redirected && answer.headers.get("X-Yard-Version") === VERSION;
}

/** The boxes of other versions. */
async function others() {
  const names = (await caches.keys()).filter((name) => name.startsWith(OURS) && name !== KEEP);
  return Promise.all(names.map(async (name) => ({ name, box: await caches.open(name) })));
}

/** The pages of a box, by address. @param {Cache} box */
async function pagesOf(box) {
  return (await box.keys()).map((request) => new URL(request.url).pathname).filter(isPage);
}

/** Every file of this version, and every page that an earlier one kept, where the server gives it. */
async function fill() {
  const box = await caches.open(KEEP);
  await box.addAll(FILES.map((url) => new Request(url, { cache: "reload" })));
  for (const other of await others()) {
    for (const path of await pagesOf(other.box)) {
      const fresh = await fetch(path).catch(() => null);
      if (fresh && isOurs(fresh)) await box.put(path, fresh);
    }
  }
  await self.skipWaiting();
}

/** An earlier version goes when no page is left that only it has: one that the server did not give (the session had ended) stays with all its files. */
async function tidy() {
  const ours = await pagesOf(await caches.open(KEEP));
  for (const { name, box } of await others()) if ((await pagesOf(box)).every((path) => ours.includes(path))) await caches.delete(name);
}

/** @param {Request} request @param {string} version @param {string} path */
async function file(request, version, path) {
  const kept = (await caches.has(OURS + version)) && (await (await caches.open(OURS + version)).match(path));
  return kept || fetch(request);
}

/** The server's page if it comes soon, else the last one: also where the session has ended, for the phone keeps what is not sent. @param {Request} request @param {string} path */
async function page(request, path) {
  const box = await caches.open(KEEP);
  const kept = (await box.match(path)) ?? (await caches.match(path));
  const asked = fetch(request).then(async (answer) => {
    if (!answer.ok || answer.redirected) return kept ?? answer;
    if (isOurs(answer)) await box.put(path, answer.clone());
    else self.registration.update().catch(() => {});
    return answer;
  });
  if (!kept) return asked;
  const late = new Promise((done) => setTimeout(done, PATIENCE, kept));
  return Promise.race([asked, late]).catch(() => kept);
}
