"""Gates: opening and leaf, with the hardware allowance of the kind."""

from __future__ import annotations

import functools
import math

from palewright.errors import JobError, Problem
from palewright.layout.say import Say
from palewright.model import Kind, Remark
from palewright.record import Record
from palewright.tables import GateAllowance, gate_allowances

__all__ = ["GateSizes", "gate_allowance", "gate_gaps", "gate_kinds", "gate_sizes", "leaf_remark"]

_AGREE_M = 0.0254 / 16
_WIDEST_M = 40 * 0.3048
_FRACTION = 16


class GateSizes(Record):
    """Opening, post face to post face, and one leaf [m]; allowance: opening minus leaves [m]; key of the source."""

    opening_m: float
    leaf_m: float
    allowance_m: float
    source: str
    note: str = ""


def gate_kinds() -> tuple[str, ...]:
    """Kinds of gate with a hardware allowance: the kinds of fence, and "farm" for tubular gates.

    >>> "farm" in gate_kinds()
    True
    """
    return tuple(gate_allowances())


def gate_gaps(kind: Kind) -> tuple[float, float, float]:
    """A fence's own gaps of its gates: at the hinge, at the latch, between two leaves [m]; 0 where none was given."""
    values = dict(kind.values)
    hinge, latch, between = (float(values.get(f"gate.{name}", 0.0)) for name in ("hinge", "latch", "between"))
    return hinge, latch, between


def gate_allowance(
    kind_name: str, leaves: int = 1, gaps_m: tuple[float, float, float] = (0.0, 0.0, 0.0)
) -> tuple[float, str]:
    """Hardware allowance of a gate: opening minus leaves [m], and the key of its source.

    kind_name
        one of :func:`gate_kinds`. leaves: 1 or 2.
    gaps_m
        the fence's own gaps at the hinge, at the latch and between two leaves [m]; 0 takes the published one. One leaf:
        hinge + latch; two: twice hinge + between. Where only the whole is published, a gap left out leaves that whole.
    Raises JobError for anything else.

    >>> allowance, source = gate_allowance("chain-link", 2)
    >>> round(allowance / 0.0254, 6), source
    (5.5, 'clfleaf')
    >>> gate_allowance("chain-link", 1, (0.05, 0.04, 0.0))
    (0.09, 'as typed')
    """
    entry = _entry(kind_name)
    if leaves not in (1, 2):
        raise JobError(
            Problem("gate-size-wrong", "a gate has one leaf or two", found=str(leaves), allowed="1 or 2",
                    hint="more leaves are two gates, each with its posts")
        )  # fmt: skip
    own = (gaps_m[0], gaps_m[1]) if leaves == 1 else (gaps_m[0], gaps_m[0], gaps_m[2])
    published = entry.gaps_m and ((entry.gaps_m[0],) * leaves + (entry.gaps_m[leaves],))
    if any(own) and (published or all(own)):
        gaps = [mine or theirs for mine, theirs in zip(own, published or own, strict=True)]
        return sum(gaps), "as typed"
    return (entry.single_m if leaves == 1 else entry.double_m), entry.source


