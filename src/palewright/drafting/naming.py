"""Where names stand in a job file: which values name a point, a run, a gate or a fence."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from palewright.jobfile.writing import Plain
from palewright.record import Record

__all__ = ["Use", "known_names", "new_letters", "new_name", "uses_of"]

Path = tuple[str | int, ...]

_POINTS = {
    "points": ("from", "on line", "left of", "right of"),
    "walks": ("from", "along", "toward", "call"),
    "walls": ("from", "to"),
    "measured": (
        "tape", "square", "angle", "direction", "sights from", "on line", "offset from", "point", "tie to line", "line",
        "parallel", "position", "rise",
    ),
    "levels": ("point",),
    "boundary": ("start", "through", "names"),
    "runs": (
        "through", "begins abreast of", "ends abreast of", "call", "at", "toward", "short bay at", "top changes at",
    ),
    "remove": ("through",),
    "clear of": ("through", "at"),
    "heights": ("from", "to", "spot"),
    "lot": ("through", "at"),
}  # fmt: skip
"""By section of the job file: keys whose value is the name of a point, or a list of such names."""
_KEYED = {"points": ("points",), "measured": ("readings",), "boundary": ("corners",), "runs": ("ends",),
          "heights": ("spots",)}  # fmt: skip
"""By section: tables whose keys are names of points."""
_NAMED = (
    ("run", "runs", "", "name", True), ("run", "lot", "*", "barrier", False), ("run", "heights", "*", "string", False),
    ("fence", "runs", "", "fence", False), ("gate", "runs", "gates", "name", True),
    ("gate", "runs", "given bays", "at", False), ("building", "lot", "*", "main building", False),
    ("zone", "clear of", "", "name", True), ("old fence", "remove", "", "name", True),
)  # fmt: skip
"""Kind of thing, section, the table inside it (* any), key, and whether the name is given there."""
_PHRASES = ("starts", "centre", "hinges")
_DEFINES = frozenset({"points", "walks.call", "boundary.names", "runs.call"})


class Use(Record):
    """One place where a name stands: its key path; ``key``: the name is the key; ``lead``: what stands before it.

    defines
        the name is given there. section: of the job file.
    """

    path: Path
    name: str
    section: str
    key: bool = False
    lead: str = ""
    defines: bool = False


def uses_of(tree: Plain, kind: str) -> Iterator[Use]:
    """Every place where a name of a kind stands: "point", "run", "gate", "fence", "building" or "zone"."""
    if not isinstance(tree, Mapping):
        return
    for section, value in tree.items():
        yield from _walk(value, (section,), section, kind)


def _walk(value: Plain, path: Path, section: str, kind: str) -> Iterator[Use]:
    if isinstance(value, Mapping):
        keyed = _is_keyed(path, section, kind)
        for key, item in value.items():
            if keyed:
                yield Use((*path, key), key, section, key=True, defines=len(path) == 1 and section != "lot")
            yield from _value(item, (*path, key), section, key, kind)
            yield from _walk(item, (*path, key), section, kind)
    elif isinstance(value, Sequence) and not isinstance(value, str):
        for k, item in enumerate(value):
            if section == "buildings" and kind == "point" and len(path) == 2 and isinstance(item, str):
                yield Use((*path, k), item, section)
            yield from _walk(item, (*path, k), section, kind)


def _is_keyed(path: Path, section: str, kind: str) -> bool:
    last = path[-1]
    if kind == "point":
        return (len(path) == 1 and section == "points") or (
            len(path) > 1 and last in _KEYED.get(section, ()) and section != "points"
        )
    if kind == "fence":
        return path in (("fences",), ("lot", "fences"))
    if kind == "building":
        return path == ("buildings",)
    return kind == "gate" and path == ("lot", "gates")


def _value(item: Plain, path: Path, section: str, key: str, kind: str) -> Iterator[Use]:
    """The names that the value of one key holds."""
    if kind == "point":
        yield from _point_value(item, path, section, key)
        return
    within = str(path[2]) if len(path) > 3 else ""
    for of, where, inside, name, defines in _NAMED:
        if (of, where, name) == (kind, section, key) and inside in ("*", within):
            yield from _one(item, path, section, defines)


def _point_value(item: Plain, path: Path, section: str, key: str) -> Iterator[Use]:
    if section == "runs" and key in _PHRASES and isinstance(item, str):
        for lead in (" from ", "near ", "far from "):
            head, found, name = item.partition(lead)
            if found and (lead == " from " or not head):
                yield Use(path, name.strip(), section, lead=head + found)
                return
    if key in _POINTS.get(section, ()):
        defines = f"{section}.{key}" in _DEFINES
        yield from _one(item, path, section, defines)


def _one(item: Plain, path: Path, section: str, defines: bool = False) -> Iterator[Use]:
    if isinstance(item, str):
        if item not in ("_", "ask", "all"):
            yield Use(path, " ".join(item.split()), section, defines=defines)
    elif isinstance(item, Sequence):
        for k, part in enumerate(item):
            if isinstance(part, str) and part not in ("_", "ask"):
                yield Use((*path, k), " ".join(part.split()), section, defines=defines)


def known_names(tree: Plain) -> set[str]:
    """Every name of a point that stands anywhere."""
    return {use.name for use in uses_of(tree, "point")}


def new_letters(taken: set[str], count: int) -> list[str]:
    """Names for new points: A, B, C, ... that are not taken.

    >>> new_letters({"A", "C"}, 3)
    ['B', 'D', 'E']
    """
    names: list[str] = []
    k = 0
    while len(names) < count:
        name = chr(65 + k % 26) + (str(k // 26 + 1) if k >= 26 else "")
        if name not in taken:
            names.append(name)
        k += 1
    return names


def new_name(wanted: str, taken: set[str]) -> str:
    """A name that is not taken: the wanted one, or with the next number behind it.

    >>> new_name("gate", {"gate"}), new_name("rear", set())
    ('gate 2', 'rear')
    """
    name, k = wanted, 2
    while name in taken:
        name, k = f"{wanted} {k}", k + 1
    return name
