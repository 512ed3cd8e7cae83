"""A whole Plan built by hand with simple loops: an invented yard for developing drawings and papers.

Nothing here checks anything: the numbers are plausible, not authoritative. The engine's own plans come from
``examples/``.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

from palewright.errors import Where
from palewright.model import (
    Bay,
    Closure,
    Corner,
    CornerCheck,
    Course,
    Crossing,
    Design,
    DigItem,
    Gate,
    Hole,
    HoleRule,
    Item,
    Kind,
    Leg,
    LineStatus,
    LocateSheet,
    LocateSpec,
    Mark,
    Move,
    Plan,
    Post,
    PostSize,
    RackRule,
    Reason,
    Remark,
    Removal,
    Ring,
    Run,
    Settings,
    Site,
    SitePoint,
    Stake,
    Stakeout,
    StringLine,
    TakeOff,
    Tie,
    Zone,
    ZoneHit,
)
from palewright.plane import add, along, azimuth, cross, distance, dot, left_of, line_meet, project, scale, sub, unit

FT = 0.3048
IN = 0.0254
XY = tuple[float, float]


def ft(x: float, y: float) -> XY:
    """A point given in feet."""
    return (x * FT, y * FT)


A, B, C, D = ft(1.0, 66.0), ft(1.0, 129.0), ft(91.0, 129.0), ft(90.2, 68.0)
WALL = ft(65.0, 68.0)
GAS = (ft(30.0, 72.0), ft(33.0, 128.2), ft(33.5, 140.0))
POST = 3.5 * IN
GATE_POST = 5.5 * IN
LONGEST = 8 * FT
OFFSET = 2 * FT
BEYOND = 3 * FT


def _kind() -> Kind:
    line, gate = (
        PostSize("4x4", POST, POST, False, (8 * FT, 9 * FT, 10 * FT), 4.1, "from memory"),
        PostSize("6x6", GATE_POST, GATE_POST, False, (8 * FT, 10 * FT), 9.8, "from memory"),
    )
    hole = HoleRule(10 * IN, 30 * IN, 4 * IN, 1 / 3, "concrete", "common practice")
    gate_hole = replace(hole, diameter_m=14 * IN)
    return Kind(
        name="privacy",
        kind="boards",
        family="boards",
        pattern="solid",
        good_side="neighbour",
        two_faced=True,
        height_m=74 * IN,
        height_words=(("bottom gap", 2 * IN), ("board", 72 * IN)),
        bottom_gap_m=2 * IN,
        infill_m=72 * IN,
        top_m=74 * IN,
        longest_m=LONGEST,
        shortest_m=LONGEST / 3,
        module_m=None,
        front_m=POST / 2 + 2.125 * IN,
        back_m=POST / 2,
        posts=(("line", line), ("end", line), ("corner", line), ("gate", gate)),
        post_top_m=(("line", 74 * IN), ("gate", 74 * IN)),
        holes=(("line", hole), ("gate", gate_hole)),
        rails=3,
        rail_heights_m=(10 * IN, 38 * IN, 66 * IN),
        rail_stock_m=16 * FT,
        board_width_m=5.5 * IN,
        board_gap_m=0.0,
        board_overlap_m=0.0,
        rack=RackRule(12 * IN, 8 * FT, "from memory"),
        values=(("board", 72 * IN), ("bottom gap", 2 * IN), ("rails", 3), ("post.gate", "6x6")),
        sources=(("board", "as typed"), ("rails", "as typed")),
    )


def _fixed(length: float, gates: list[tuple[str, float, float, int]]) -> list[tuple[float, str, str]]:
    """Stations of a leg's posts: (station, role, what the bay before it is)."""
    marks: list[tuple[float, str, str]] = [(0.0, "fixed", "")]
    for name, start, opening, _ in gates:
        for station, kind in ((start - GATE_POST / 2, "fence"), (start + opening + GATE_POST / 2, name)):
            marks.append((station, "gate", kind))
    marks.append((length, "fixed", "fence"))
    out = [marks[0]]
    for before, after in itertools.pairwise(marks):
        if after[2] == "fence":
            bays = math.ceil((after[0] - before[0]) / LONGEST - 1e-9)
            step = (after[0] - before[0]) / bays
            out += [(before[0] + step * k, "line", "fence") for k in range(1, bays)]
        out.append(after)
    return out


