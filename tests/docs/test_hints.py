"""Problems that people meet while typing a job say what to do next."""

from __future__ import annotations

import ast
from pathlib import Path

import palewright

SLUGS = frozenset({
    "axes-swapped", "called-by-run", "file-broken", "file-missing", "gate-size-wrong", "gate-sizes-disagree",
    "length-out-of-range", "post-in-no-hole-zone", "price-unreadable", "profile-turns-back", "profile-wall",
    "quantity-out-of-range", "side-taken-twice", "zero-length-leg",
})  # fmt: skip


def _words(node: ast.expr) -> list[ast.Constant]:
    parts = [node.body, node.orelse] if isinstance(node, ast.IfExp) else [node]
    return [part for part in parts if isinstance(part, ast.Constant)]


def test_every_place_that_raises_one_has_a_hint() -> None:
    without, seen = [], set()
    for path in sorted(Path(palewright.__file__).parent.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and node.args:
                said = {part.value for part in _words(node.args[0])}
                slugs = {word for word in said if isinstance(word, str)} & SLUGS
                seen |= slugs
                hints = [keyword.value for keyword in node.keywords if keyword.arg == "hint"]
                if slugs and not (hints and getattr(hints[0], "value", "said") != ""):
                    without.append(f"{path.name}:{node.lineno} {slugs.pop()}")
    assert seen == SLUGS
    assert not without, "; ".join(without)
