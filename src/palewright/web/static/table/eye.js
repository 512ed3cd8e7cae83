/**
 * Where one looks: metres into pixels, by wheel, fingers, keys and buttons.
 * @typedef {import("./types.js").XY} XY
 */

const NEAREST = 4000; // pixels a metre
const FURTHEST = 0.02;

export class Eye {
  /**
   * @param {SVGSVGElement} page
   * @param {SVGElement} root  its metres, y up
   * @param {() => void} moved
   */
  constructor(page, root, moved) {
    this.page = page;
    this.root = root;
    this.moved = moved;
    this.scale = 10;
    /** @type {[number, number, number, number] | undefined} */
    this.all = undefined; // what was fitted, until somebody looks elsewhere
    this.left = 0;
    this.top = 0;
    /** @type {DOMRect | null} */
    this.kept = null; // where the page lies: asking for it at every step would lay out the whole drawing anew
    const forget = () => (this.kept = null);
    new ResizeObserver(forget).observe(page);
    for (const kind of ["scroll", "resize"]) addEventListener(kind, forget, { passive: true, capture: true });
    page.addEventListener("pointerdown", forget, { capture: true });
    page.addEventListener("pointerenter", forget);
    page.addEventListener("wheel", (event) => this.#wheel(event), { passive: false });
  }

  /** Where the page lies on the screen. */
  get box() {
    return (this.kept ??= this.page.getBoundingClientRect());
  }

  /** Metres of a place on the screen. @param {{clientX: number, clientY: number}} event @returns {XY} */
  metres(event) {
    const box = this.box;
    return [(event.clientX - box.left - this.left) / this.scale, (this.top - (event.clientY - box.top)) / this.scale];
  }

  /** Pixels within the drawing of a place in metres. @param {XY} at @returns {XY} */
  pixels([x, y]) {
    return [this.left + x * this.scale, this.top - y * this.scale];
  }

  /** The page has another size: all stays in view where all was, else its middle stays. @param {number} width @param {number} height  pixels more than before */
  resized(width, height) {
    this.kept = null;
    if (this.all) this.fit(this.all);
    else this.shift(width / 2, height / 2);
  }

  /** @param {XY} place @returns {boolean} */
  sees(place) {
    const [x, y] = this.pixels(place);
    const { width, height } = this.box;
    return x > 0 && y > 0 && x < width && y < height;
  }

  /** What is in view, in metres. @returns {import("./drawing.js").View} */
  view() {
    const { width, height } = this.box;
    const { scale, left, top } = this;
    return { x0: -left / scale, x1: (width - left) / scale, y0: (top - height) / scale, y1: top / scale, scale };
  }

  /** How many metres a number of pixels is. @param {number} pixels */
  reach(pixels) {
    return pixels / this.scale;
  }

  /** Everything of an extent in view. @param {[number, number, number, number]} extent */
  fit([x0, y0, x1, y1]) {
    this.kept = null;
    const { width, height } = this.box;
    const [above, room] = [height > 400 ? 100 : 84, 48]; // words stand above the drawing
    this.scale = this.#limited(Math.min((width - 2 * room) / Math.max(x1 - x0, 1), (height - above - room) / Math.max(y1 - y0, 1)));
    this.left = width / 2 - ((x0 + x1) / 2) * this.scale;
    this.top = (height + above - room) / 2 + ((y0 + y1) / 2) * this.scale;
    this.#place();
    this.all = /** @type {[number, number, number, number]} */ ([x0, y0, x1, y1]);
  }

  /** @param {XY} at  metres brought to the middle */
  centre([x, y]) {
    const { width, height } = this.box;
    this.left = width / 2 - x * this.scale;
    this.top = height / 2 + y * this.scale;
    this.#place();
  }

  /** @param {number} dx @param {number} dy  pixels */
  shift(dx, dy) {
    this.left += dx;
    this.top += dy;
    this.#place();
  }

  /** Nearer or further with a place on the screen held fast. @param {number} factor @param {{clientX: number, clientY: number}} [at] */
  near(factor, at) {
    const box = this.box;
    const [px, py] = at ? [at.clientX - box.left, at.clientY - box.top] : [box.width / 2, box.height / 2];
    const scale = this.#limited(this.scale * factor);
    const gain = scale / this.scale;
    this.left = px - (px - this.left) * gain;
    this.top = py - (py - this.top) * gain;
    this.scale = scale;
    this.#place();
  }

  /** @param {number} scale */
  #limited(scale) {
    return Math.min(NEAREST, Math.max(FURTHEST, scale));
  }

  /** @param {WheelEvent} event */
  #wheel(event) {
    event.preventDefault();
    const lines = event.deltaMode === 1 ? 30 : 1;
    this.near(Math.exp((-event.deltaY * lines) / 600), event);
  }

  #place() {
    this.all = undefined;
    this.root.setAttribute("transform", `matrix(${this.scale} 0 0 ${-this.scale} ${this.left} ${this.top})`);
    if (this.sized !== this.scale) this.page.style.setProperty("--one", String(1 / this.scale)); // every mark on the drawing hangs on it
    this.sized = this.scale;
    this.page.dataset.near = this.scale > 60 ? "close" : this.scale > 14 ? "middle" : this.scale > 5 ? "wide" : "far";
    this.moved();
  }
}