def _hole(role: str, xy: XY) -> Hole:
    diameter = (14 if role == "gate" else 10) * IN
    best = min(_segment(xy, a, b) for a, b in itertools.pairwise(GAS))
    clear = best - diameter / 2 - (0.5 + 24) * IN
    near = clear < 1.0
    hits = (ZoneHit("gas service", "hand dig", clear, "gas"),) if near else ()
    return Hole(diameter, 37 * IN, 4 * IN, 33 * IN, "third", "concrete", clear < 0, hits)


def _segment(p: XY, a: XY, b: XY) -> float:
    d = sub(b, a)
    k = min(1.0, max(0.0, dot(sub(p, a), d) / dot(d, d)))
    return distance(p, (a[0] + d[0] * k, a[1] + d[1] * k))


def _design() -> Design:
    corners = [A, B, C, D, WALL]
    plans = [
        ("rear", [("side", 14.0 * FT, 4 * FT, 1)]),
        ("rear", []),
        ("rear", [("drive", 20.0 * FT, 10 * FT, 2)]),
        ("house side", []),
    ]
    posts: list[Post] = []
    bays: list[Bay] = []
    gates: list[Gate] = []
    legs: list[Leg] = []
    offset = 0.0
    for index, (run, leg_gates) in enumerate(plans):
        start, end = corners[index], corners[index + 1]
        if run == "house side":
            offset = 0.0
        length = distance(start, end)
        d = unit(sub(end, start))
        labels, numbers = [], []
        for k, (station, what, before) in enumerate(_fixed(length, leg_gates)):
            xy = add(start, scale(d, station))
            last = k > 0 and what == "fixed"
            if k == 0 and index > 0:
                posts[-1] = replace(
                    posts[-1],
                    places=(*posts[-1].places, *([(run, 0.0)] if run == "house side" else [])),
                    legs=(*posts[-1].legs, index),
                    role="corner",
                )
            elif last and index == 3:
                posts.append(_post("W1", 0, "end", xy, d, run, offset + station, index))
            else:
                role = {"fixed": "corner" if last else "end"}.get(what, what)
                posts.append(_post(str(len(posts) + 1), len(posts) + 1, role, xy, d, run, offset + station, index))
            labels.append(posts[-1].label)
            if before:
                number = len(bays) + 1
                numbers.append(number)
                a, b = posts[-2], posts[-1]
                span = distance(a.xy, b.xy)
                clear = span - a.width_m / 2 - (b.width_m / 2 if b.number else 0.0)
                kind = "fence" if before == "fence" else "gate"
                bays.append(Bay(number, run, index, a.label, b.label, span, clear, kind, "privacy"))
                if kind == "gate":
                    leaves = next(g[3] for g in leg_gates if g[0] == before)
                    gates.append(_gate(before, run, index, number, a, b, clear, leaves, d))
        legs.append(
            Leg(
                index,
                run,
                "privacy",
                start,
                end,
                azimuth(start, end),
                length,
                offset,
                tuple(labels),
                tuple(numbers),
                "right",
                "neighbour",
                "longest bay 8 ft",
                "enumeration",
            )
        )
        offset += length
    posts = [_with_move(p, k, posts) for k, p in enumerate(posts)]
    rear = sum(leg.length_m for leg in legs[:3])
    runs = (
        Run("rear", "privacy", (0, 1, 2), rear, rear - 14 * FT, False, "racked", True, 30 * IN, True),
        Run("house side", "privacy", (3,), legs[3].length_m, legs[3].length_m, False, "racked", True, None, True),
    )
    remarks = (
        Remark("level-ground-assumed", "assumption", "run rear", (("run", "rear"), ("fall_m", 30 * IN))),
        Remark("level-ground-assumed", "assumption", "run house side", (("run", "house side"),)),
        Remark("frost-not-given", "ask", "holes"),
    )
    reasons = (
        Reason("leg 0", "bays", 7, "count", "smallest n with length / n <= longest bay", (("length", 19.2),)),
        Reason(
            "hole line", "depth", 37 * IN, "m", "max(kind, third) + gravel", (("above", 74 * IN),), "common practice"
        ),
    )
    return Design(runs, tuple(legs), tuple(posts), tuple(bays), tuple(gates), remarks, reasons)


