/**
 * What the drawing table is told: the Sight of docs/screen.md, as types for editors and readers. Nothing runs here.
 *
 * @typedef {[number, number]} XY  metres, x to the right, y up
 *
 * @typedef {object} Item
 * @property {string} id  the plan's own label: "post 12", "run rear"
 * @property {string} kind
 * @property {string} layer
 * @property {string} [about]  id of the thing it belongs to
 * @property {string} [path]  key path in the job file
 * @property {string} [text]  written on the drawing
 * @property {string} [say]  one sentence for a tooltip and for a screen reader
 * @property {string[]} [marks]
 * @property {XY[]} [points]
 * @property {boolean} [closed]
 * @property {{radius: number, left: boolean, large: boolean}} [arc]
 * @property {XY} [centre]
 * @property {number} [radius]
 * @property {number} [half]
 * @property {number} [width]
 * @property {number} [depth]
 * @property {number} [axis]  degrees
 * @property {XY[][]} [rings]
 * @property {XY[]} [spots]
 * @property {string} [drag]
 * @property {string} [why]  why it cannot be dragged
 *
 * @typedef {object} Bay
 * @property {string} id
 * @property {number} from
 * @property {number} to
 * @property {[number, number]} bottom
 * @property {[number, number]} top
 * @property {string} mode
 * @property {string} text
 * @property {{at: number, z0: number, z1: number, text: string}} [gap]
 * @property {string[]} [breaks]
 * @property {string} [gate]
 *
 * @typedef {object} SidePost
 * @property {string} id
 * @property {number} at
 * @property {number} half
 * @property {number} ground
 * @property {number} top
 * @property {number} foot
 * @property {number} [hole]
 * @property {string} text
 * @property {string} [step]
 *
 * @typedef {object} Elevation
 * @property {string} run
 * @property {string} about
 * @property {string} [path]
 * @property {string} follows
 * @property {{value: string, text: string}[]} choices
 * @property {number} length  metres
 * @property {boolean} level
 * @property {[number, number, number, number]} extent  station, height, station, height [m]
 * @property {XY[]} ground
 * @property {XY[]} [unknown]
 * @property {Bay[]} bays
 * @property {SidePost[]} posts
 * @property {string} say
 *
 * @typedef {object} Notice
 * @property {string} slug
 * @property {"problem"|"caution"|"ask"|"assumption"|"note"} level
 * @property {string} text
 * @property {string} [about]
 * @property {string} [path]
 * @property {number} [line]
 * @property {string} [found]
 * @property {string} [allowed]
 * @property {string} [hint]
 * @property {string} [language]  of the text, where it is not that of the page
 * @property {string} [answer]  key path of the value that answers it, or "locate"
 *
 * @typedef {object} TapeLine
 * @property {string} id
 * @property {number} number
 * @property {string} path
 * @property {string} kind
 * @property {string[]} points
 * @property {string} what
 * @property {string} reads
 * @property {string} tool
 * @property {string} off
 * @property {"fits"|"off"|"doubted"|"unchecked"|"not used"} state
 * @property {string} say
 * @property {string} [guess]
 *
 * @typedef {object} RunCount
 * @property {string} about
 * @property {string} name
 * @property {string} fence
 * @property {string} length
 * @property {number} posts
 * @property {number} gates
 * @property {string} binding
 * @property {string} binding_text
 *
 * @typedef {object} Counts
 * @property {string} fence
 * @property {number} fence_m
 * @property {number} posts
 * @property {number} holes
 * @property {number} gates
 * @property {number} bays
 * @property {string} longest
 * @property {string} binding
 * @property {RunCount[]} runs
 *
 * @typedef {object} Sight
 * @property {number} version
 * @property {boolean} whole
 * @property {string} title
 * @property {string} language
 * @property {string} print  how lengths are written: "feet-inches", "decimal-feet" or "metric"
 * @property {boolean} north
 * @property {[number, number, number, number]} extent
 * @property {{m: number, text: string}[]} bars
 * @property {Item[]} items
 * @property {Elevation[]} elevations
 * @property {Notice[]} notices
 * @property {Counts} counts
 * @property {{lines: {what: string, was: string, now: string, text: string}[], moved: string[], new: string[], gone: string[]}} [difference]
 * @property {TapeLine[]} tapes
 * @property {{text: string, points: string[], kind: string}[]} next
 * @property {{path: string, line: number, text: string, hurts: boolean}[]} asks
 * @property {string[]} assumed
 *
 * @typedef {Partial<Omit<Sight, "items">> & {items: Partial<Item>[], gone: string[]}} Change
 *
 * @typedef {object} Snap
 * @property {XY} at
 * @property {string} to
 * @property {string} text
 * @property {string} length
 * @property {string} [about]
 * @property {string} [inside]  the inset that it keeps, as it would be typed
 */

export {};
