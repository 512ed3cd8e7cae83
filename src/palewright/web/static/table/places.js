/**
 * How much room there is round each post: how far the next one stands.
 * @typedef {import("./types.js").XY} XY
 */

const CELL_M = 4; // what stands further off has all the room that a mark can use
const BESIDE_M = 0.4; // what stands nearer is seen as the same mark from far

/** @param {XY} at @param {number} [dx] @param {number} [dy] */
const cell = ([x, y], dx = 0, dy = 0) => `${Math.floor(x / CELL_M) + dx} ${Math.floor(y / CELL_M) + dy}`;

export class Places {
  constructor() {
    /** @type {Map<string, Set<XY>>} */
    this.cells = new Map();
  }

  /** @param {XY} at */
  add(at) {
    const key = cell(at);
    this.cells.set(key, (this.cells.get(key) ?? new Set()).add(at));
  }

  /** @param {XY} at */
  remove(at) {
    this.cells.get(cell(at))?.delete(at);
  }

  /** Metres to the nearest other one. @param {XY} at */
  room(at) {
    let least = CELL_M;
    for (const dx of [-1, 0, 1])
      for (const dy of [-1, 0, 1])
        for (const [x, y] of this.cells.get(cell(at, dx, dy)) ?? []) {
          const far = Math.hypot(x - at[0], y - at[1]);
          if (far > BESIDE_M && far < least) least = far;
        }
    return least;
  }
}

/** The one in the middle. @param {number[]} values */
export const median = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? CELL_M;