def _post(label: str, number: int, role: str, xy: XY, d: XY, run: str, station: float, leg: int) -> Post:
    width = GATE_POST if role == "gate" else POST
    hole = _hole(role, xy) if number else None
    above = 74 * IN
    return Post(
        label,
        number,
        role,
        xy,
        "privacy",
        "6x6" if role == "gate" else "4x4",
        width if number else 1.5 * IN,
        width,
        False,
        math.atan2(d[1], d[0]),
        above,
        above + 33 * IN if number else above,
        9 * FT if number else 0.0,
        hole,
        ((run, station),),
        (leg,),
        None,
        (("face", 8 * IN), ("post", 9.5 * IN), ("footing", 7 * IN)),
        label == "10",
        math.pi / 2 if role == "corner" else 0.0,
    )


def _with_move(post: Post, k: int, posts: list[Post]) -> Post:
    if post.role != "line":
        return replace(post, move=Move(0.0, "fixed", 0.0, "fixed"))
    back = max(0.0, LONGEST - distance(post.xy, posts[k + 1].xy))
    on = max(0.0, LONGEST - distance(post.xy, posts[k - 1].xy))
    stop = "zone gas service" if post.hole is not None and post.hole.hits else "bay"
    return replace(post, move=Move(back, "bay", on, stop))


def _gate(name: str, run: str, leg: int, bay: int, a: Post, b: Post, opening: float, leaves: int, d: XY) -> Gate:
    allowance = (1.25 if leaves == 1 else 2.5) * IN
    leaf = (opening - allowance) / leaves
    n = scale(left_of(d), -1.0)
    hinges, swings = [], []
    ends = [(a, 1.0)] if leaves == 1 else [(a, 1.0), (b, -1.0)]
    for post, sign in ends:
        hinge = add(post.xy, scale(d, sign * post.width_m / 2))
        fan = [
            add(hinge, add(scale(d, sign * leaf * math.cos(t)), scale(n, leaf * math.sin(t))))
            for t in (math.radians(7.5 * k) for k in range(13))
        ]
        hinges.append(hinge)
        swings.append((hinge, *fan))
    return Gate(
        name,
        run,
        leg,
        bay,
        opening,
        leaf,
        leaves,
        allowance,
        "common practice",
        (a.label, b.label),
        tuple(post.label for post, _ in ends),
        (b.label,) if leaves == 1 else ("", ""),
        "yard",
        tuple(hinges),
        tuple(swings),
        74 * IN,
        "privacy",
    )


