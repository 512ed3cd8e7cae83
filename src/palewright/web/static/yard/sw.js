/**
 * Keeps the pages of the yard for a day without a signal. Nothing of other pages, no prices: only what is listed here and the packs of the yard.
 */

const KEEP = "palewright-yard-1";
const SHELL = /^\/static\/|^\/yard\//;
const PACK = /^\/api\/jobs\/[^/]+\/yard$/;

self.addEventListener("install", () => self.skipWaiting());

self.addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) if (name !== KEEP) await caches.delete(name);
      await self.clients.claim();
    })(),
  );
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  if (SHELL.test(url.pathname) || PACK.test(url.pathname)) event.respondWith(freshOrKept(event.request));
});

/** The server's answer, or the last one that it gave. @param {Request} request */
async function freshOrKept(request) {
  const box = await caches.open(KEEP);
  try {
    const answer = await fetch(request);
    if (answer.ok && !answer.redirected) await box.put(request, answer.clone());
    if (answer.status < 500) return answer;
    return (await box.match(request)) ?? answer;
  } catch (error) {
    const kept = await box.match(request);
    if (kept) return kept;
    throw error;
  }
}
