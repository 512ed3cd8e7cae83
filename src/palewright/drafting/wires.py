"""Runs of wire: their stretches on the plan, one of them from the side, and the line posts of a place."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from palewright.drafting.sight_records import Elevation, ElevationBay, ElevationPost, Item
from palewright.drafting.speech import Speech
from palewright.drafting.things import Things
from palewright.model import LinePlan, Plan, Stretch
from palewright.plane import XY, path_place, path_stations
from palewright.record import Record

__all__ = ["LinePostSeen", "line_post_id", "posts_near", "stretch_items", "stretch_side"]

_MOST = 4000
"""More posts in one view than anybody can tell apart."""
_NEAR_M = 0.01


class LinePostSeen(Record):
    """A line post where somebody looks: its id, its place [m], and the stretch that it stands in."""

    id: str
    centre: XY
    about: str


def stretch_items(line: LinePlan, things: Things, speech: Speech) -> Iterator[Item]:
    """Every stretch of equal bays, and every gate, along its run."""
    at = path_stations(line.path)
    about = f"run {line.run}"
    for one in line.stretches:
        yield Item(
            f"stretch {line.run} {one.number}", "stretch", "fence", about=about, path=things.path(about),
            text=speech("item.stretch_bays", bays=one.bays, spacing=speech.length(one.spacing_m)),
            say=_said(line, one, speech), marks=("wire",), points=_way(line, at, one.from_m, one.to_m),
        )  # fmt: skip
    for gate in line.gates:
        name, opening = f"gate {gate.name}", speech.length(gate.opening_m)
        said = speech("item.wire_gate", name=gate.name, opening=opening, run=line.run)
        yield Item(
            name, "gate", "fence", about=about, path=things.path(name), text=f"{gate.name} {opening}", say=said,
            marks=("wire",), points=_way(line, at, gate.from_m, gate.to_m), drag="along",
        )  # fmt: skip


def _way(line: LinePlan, at: list[float], start: float, end: float) -> tuple[XY, ...]:
    """The path of a run from one level station to another [m]."""
    inner = line.path[bisect_right(at, start + _NEAR_M) : bisect_left(at, end - _NEAR_M)]
    return (path_place(line.path, at, start), *inner, path_place(line.path, at, end))


def _table(line: LinePlan) -> Any:
    from palewright.layout.line_posts import post_table
    from palewright.layout.line_records import relaid

    return post_table(relaid(line), line.rules, line.moves)


def line_post_id(run: str, number: int) -> str:
    """The id of a line post: its number along the run, counted with all posts of the run, as in the table of posts.

    >>> line_post_id("north", 7)
    'line post north 7'
    """
    return f"line post {run} {number}"


def posts_near(plan: Plan, box: tuple[float, float, float, float]) -> dict[str, list[LinePostSeen]]:
    """Line posts of wood and of steel in a box [m]; none where they are too many to be told apart."""
    from palewright.layout.line import Role

    kinds = {"steel": (Role.STEEL,), "wood": (Role.WOOD, Role.STIFF, Role.LOW, Role.HIGH)}
    found: dict[str, list[LinePostSeen]] = {name: [] for name in kinds}
    x0, y0, x1, y1 = box
    for line in plan.lines:
        table = _table(line)
        starts = [one.from_m - _NEAR_M for one in line.stretches]
        within = (table["x_m"] >= x0) & (table["x_m"] <= x1) & (table["y_m"] >= y0) & (table["y_m"] <= y1)
        for name, roles in kinds.items():
            chosen = within & sum(table["role"] == role for role in roles).astype(bool)
            for k in chosen.nonzero()[0][: _MOST + 1].tolist():
                after = bisect_right(starts, float(table["station_m"][k]))
                about = f"stretch {line.run} {line.stretches[after - 1].number}" if after else f"run {line.run}"
                place = (round(float(table["x_m"][k]), 3), round(float(table["y_m"][k]), 3))
                found[name].append(LinePostSeen(line_post_id(line.run, k + 1), place, about))
    return found if sum(map(len, found.values())) <= _MOST else {name: [] for name in kinds}


def stretch_side(plan: Plan, about: str, language: str = "en") -> Elevation | None:
    """One stretch of wire from the side ("stretch north 3"); None where there is no such thing."""
    name, _, number = about.removeprefix("stretch ").rpartition(" ")
    for line in plan.lines:
        for one in line.stretches:
            if line.run == name and str(one.number) == number:
                return _side(line, one, about, Speech(plan.settings, language))
    return None


def _side(line: LinePlan, one: Stretch, about: str, speech: Speech) -> Elevation:
    table = _table(line)
    first = int(table["station_m"].searchsorted(one.from_m - _NEAR_M))
    rows = table[first : int(table["station_m"].searchsorted(one.to_m + _NEAR_M, "right"))]
    base = float(rows["ground_m"].min())
    top = _top(line, float((rows["length_m"] - rows["depth_m"]).min()))
    posts = tuple(_posts(line, one, first, rows, speech))
    bays = tuple(
        ElevationBay(f"line bay {about} {k}", a.at, b.at, (a.ground, b.ground), (a.ground + top, b.ground + top),
                     text=speech.length(b.at - a.at))
        for k, (a, b) in enumerate(pairwise(posts))
    )  # fmt: skip
    ground = tuple((s - one.from_m, z - base) for s, z in _ground(line, one, rows))
    low = min(*(post.foot for post in posts), *(z for _, z in ground))
    high = max(post.top for post in posts)
    length = one.to_m - one.from_m
    return Elevation(line.run, about, "", "", (), length, line.profile is None, (0.0, low, length, high), ground, (),
                     bays, posts, _said(line, one, speech))  # fmt: skip


def _posts(line: LinePlan, one: Stretch, first: int, rows: Any, speech: Speech) -> Iterator[ElevationPost]:
    """The posts of a stretch, after so many of its run; those of assemblies with the ids that they have on the plan."""
    from palewright.layout.line import NAMES
    from palewright.layout.line_sizes import post_width

    braced = {round(p.station_m, 2): f"post {p.label} of {line.run}" for part in line.assemblies for p in part.posts}
    base = float(rows["ground_m"].min())
    for k, row in enumerate(rows, first + 1):
        station, ground, role = float(row["station_m"]), float(row["ground_m"]) - base, NAMES[int(row["role"])]
        length, foot = float(row["length_m"]), ground - float(row["depth_m"])
        said = speech("item.line_post", role=speech(f"wire.{role}"), length=speech.length(length),
                      station=speech.length(station))  # fmt: skip
        yield ElevationPost(
            braced.get(round(station, 2), line_post_id(line.run, k)), station - one.from_m,
            post_width(line.rules, role) / 2.0, ground, foot + length, foot, None if role == "steel" else foot, said,
        )  # fmt: skip


def _said(line: LinePlan, one: Stretch, speech: Speech) -> str:
    return speech("item.stretch", number=one.number, run=line.run, start=one.start, end=one.end, bays=one.bays,
                  spacing=speech.length(one.spacing_m), wood=one.wood, steel=one.steel)  # fmt: skip


def _top(line: LinePlan, least: float) -> float:
    """Height of the top wire over the ground [m], where the rules say it; else what all posts reach."""
    rows = [height for rule in line.rules.rules for height in rule.row]
    said = max(rows) if rows else line.rules.number("top least") or line.rules.number("mesh")
    return min(said, least) if said else least


def _ground(line: LinePlan, one: Stretch, rows: Any) -> list[tuple[float, float]]:
    """Stations and heights of the ground: at the posts, and wherever else it is known."""
    spots = {float(row["station_m"]): float(row["ground_m"]) for row in rows}
    if line.profile is not None:
        pairs = zip(line.profile.stations_m, line.profile.heights_m, strict=True)
        spots |= {s: z for s, z in pairs if one.from_m <= s <= one.to_m}
    return sorted(spots.items())
