/**
 * Runs of wire: their line posts, asked for as far as they are in view, and one stretch from the side.
 */

import { get } from "../shared/api.js";

const APART = 3; // pixels a metre from which line posts can be told apart
const AROUND = 0.5;
const REST_MS = 150;

/** @param {import("./job.js").Job} job @param {import("./drawing.js").Drawing} drawing */
export function wireOf(job, drawing) {
  let waiting = 0;
  let [known, asked] = ["", ""]; // the box and revision that are drawn, and that are asked for
  /** @type {import("./drawing.js").View | null} */
  let box = null;
  /** @type {Map<string, Promise<import("./types.js").Elevation | null>>} */
  const sides = new Map();

  const wired = () => [...drawing.held.values()].some(({ item }) => item.kind === "stretch");

  async function ask() {
    const view = drawing.view;
    if (!view || view.scale < APART || !wired()) {
      drawing.line([]);
      known = "";
      return;
    }
    const within = box && view.x0 >= box.x0 && view.y0 >= box.y0 && view.x1 <= box.x1 && view.y1 <= box.y1;
    if (known === String(job.revision) && within) return;
    const [dx, dy] = [(view.x1 - view.x0) * AROUND, (view.y1 - view.y0) * AROUND];
    const wanted = { x0: view.x0 - dx, y0: view.y0 - dy, x1: view.x1 + dx, y1: view.y1 + dy, scale: view.scale };
    const revision = String(job.revision);
    asked = `${revision} ${Object.values(wanted).join(" ")}`;
    const own = asked;
    const query = new URLSearchParams(["x0", "y0", "x1", "y1"].map((key) => [key, String(wanted[/** @type {"x0"} */ (key)])]));
    const found = await get(job.path(`line-posts?${query}`)).catch(() => null);
    if (!found || own !== asked) return; // somebody looks elsewhere by now
    drawing.line(["wood", "steel"].flatMap((mark) => found[mark].map((/** @type {object} */ one) => ({ ...one, kind: "line post", layer: "fence", marks: [mark] }))));
    [known, box] = [revision, wanted];
  }

  /** The eye rests, or the job is another. */
  function look() {
    clearTimeout(waiting);
    waiting = setTimeout(ask, REST_MS);
  }

  /** @param {string} about @returns {Promise<import("./types.js").Elevation | null>} */
  function side(about) {
    const key = `${job.revision} ${about}`;
    const asking = sides.get(key) ?? get(job.path(`stretch?about=${encodeURIComponent(about)}&lang=${job.language}`)).then((found) => (found.about ? found : null)).catch(() => null);
    sides.set(key, asking);
    return asking;
  }

  /** What a line post is: its stretch from the side has the words. @param {import("./types.js").Item} item */
  async function say(item) {
    const seen = await side(item.about ?? "");
    item.say ??= seen?.posts.find(({ id }) => id === item.id)?.text;
  }

  return { look, side, say };
}