def _strings(design: Design) -> tuple[StringLine, ...]:
    lines = []
    for leg in design.legs:
        d = unit(sub(leg.end, leg.start))
        lines.append((add(leg.start, scale(left_of(d), -OFFSET)), d, leg))
    posts = {p.label: p for p in design.posts}
    out = []
    for k, (origin, d, leg) in enumerate(lines):
        zero_at, end_at = 0.0, leg.length_m
        if k > 0:
            hit = line_meet(origin, d, lines[k - 1][0], lines[k - 1][1])
            assert hit is not None
            zero_at = hit[0]
        if k < 3:
            hit = line_meet(origin, d, lines[k + 1][0], lines[k + 1][1])
            assert hit is not None
            end_at = hit[0]
        low, high = zero_at - BEYOND - OFFSET, (end_at if k == 3 else end_at + BEYOND + OFFSET)
        zero_xy = add(origin, scale(d, zero_at))
        tape_zero = min(zero_at, 0.0)
        marks, last = [], 0.0
        for n, label in enumerate(leg.posts):
            at, _ = project(posts[label].xy, leg.start, leg.end)
            reads = at - tape_zero
            gap, face = reads - last if n else 0.0, OFFSET - posts[label].depth_m / 2
            marks.append(Mark(label, reads, 0, reads, gap, posts[label].role, face_m=face))
            last = reads
        stakes = (
            Stake(f"S{2 * k + 1}", add(origin, scale(d, low)), zero_at - low),
            Stake(f"S{2 * k + 2}", add(origin, scale(d, high)), high - end_at, "zone gas service" if k == 1 else ""),
        )
        out.append(
            StringLine(
                f"{leg.run} {k + 1}",
                k,
                leg.run,
                "yard",
                OFFSET,
                OFFSET - POST / 2,
                stakes,
                high - low,
                "crossing" if k else "stake line",
                f"{lines[k - 1][2].run} {k}" if k else "",
                zero_xy,
                zero_at - tape_zero,
                0.0 - tape_zero,
                end_at - tape_zero,
                "wall" if k == 3 else f"string {k + 2}",
                tuple(marks),
                (),
                (),
                stakes[0].xy,
                stakes[1].xy,
            )
        )
    return tuple(out)


def _stakeout(design: Design) -> Stakeout:
    strings = _strings(design)
    crossings, checks = [], []
    for k in range(3):
        one, two = strings[k], strings[k + 1]
        post = design.legs[k].posts[-1]
        d1 = unit(sub(design.legs[k].end, design.legs[k].start))
        d2 = unit(sub(design.legs[k + 1].end, design.legs[k + 1].start))
        angle = math.pi - abs(math.atan2(cross(d1, d2), dot(d1, d2)))
        crossings.append(Crossing((one.name, two.name), post, two.zero_xy, (one.end_reads_m, two.zero_reads_m), angle))
        legs = (9 * FT, 12 * FT)
        diagonal = math.sqrt(legs[0] ** 2 + legs[1] ** 2 - 2 * legs[0] * legs[1] * math.cos(angle))
        checks.append(
            CornerCheck(
                post,
                (one.name, two.name),
                angle,
                "3-4-5 by 3" if k == 0 else "chord",
                legs,
                diagonal,
                1 / 8 * IN,
                k == 0,
            )
        )
    posts = {p.label: p for p in design.posts}
    ends = [leg.posts[0] for leg in design.legs] + [design.legs[-1].posts[-1]]
    ties = tuple(
        Tie(a, b, distance(posts[a].xy, posts[b].xy), 0.5 * IN, why)
        for a, b, why in (
            (ends[0], ends[2], "diagonal"),
            (ends[1], ends[3], "diagonal"),
            (ends[0], ends[4], "tie"),
            (ends[1], ends[2], "overall"),
        )
    )
    return Stakeout(
        strings,
        tuple(crossings),
        tuple(checks),
        ties,
        ("corners", "square", "diagonals", "strings", "gates", "marks", "locate"),
        (("line", 12 * IN), ("gate", 16 * IN), ("corner", 12 * IN), ("end", 12 * IN)),
        (Remark("stake-moved", "note", "string rear 2", (("stake", "S4"), ("zone", "gas service"))),),
    )


