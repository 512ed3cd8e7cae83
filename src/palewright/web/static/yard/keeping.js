/** Has the pages kept for a day without a signal. */

/** The worker keeps all files of a version together; the page itself is asked for once more, through the worker. */
export async function keepPages() {
  if (!("serviceWorker" in navigator)) return;
  try {
    await navigator.serviceWorker.register("/yard/sw.js");
    await navigator.serviceWorker.ready;
    if (!navigator.serviceWorker.controller) await new Promise((done) => navigator.serviceWorker.addEventListener("controllerchange", done, { once: true }));
    if (navigator.onLine) await Promise.all([location.pathname, "/yard/"].map(async (path) => (await fetch(path)).text())); // read to its end: a new worker waits for what is under way
    document.body.dataset.kept = "yes";
  } catch {
    // without a worker the page must stay open: the entries are kept all the same
  }
}
