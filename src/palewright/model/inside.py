"""How far inside the line the fence stands, how well that is known, and what a chosen risk asks for. No calculation.

SI: metres; chances and risks 0 to 1.
"""

from __future__ import annotations

from palewright.model.said import Reason, Remark
from palewright.record import Record

__all__ = ["CornerBasis", "CornerPair", "Inside", "LineDistance", "SideMargin"]


class LineDistance(Record):
    """A post and the side of the boundary nearest to its centre.

    run, side
        one of its runs, one that keeps an inset before others, and the number of the side.
    face_m, post_m, footing_m
        inside the line [m]: nearest fence face, post face and footing edge; minus is over it.
    sigma_m, footing_sigma_m
        standard deviation of the first two, and of the third [m]; None where nobody can say (``why``).
    parts
        the standard deviations that they are made of [m]: "line", "network", "corner tapes", "string", and "post"
        (first two) or "hole" (third).
    chance
        by what ("face", "post", "footing"): that measuring error alone puts it over the line.
    why
        why there is no number: "line-not-located", "corner-not-found", "corner-not-compared", "corner-disagrees",
        "pin-not-counted", "not-tied", "not-determined" or "measurements-disagree"; "" where there is one.
    """

    post: str
    run: str
    side: int
    face_m: float
    post_m: float
    footing_m: float
    sigma_m: float | None = None
    footing_sigma_m: float | None = None
    parts: tuple[tuple[str, float], ...] = ()
    chance: tuple[tuple[str, float], ...] = ()
    why: str = ""


class SideMargin(Record):
    """One run along one side: the place where measuring error most easily puts it over the line.

    of, post
        "face", "post" or "footing", and at which post; distance_m, sigma_m, chance there, as in :class:`LineDistance`.
    needed_m
        distance there that keeps the chosen risk [m]; None without a risk or a standard deviation.
    inset_m
        the inset that the job asks for [m] and ``inset_of`` what; None, "" where it asks for none. least_inset_m: the
        smallest inset with which every post of the run keeps the risk along this side.
    """

    run: str
    side: int
    of: str
    post: str
    distance_m: float
    sigma_m: float | None
    chance: float | None
    needed_m: float | None
    inset_m: float | None = None
    inset_of: str = ""
    least_inset_m: float | None = None
    why: str = ""


class CornerBasis(Record):
    """What a corner of the boundary rests on.

    rests
        "record", "measured" (taped or sighted together with other points) or "position".
    tool
        of a position, in the words of the table of accuracies. sigma_m: one standard deviation of the corner [m]: of a
        found corner of the record, across a side, at the limit of a licensed survey; of a position or a measured one,
        of each coordinate. None: nobody can say, as of a corner that was not found.
    times
        how many times as much as the limit of a licensed survey that is, or None.
    """

    corner: str
    rests: str
    tool: str
    sigma_m: float | None
    times: float | None


class CornerPair(Record):
    """Two neighbouring found corners and the figure of the ALTA/NSPS standard of 2021, for comparison only.

    semi_major_95
        long half axis of the 95 % ellipse of one relative to the other [m]. limit_2cm, limit_007ft: 2 cm and 0.07 ft,
        each + 50 ppm of their distance [m].
    """

    start: str
    end: str
    semi_major_95: float
    limit_2cm: float
    limit_007ft: float


class Inside(Record):
    """Distances to the line with what is known of them.

    risk
        chance that the person accepts; None where none was chosen: there is no default.
    tape
        what the crew is taken to tape with, in the words of the table of accuracies.
    within_m
        posts farther from the line than this are not in the list [m]. near: how many stand nearer. With very many of
        them the list holds of each leg and side the first, the last, the nearest and the worst.
    """

    risk: float | None
    tape: str
    within_m: float
    near: int
    distances: tuple[LineDistance, ...]
    margins: tuple[SideMargin, ...]
    corners: tuple[CornerBasis, ...]
    pairs: tuple[CornerPair, ...]
    remarks: tuple[Remark, ...] = ()
    reasons: tuple[Reason, ...] = ()