def _locate(design: Design, stakeout: Stakeout) -> LocateSheet:
    digs = [
        DigItem(
            p.label,
            "hole",
            p.xy,
            p.hole.diameter_m,
            p.hole.depth_m,
            p.hole.hand_dig,
            tuple(h.zone for h in p.hole.hits),
        )
        for p in design.posts
        if p.hole is not None
    ]
    digs += [DigItem(s.label, "stake", s.xy, 2 * IN, 18 * IN, False) for st in stakeout.strings for s in st.stakes]
    return LocateSheet(
        False,
        LocateSpec(),
        ("ticket", "called on", "legal from", "expires", "answers"),
        tuple(digs),
        ("irrigation", "septic", "propane", "low-voltage lighting"),
        (Remark("locate-not-entered", "ask", "locate"),),
    )


def _takeoff(design: Design) -> TakeOff:
    holes = [p for p in design.posts if p.hole is not None]
    gate = tuple(p.label for p in holes if p.role == "gate")
    other = tuple(p.label for p in holes if p.role != "gate")
    fence = tuple(b.number for b in design.bays if b.kind == "fence")
    gates = tuple(g.name for g in design.gates)
    length = sum(b.length_m for b in design.bays if b.kind == "fence")
    concrete = sum(math.pi / 4 * p.hole.diameter_m**2 * 33 * IN - p.width_m**2 * 33 * IN for p in holes if p.hole)
    boards = length / (5.5 * IN)
    bags = concrete / (0.6 * FT**3)
    rows: list[tuple[str, str, str, float, float, int, str, float, str, tuple[str, ...], tuple[int, ...], tuple[str, ...]]] = [
        ("post.4x4.9ft", "post", "4x4 x 9 ft", len(other), 0.0, len(other), "each", 1.0, "posts", other, (), ()),
        ("post.6x6.10ft", "gate-post", "6x6 x 10 ft", len(gate), 0.0, len(gate), "each", 1.0, "posts", gate, (), ()),
        ("rail.2x4.16ft", "rail", "2x4 x 16 ft", 3 * len(fence) / 2, 0.0, math.ceil(3 * len(fence) / 2), "each", 1.0, "rails", (), fence, ()),
        ("board.1x6.6ft", "board", "1x6 x 6 ft", boards, 0.04, math.ceil(boards * 1.04), "each", 1.0, "boards", (), fence, ()),
        ("bracket.wall", "wall-bracket", "for 2x4", 3, 0.0, 3, "each", 1.0, "rails", ("W1",), (), ()),
        ("cap.4x4", "post-cap", "4x4", len(other), 0.0, len(other), "each", 1.0, "posts", other, (), ()),
        ("screw.3in", "rail-screw", "3 in", 12 * len(fence), 0.05, 4, "box of 100", 100.0, "fasteners", (), fence, ()),
        ("nail.2in", "board-nail", "2 in ring shank", 6 * boards, 0.05, 9, "box of 500", 500.0, "fasteners", (), fence, ()),
        ("gate.hinge", "hinge-pair", "heavy, 3 leaves", 3, 0.0, 3, "each", 1.0, "gates", (), (), gates),
        ("gate.latch", "latch", "gravity", 2, 0.0, 2, "each", 1.0, "gates", (), (), gates),
        ("gate.bolt", "cane-bolt", "18 in", 1, 0.0, 1, "each", 1.0, "gates", (), (), ("drive",)),
        ("concrete.80lb", "concrete-bag", "80 lb", bags, 0.1, math.ceil(bags * 1.1), "bag", 1.0, "concrete", other + gate, (), ()),
        ("gravel", "gravel", "3/4 in", 0.35, 0.1, 14, "bag", 0.0142, "concrete", other + gate, (), ()),
    ]  # fmt: skip
    items = tuple(
        Item(
            code,
            what,
            size,
            need,
            "m3" if code == "gravel" else "each",
            waste,
            buy,
            buy_unit,
            per,
            group,
            p,
            b,
            g,
            "counted from the layout",
        )
        for code, what, size, need, waste, buy, buy_unit, per, group, p, b, g in rows
    )
    return TakeOff(items, concrete, 1450.0, 1.9, None, "", (Remark("prices-not-given", "note", "price list"),))


