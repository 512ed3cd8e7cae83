"""The page ``docs/kinds.md``: every kind of fence, key by key, from the data files themselves."""

from __future__ import annotations

from palewright.tables.gates import gate_allowances
from palewright.tables.loader import KeySpec, kind_names, kind_table

__all__ = ["kinds_page"]

_HEAD = """\
# Kinds of fence

Generated from the data files in `src/palewright/tables/kinds/` by `palewright.tables.kinds_page()`; a test fails when
this page and the data differ. Every default has its source beside it: a key of the ledger (`docs/sources.md`),
"common practice" or "from memory". A number from memory is a number on trust: check it before you build by it.

## How a fence uses a kind

```yaml
fences:
  privacy: {kind: boards, board: 6 ft, bottom gap: 2 in, longest bay: 8 ft, rails: 3, good side: neighbour,
            post: {line: 4x4, gate: 6x6}, hole: {line: 10 in}}
```

Every key below may be laid over. A key with a dot may be written as a table (`hole: {line: 10 in}` is `hole.line`).
What the program works out and nobody types:

- **Height**, ground to highest part: bottom gap + boards, panel or fabric + reveal, cap or cap board. The papers
  print the sum.
- **Tops of posts**: wood and panel posts at the top of the infill and the reveal above it; chain link terminals above
  the fabric, line posts below it.
- **Faces**: how far the fence stands out from the line of post centres on each side. Rails on the face of the posts
  lie on the good side, the boards outside them: half the post + rail + board. A thicker gate or corner post may stand
  out further.
- **Good side**: must be said where the two faces differ: boards of every pattern but `both sides`, and rails on the
  face.
- **Holes**: the deepest of the kind's least depth, the share of the whole post in the ground, and frost where it is
  given; `hole.depth` goes before them, and what it falls short of is printed. The footing reaches the frost depth;
  gravel under it does not count (the stricter reading; local code decides).

## A firm's own kind

A data file, no code. It names the kind that it is based on and lays values over it; lengths as on a tape. The job names
the file, beside the job file: `kind file: our-boards.toml` (with `kind: boards`).

```toml
name = "our boards"
"based on" = "boards"

[values]
board = "5' 6\\""
"board size" = "1x6"
rails = 3
"post cap" = true

[values.hole]
line = "12 in"
```

## Sources that disagree

Both are offered and the papers print which was used: holes of chain link (`hole rule`: `f567` or `leaflet`), ties
(`tie rule`), tension bands (`band rule`), concrete round wood (`hole.fill`), equal bays or full bays and a short one (a
choice of the run).
"""


def kinds_page() -> str:
    """The whole page as Markdown.

    >>> "## boards" in kinds_page()
    True
    """
    lines = [_HEAD]
    for name in kind_names():
        table = kind_table(name)
        lines += [f"## {name}", "", f"{table.about} Posts from the table of {table.posts}.", ""]
        lines += ["| key | default | allowed | source | what it is |", "|---|---|---|---|---|"]
        lines += [_row(entry) for entry in table.keys.values()]
        lines.append("")
    lines += ["## Hardware allowances of gates", "", "Opening, post face to post face, minus the leaves.", ""]
    lines += ["| kind | one leaf | two leaves | source | note |", "|---|---|---|---|---|"]
    for allowance in gate_allowances().values():
        one, two = (f"{round(value / 0.0254, 4):g} in" for value in (allowance.single_m, allowance.double_m))
        lines.append(f"| `{allowance.kind}` | {one} | {two} | {allowance.source} | {allowance.note} |")
    return "\n".join(lines) + "\n"


def _row(entry: KeySpec) -> str:
    return f"| `{entry.name}` | {entry.printed} | {_allowed(entry)} | {entry.source} | {entry.doc} |"


def _allowed(entry: KeySpec) -> str:
    if entry.allowed:
        return ", ".join((*entry.allowed, "none") if entry.optional else entry.allowed)
    if entry.type == "flag":
        return "yes, no"
    if entry.least is None or entry.most is None:
        return ""
    scale = {"in": 0.0254, "ft": 0.3048}.get(entry.unit, 1.0)
    low, high = (f"{round(value / scale, 4):g}" for value in (entry.least, entry.most))
    return f"{low} to {high} {entry.unit}".strip()
