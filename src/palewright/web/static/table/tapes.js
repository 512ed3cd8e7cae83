/** What was measured, typed beside the drawing. */

const TOOLS = ["", "steel tape", "long fibreglass", "wheel", "hand laser", "pacing"];

/** @param {{job: import("./job.js").Job, ask: import("./ask.js").Ask, words: (key: string, values?: Record<string, string>) => string, sight: () => import("./types.js").Sight | null}} at */
export function tapesOf({ job, ask, words, sight }) {
  /** @param {import("./types.js").TapeLine} tape */
  async function change(tape) {
    const reads = await ask({ title: words("ask_tape_again", { what: tape.what }), value: tape.reads });
    if (reads) await job.save([{ kind: "tape", about: tape.id, points: [], reads }]);
  }

  /** A new tape; both ends may be typed: a name that is new waits for more tapes. @param {string[]} [points] */
  async function measure(points = ["", ""]) {
    const ends = (sight()?.items ?? []).filter((item) => ["point", "corner"].includes(item.kind));
    const names = ends.map((item) => item.id.slice(item.kind.length + 1));
    const tools = TOOLS.map((value) => ({ value, text: words(`with_${value.replace(" ", "_") || "unsaid"}`) }));
    const suggest = [...new Set([...points, ...names])].filter(Boolean);
    const asked = await ask({
      title: words("ask_new_tape"),
      say: words("tape_say"),
      fields: [
        { key: "first", label: words("tape_first"), value: points[0], suggest },
        { key: "second", label: words("tape_second"), value: points[1], suggest },
        { key: "reads", label: words("tapes_reads"), value: "", hint: words("tape_example") },
        { key: "with", label: words("tape_with"), value: "", choices: tools },
      ],
    });
    if (!asked?.reads) return;
    if (await job.save([{ kind: "tape", points: [asked.first, asked.second], reads: asked.reads, with: asked.with }])) open();
  }

  return { change, measure };
}

/** The list is seen when something was added to it. */
function open() {
  const part = document.getElementById("tapes-part");
  if (part instanceof HTMLDetailsElement) part.open = true;
}
