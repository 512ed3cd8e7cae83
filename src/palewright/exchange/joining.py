"""Lines and arcs drawn one by one, joined end to end into lines and rings."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from palewright.model import DrawnPath
from palewright.plane import XY, distance
from palewright.record import Record

__all__ = ["Piece", "join_pieces"]


class Piece(Record):
    """An open line: its points, and (side, sweep) of sides that are arcs."""

    points: tuple[XY, ...]
    arcs: tuple[tuple[int, float], ...] = ()
    layer: str = ""

    def turned(self) -> Piece:
        """The same line, run the other way."""
        last = len(self.points) - 2
        return Piece(self.points[::-1], tuple((last - side, -sweep) for side, sweep in reversed(self.arcs)), self.layer)


def join_pieces(pieces: Iterable[Piece], slack: float) -> tuple[list[DrawnPath], int]:
    """Pieces of a layer joined where exactly two ends meet; what comes back to its beginning is a ring.

    slack
        ends that are no farther apart meet, in the units of the pieces.
    Returns the paths in the order of their first pieces, and how many places have three ends or more (there nothing is
    joined). Pieces without length are dropped.
    """
    rows = [piece for piece in pieces if any(distance(piece.points[0], xy) > slack for xy in piece.points[1:])]
    ends = _Ends(rows, slack)
    done: set[int] = set()
    made: list[DrawnPath] = []
    for first, piece in enumerate(rows):
        if first in done:
            continue
        done.add(first)
        chain, closed = [piece], ends.node(first, 0) == ends.node(first, 1)
        if not closed:
            closed = _grow(rows, ends, first, done, chain)
        made.append(_path(chain, closed))
    return made, ends.branches()


class _Ends:
    """Which ends of which pieces meet: every end has a node."""

    def __init__(self, rows: Sequence[Piece], slack: float) -> None:
        self._nodes: list[tuple[int, int]] = []
        self._at: dict[int, list[tuple[int, int]]] = {}
        cells: dict[tuple[tuple[int, int], str], list[tuple[XY, int]]] = {}
        size = max(2.0 * slack, 1e-12)
        for number, piece in enumerate(rows):
            pair = []
            for side, xy in enumerate((piece.points[0], piece.points[-1])):
                node = self._find(cells, xy, piece.layer, slack, size)
                self._at.setdefault(node, []).append((number, side))
                pair.append(node)
            self._nodes.append((pair[0], pair[1]))

    def _find(
        self, cells: dict[tuple[tuple[int, int], str], list[tuple[XY, int]]], xy: XY, layer: str, slack: float,
        size: float,
    ) -> int:  # fmt: skip
        cx, cy = math.floor(xy[0] / size), math.floor(xy[1] / size)
        for dx in (-1, 0, 1):
            for dy in (-1, 0, 1):
                for known, node in cells.get(((cx + dx, cy + dy), layer), ()):
                    if distance(known, xy) <= slack:
                        return node
        node = len(self._at)
        cells.setdefault(((cx, cy), layer), []).append((xy, node))
        self._at[node] = []
        return node

    def node(self, number: int, side: int) -> int:
        return self._nodes[number][side]

    def next(self, number: int, side: int) -> tuple[int, int] | None:
        """The only other end at the node of this end."""
        here = self._at[self.node(number, side)]
        if len(here) != 2:
            return None
        return here[1] if here[0] == (number, side) else here[0]

    def branches(self) -> int:
        return sum(len(ends) > 2 for ends in self._at.values())


def _grow(rows: Sequence[Piece], ends: _Ends, first: int, done: set[int], chain: list[Piece]) -> bool:
    """Lengthen a chain at its end, then at its beginning; True when it came back to its beginning."""
    before: list[Piece] = []
    for forward in (True, False):
        number, side = first, 1 if forward else 0
        while True:
            after = ends.next(number, side)
            if after is None:
                break
            number, near = after
            if number == first:
                return True
            if number in done:
                break
            done.add(number)
            piece = rows[number]
            if forward:
                chain.append(piece if near == 0 else piece.turned())
            else:
                before.append(piece if near == 1 else piece.turned())
            side = 1 - near
    chain[:0] = reversed(before)
    return False


def _path(chain: Sequence[Piece], closed: bool) -> DrawnPath:
    points: list[XY] = list(chain[0].points)
    arcs = list(chain[0].arcs)
    for piece in chain[1:]:
        shift = len(points) - 1
        arcs += [(side + shift, sweep) for side, sweep in piece.arcs]
        points += piece.points[1:]
    if closed:
        points.pop()
    return DrawnPath("", tuple(points), closed, chain[0].layer, tuple(arcs))