def _ring() -> Ring:
    names = ("SW", "SE", "NE", "NW")
    xys = (ft(0, 0), ft(90, 0), ft(92, 130), ft(0, 130))
    corners = tuple(
        Corner(n, xy, "5/8 in iron pin, cap 1178" if n == "NE" else "", True if n == "NE" else None)
        for n, xy in zip(names, xys, strict=True)
    )
    yards = ("street front", "side", "rear", "side")
    words = (
        "N 90°00'00\" E 90.00 ft",
        "N 00°52'53\" E 130.02 ft",
        "N 90°00'00\" W 92.00 ft",
        "S 00°00'00\" E 130.00 ft",
    )
    courses = tuple(
        Course(k + 1, names[k], names[(k + 1) % 4], azimuth(xys[k], xys[(k + 1) % 4]), distance(xys[k], xys[(k + 1) % 4]),
               words[k], yards[k])
        for k in range(4)
    )  # fmt: skip
    closure = Closure(442.0154 * FT, 0.0012, -0.0016, 0.002, 67362.0)
    status = LineStatus(1, 4, False, "one-corner-found")
    return Ring(corners, courses, closure, 11830 * FT**2, False, status, "plat book 12, page 7")


def _site() -> Site:
    ring = _ring()
    points = (
        *(SitePoint(c.name, c.xy, "boundary", c.found) for c in ring.corners),
        SitePoint("A", A, "walk"),
        SitePoint("B", B, "walk", assumed_angle=True),
        SitePoint("C", C, "coordinates"),
        SitePoint("D", D, "coordinates"),
        SitePoint("house wall", WALL, "thing"),
    )
    zones = (
        Zone("gas service", GAS, 24.5 * IN, "hand dig", "gas", 1 * IN),
        Zone("pin NE", (ft(92, 130),), 12 * IN, "pin"),
        Zone("septic tank", (ft(40, 86), ft(48, 86), ft(48, 92), ft(40, 92)), 2 * FT, "no hole", "sewer", 0.0, True),
    )
    old = tuple(along(ft(78, 78), ft(78, 118), k * 8 * FT) for k in range(6))
    removals = (
        Removal("old chain link", (ft(78, 78), ft(78, 118)), 40 * FT, old, 10 * IN, "pull", "chain link", 4 * FT),
    )
    house = (("house", (ft(25, 40), ft(65, 40), ft(65, 72), ft(25, 72))),)
    remarks = (
        Remark("line-not-located", "caution", "boundary", (("found", 1), ("total", 4))),
        Remark("right-angle-assumed", "assumption", "point B", (("point", "B"),)),
    )
    return Site(
        points,
        ring,
        zones,
        removals,
        house,
        True,
        remarks,
        (Reason("boundary", "area", ring.area_m2, "m2", "by coordinates"),),
    )


def sample_plan() -> Plan:
    """An invented yard: four boundary corners (one found), a house, a gas line, two runs, two gates."""
    design = _design()
    stakeout = _stakeout(design)
    return Plan(
        version=1,
        settings=Settings(
            title="Tansy Court lot 7",
            address="7 Tansy Court (invented)",
            client="R. Sample",
            notes=("Dog in the yard: keep the side gate shut.",),
            print_style="feet-inches",
            fraction=8,
            language="en",
            paper="letter",
            tape_m=100 * FT,
            north=True,
            north_basis="plat",
            tolerance_m=0.5 * IN,
            paint_m=3 * IN,
            frost_m=None,
            file="tansy.yaml",
        ),
        site=_site(),
        kinds=(_kind(),),
        design=design,
        stakeout=stakeout,
        locate=_locate(design, stakeout),
        takeoff=_takeoff(design),
        asks=tuple(Where("sample.yaml", 40, 10, 3, path) for path in ("locate.ticket", "site.frost", "site.soil")),
    )