@functools.lru_cache(maxsize=512)
def gate_sizes(
    kind_name: str,
    opening_m: float | None,
    leaf_m: float | None,
    leaves: int = 1,
    gaps_m: tuple[float, float, float] = (0.0, 0.0, 0.0),
    style: str = "feet-inches",
) -> GateSizes:
    """Opening and leaf of a gate, one from the other.

    kind_name
        one of :func:`gate_kinds`. opening_m, leaf_m: post face to post face, and one leaf [m]; one of them is enough.
    leaves
        1 or 2. gaps_m: the fence's own gaps as for :func:`gate_allowance`.
    style
        how problems write lengths: "feet-inches", "decimal-feet" or "metric".
    Returns both sizes: opening = leaves x leaf + allowance. Both given must agree within 1/16 in.
    Raises JobError: gate-sizes-disagree, gate-size-missing, gate-size-wrong, gate-kind-unknown.
    Source: hardware allowances by kind, table gates, unless the fence has its own; the one used is in the result.

    >>> sizes = gate_sizes("chain-link", 36 * 0.0254, None, 1)
    >>> round(sizes.leaf_m / 0.0254, 6)
    32.25
    """
    say = Say(style, _FRACTION)
    allowance, source = gate_allowance(kind_name, leaves, gaps_m)
    note = "" if source == "as typed" else _entry(kind_name).note
    _check_size("opening", opening_m, say)
    _check_size("leaf", leaf_m, say)
    if opening_m is None:
        if leaf_m is None:
            hint = "opening is post face to post face"
            raise JobError(Problem("gate-size-missing", "a gate needs its opening or its leaf", hint=hint))
        return GateSizes(leaves * leaf_m + allowance, leaf_m, allowance, source, note)
    if opening_m <= allowance:
        raise JobError(
            Problem(
                "gate-size-wrong",
                "the opening leaves no room for a leaf beside the hardware",
                found=say.m(opening_m),
                allowed=f"more than the hardware allowance of {say.m(allowance)}",
                hint="check the unit; the opening is post face to post face",
            )
        )
    leaf = (opening_m - allowance) / leaves
    if leaf_m is not None and abs(leaf_m - leaf) * leaves > _AGREE_M:
        raise JobError(_disagree(opening_m, leaf_m, leaf, leaves, allowance, source, say))
    return GateSizes(opening_m, leaf, allowance, source, note)


def _check_size(name: str, size_m: float | None, say: Say) -> None:
    if size_m is not None and not 0 < size_m <= _WIDEST_M:
        raise JobError(
            Problem(
                "gate-size-wrong",
                f"the {name} of a gate cannot be this",
                found=say.m(size_m) if math.isfinite(size_m) else str(size_m),
                allowed=f"more than 0, up to {say.m(_WIDEST_M)}",
                hint="check the unit; a wider way is closed by two gates with posts of their own between them",
            )
        )


def _disagree(
    opening: float, typed: float, leaf: float, leaves: int, allowance: float, source: str, say: Say
) -> Problem:
    count = "the leaf" if leaves == 1 else "two leaves"
    return Problem(
        "gate-sizes-disagree",
        "the opening and the leaf of the gate do not agree with the hardware allowance",
        found=f"opening {say.m(opening)} and leaf {say.m(typed)}",
        allowed=f"opening = {count} + {say.m(allowance)}",
        hint=f"for this opening the leaf is {say.m(leaf)}; for this leaf the opening is "
        f"{say.m(leaves * typed + allowance)}; give one of them",
        source=source,
    )


def _entry(kind_name: str) -> GateAllowance:
    try:
        return gate_allowances()[kind_name]
    except KeyError:
        from difflib import get_close_matches

        near = get_close_matches(kind_name, gate_allowances(), n=1, cutoff=0.4)
        raise JobError(
            Problem(
                "gate-kind-unknown",
                "no hardware allowance is known for this kind of gate",
                found=kind_name,
                allowed=", ".join(gate_allowances()),
                hint=f"did you mean {near[0]}?" if near else "",
            )
        ) from None


def leaf_remark(gate: str, kind_name: str, leaf_m: float, leaves: int = 1) -> list[Remark]:
    """A caution where a leaf is wider than its kind carries well.

    kind_name
        one of :func:`gate_kinds`. leaves: 1 or 2. Source: table of gates.

    >>> [r.slug for r in leaf_remark("drive", "boards", 3.0)], leaf_remark("side", "boards", 1.2)
    (['leaf-wide'], [])
    """
    widest = gate_allowances()[kind_name].widest_leaf_m
    if not widest or leaf_m <= widest + _AGREE_M:
        return []
    pair = (("leaves", leaves),) if leaves > 1 else ()
    args = (("gate", gate), ("leaf_m", leaf_m), ("widest_m", widest), *pair)
    return [Remark("leaf-wide", "caution", f"gate {gate}", args)]
