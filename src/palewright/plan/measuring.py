"""From what was measured to adjusted places: the network of a job, its adjustment, and what must be said of it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from palewright.errors import Problem, ProblemError, Where
from palewright.model import (
    Adjusted,
    Job,
    Measurement,
    NetPoint,
    Network,
    Observation,
    Remark,
    Ring,
    Survey,
    Suspect,
)
from palewright.notation import show_length
from palewright.plan.measuring_said import MOST_NAMED, corner_remark, next_remarks, several_remarks, tapes_for, tested
from palewright.plane import XY, distance
from palewright.survey import Adjustment, Fixed, Several, observations, stated_sigma, tie_gap

__all__ = ["Measuring", "adjusted_network"]

#: Places that do not move: typed coordinates, and the record of the boundary.
_HELD = ("coordinates", "boundary")
#: Moves below this are rounding, not news [m].
_NOISE_M = 1e-9
#: Points of a base line: placing them says nothing of the side on which others have them.
_BASE_LINE = 2
#: Tapes that miss each other by so many standard deviations do not meet.
_APART = 5.0
#: What may be misread without anybody noticing is asked for a whole foot, or three decimetres (our own choice) [m].
_MISREAD_M, _METRIC_MISREAD_M = 0.3048, 0.3


def adjusted_network(network: Network) -> Adjustment:
    """The adjustment of a network; the last small ones are kept: most edits change no reading and move no point."""
    return (_kept if len(network.points) <= _KEPT else Adjustment)(network)


def _several(network: Network) -> Several | None:
    from palewright.survey import several_wrong

    return several_wrong(network, adjusted_network(network).adjusted)


_KEPT = 200
_kept = lru_cache(maxsize=48)(Adjustment)
_several_kept = lru_cache(maxsize=48)(_several)


class Measuring:
    """The network of a job.

    job
        as written. ``problems``: tools whose accuracy nobody knows, points on one of two places, what the adjustment
        refuses. ``survey``: the network and its adjustment, once :meth:`adjust` has made it; ``several``: what is known
        where more than one reading is wrong; ``adjustment`` can be
        asked for the covariance of its points. ``not_found``: corners of the boundary at which nothing was found:
        nobody can tape from them.
    """

    def __init__(self, job: Job) -> None:
        self.job = job
        self.problems: list[Problem] = []
        self.survey: Survey | None = None
        self.adjustment: Adjustment | None = None
        self.several: Several | None = None
        self.observations: tuple[Observation, ...] = ()
        self.not_found: frozenset[str] = frozenset()
        self.tapes = {tape.name: tape for tape in job.tapes}
        if any(m.kind != "rise" for m in job.measured):
            try:
                self.observations = observations(job.measured, job.walks, job.points, self._sigma, job.tapes)
            except ProblemError as error:
                self.problems += error.problems

    def _sigma(self, m: Measurement | None, kind: str, value: float) -> float:
        if m is not None and m.how in self.tapes:
            m = replace(m, how=self.tapes[m.how].accuracy)
        try:
            return stated_sigma(m, kind, value)
        except ProblemError as error:
            self.problems += error.problems
            return 1.0

    def rough(self, places: Mapping[str, Fixed]) -> dict[str, XY]:
        """Approximate places of measured points that have none yet, from those that have one.

        A point that may be on either of two places is a problem: the job has to say on which side it is.
        """
        missing = {name for m in self.job.measured if m.kind != "rise" for name in m.points} - places.keys()
        missing -= {spec.name for spec in self.job.points if spec.how in ("on line", "calls")}
        placed = places.keys() & {name for o in self.observations for name in o.points}
        least = 0 if self.positioned else 1 if self._turned() else 2
        if self.problems or not missing or len(placed) < least:
            return {}
        from palewright.survey import rough_places

        network = self._network(places, whole_site=True)
        found = rough_places(network, self.job.tape_m)
        new = {name: xy for name, xy in found.places.items() if name in missing}
        self.problems += [p for p in found.problems if p.severity == "error"]
        base = placed if network.datum == "least" and len(placed) <= _BASE_LINE else set()
        sides = [other.name for other in found.ambiguous if other.name in new or other.name in base]
        if new and not found.handed and not sides:
            sides = list(new)[:1]
        for name in sides:
            apart = self._apart(name, found.places)
            other = next((other for other in found.ambiguous if other.name == name), None)
            tape = next((a.points[0] for a in found.advice if other and a.for_point == name), "")
            beside = other.beside if other else ("", "")
            self.problems.append(apart or self._either_side(name, beside, tape, _may_turn_over(network)))
        return new

    def _apart(self, name: str, places: Mapping[str, XY]) -> Problem | None:
        """Two tapes to a point that cannot meet: together too short for their base, or one too long."""
        tapes = [o for o in self.observations if o.kind == "distance" and name in o.points]
        for one, two in itertools.combinations(tapes, 2):
            ends = [next(n for n in o.points if n != name) for o in (one, two)]
            if ends[0] == ends[1] or not all(end in places for end in ends):
                continue
            gap = tie_gap(distance(places[ends[0]], places[ends[1]]), one.value, two.value)
            if abs(gap) > _APART * math.hypot(one.sigma, two.sigma):
                show = f"{one.words or one.value} from {ends[0]} and {two.words or two.value} from {ends[1]}"
                return Problem(
                    "tapes-do-not-meet",
                    f"the tapes to {name} do not meet: they miss each other by"
                    f" {show_length(abs(gap), self.job.print_style)}",
                    where=two.at,
                    found=show,
                    hint=f"measure both again, and the distance from {ends[0]} to {ends[1]}",
                )
        return None

    def adjust(self, places: Mapping[str, Fixed], base_line: Sequence[str], ring: Ring | None = None) -> dict[str, XY]:
        """Adjusted places of the measured points that are not held and move.

        base_line
            names of the points that the local frame stands on, where the job has one. ring: the boundary, for what to
            tape next.
        Where the shape leans on right angles that nobody measured and nothing checks it, it stays as it was walked.
        """
        if not self.observations or self.problems:
            return {}
        from palewright.plan.advising import advice_for, fixing_tapes
        from palewright.survey import guess_suspect

        network = self._network(places, base_line)
        try:
            self.adjustment = adjusted_network(network)
            adjusted = self.adjustment.adjusted
        except ProblemError as error:
            self.problems += error.problems
            return {}
        if adjusted.suspects or _over(adjusted):
            self.several = (_several_kept if len(network.points) <= _KEPT else _several)(network)
        if self.several is not None:
            self.adjustment = self.adjustment.put_right(self.several.suspects, self.several.fitting)
            adjusted = self.adjustment.adjusted
        suspects = []
        for suspect in adjusted.suspects:
            fit, observation = adjusted.fits[suspect.index], network.observations[suspect.index]
            if suspect.alone and adjusted.without is not None:  # told from the rest, not from a fit that it spoiled
                suspect = replace(suspect, by=-adjusted.without.fits[suspect.index].residual)
            suspects.append(guess_suspect(suspect, observation, fit.redundancy, tape_m=self.job.tape_m))
        whole = self._network(places, base_line, whole_site=True)
        first = fixing_tapes(whole, adjusted.undetermined, self.job.tape_m)
        advice = advice_for(self.job, network, whole, self.adjustment, ring, first)
        self.survey = Survey(network, replace(adjusted, suspects=tuple(suspects), advice=advice))
        if adjusted.leaned_on and not adjusted.dof:
            return {}
        held = {point.name for point in network.points if point.held}
        kept = adjusted.without if adjusted.without is not None and _sure(adjusted.suspects) else adjusted
        return {
            fit.name: fit.xy
            for fit in kept.points
            if fit.name not in held and fit.name in places and distance(fit.xy, places[fit.name].xy) > _NOISE_M
        }

    def with_tapes(self, problems: Sequence[Problem], places: Mapping[str, Fixed]) -> list[Problem]:
        """Points that nothing fixes, each with the tapes that would, where some were taped already."""
        read = {name for o in self.observations for name in o.points}
        loose = {p.found for p in problems if p.slug == "point-not-fixed"} & read
        if not loose:
            return list(problems)
        from palewright.plan.advising import fixing_tapes

        advice = fixing_tapes(self._network(places, whole_site=True), read - places.keys(), self.job.tape_m)
        said = {name: tapes_for(name, advice) for name in loose}
        return [replace(p, hint=said[p.found]) if said.get(p.found) else p for p in problems]

    def cleared(self) -> set[str]:
        """Corners whose right angle was assumed, and which the measurements have since proved or corrected."""
        if self.survey is None:
            return set()
        network, leaned = self.survey.network, set(self.survey.adjusted.leaned_on)
        assumed = [(k, o) for k, o in enumerate(network.observations) if o.source == "assumed"]
        return {o.points[1] for k, o in assumed} - {o.points[1] for k, o in assumed if k in leaned}

    @property
    def disagree(self) -> bool:
        """Whether the readings scatter more than their tools explain. Scattering less is no fault."""
        return self.survey is not None and _over(self.survey.adjusted)

    def remarks(self, places: Mapping[str, Fixed]) -> list[Remark]:
        """What a reader must know of the measurements as a whole."""
        if self.survey is None:
            return []
        from palewright.survey import suspect_remark

        network, adjusted = self.survey.network, self.survey.adjusted
        rows = []
        if self.several is not None and self.several.fitting is None:
            rows += several_remarks(self.several, network, adjusted)
        for suspect in () if rows else adjusted.suspects:
            if suspect.alone:
                rows.append(suspect_remark(suspect, network.observations[suspect.index]))
            else:
                rows += self._one_of(network, adjusted, suspect)
        loose = adjusted.undetermined[:1]
        at = next((o.at for o in network.observations if loose and loose[0] in o.points), Where())
        for p in adjusted.cautions:
            place = at if p.slug == "network-points-loose" else Where()
            rows.append(Remark(p.slug, "caution", "measurements", (("found", p.found),), place))
        if self.disagree and not adjusted.suspects:
            rows.append(Remark("measurements-disagree", "caution", "measurements", tested(adjusted)))
        elif adjusted.passes is not None and adjusted.dof:
            slug = "measurements-agree" if not adjusted.suspects else "measurements-tested"
            rows.append(Remark(slug, "note", "measurements", tested(adjusted)))
        else:
            rows.append(Remark("measurements-unchecked", "note", "measurements", (("count", len(adjusted.fits)),)))
        if not adjusted.suspects and adjusted.dof > 0 and not self.disagree:
            rows += self._unnoticed(network, adjusted)
        rows += next_remarks(adjusted.advice)
        rows += [
            corner_remark(o, places)
            for o in network.observations
            if o.source == "assumed" and o.points[1] in self.cleared()
        ]
        return rows

    def _unnoticed(self, network: Network, adjusted: Adjusted) -> list[Remark]:
        """Tapes in which a misreading would pass unnoticed although all agree, and what would show the worst."""
        from palewright.survey import unnoticed_tapes

        assert self.adjustment is not None
        blunder = _METRIC_MISREAD_M if self.job.print_style == "metric" else _MISREAD_M
        found = unnoticed_tapes(network, adjusted, self.adjustment.covariance, blunder, self.job.tape_m)
        if not found:
            return []
        worst, named = found[0], [" - ".join(network.observations[tape.index].points) for tape in found]
        more = ", ..." if len(named) > MOST_NAMED else ""
        one, two = network.observations[worst.index].points
        args: list[tuple[str, float | int | str]] = [("blunder_m", blunder)]
        args += [("readings", ", ".join(named[:MOST_NAMED]) + more), ("start", one), ("end", two)]
        args += [("point", worst.point), ("moves_m", worst.moves)]
        args += [("host", worst.host)] if worst.host else []
        return [Remark("measurements-unnoticed", "note", "measurements", tuple(args))]

    def _one_of(self, network: Network, adjusted: Adjusted, suspect: Suspect) -> list[Remark]:
        """One reading of several is wrong, and nothing says which; those that a common slip would explain are named."""
        from palewright.survey import guess_suspect, suspect_remark

        readings = ", ".join(f"{' - '.join(network.observations[k].points)}" for k in suspect.among)
        args = (("count", len(suspect.among)), ("readings", readings))
        rows = [Remark("measurements-one-wrong", "caution", "measurements", args)]
        for k in suspect.among:
            fit, o = adjusted.fits[k], network.observations[k]
            if fit.blunder is None:
                continue
            guess = guess_suspect(Suspect(k, fit.blunder), o, fit.redundancy, tape_m=self.job.tape_m)
            if guess.guess:
                said = suspect_remark(guess, o)
                rows.append(replace(said, slug=said.slug.replace("-suspect", "-slip"), level="note"))
        return rows

    # ------------------------------------------------------------ the network

    def _network(self, places: Mapping[str, Fixed], base_line: Sequence[str] = (), whole_site: bool = False) -> Network:
        """``whole_site``: with every place that does not move and can be taped from, read or not."""
        specs = {spec.name: spec for spec in self.job.points}
        points = []
        for name in _names(base_line, self.observations):
            spec, fixed = specs.get(name), places.get(name)
            held = fixed is not None and fixed.how in _HELD
            side, side_of = (spec.side, spec.side_of) if spec else ("", ("", ""))
            where = spec.at if spec else Where()
            points.append(NetPoint(name, fixed.xy if fixed else None, held, side, side_of, where))
        points.sort(key=lambda point: not point.held)
        known = {point.name for point in points} | self.not_found
        beside = [NetPoint(name, p.xy, True) for name, p in places.items() if p.how in _HELD and name not in known]
        return Network((*points, *(beside if whole_site else ())), self.observations, self._datum(points, bool(beside)))

    def _datum(self, points: Sequence[NetPoint], beside: bool) -> str:
        """ "held" where something says where and how the network lies, else "least".

        One held point leaves it free to turn. That matters where other places stand ``beside`` it; else its first
        reading may lie as it likes.
        """
        held = sum(point.held for point in points)
        return "held" if held > 1 or (held and (beside or self._turned())) else "least"

    @property
    def positioned(self) -> bool:
        """Whether coordinates of some point were measured: they carry a frame by themselves."""
        return any(o.kind in ("east", "north") for o in self.observations)

    def _turned(self) -> bool:
        """Whether something observed says how the network lies to north."""
        return any(o.kind in ("azimuth", "east", "north") for o in self.observations)

    def _either_side(self, name: str, beside: tuple[str, str], tape: str, turned_over: bool) -> Problem:
        """``beside``: the line it may stand on either side of; ``tape``: from where one more tells; "" not known.

        turned_over
            nothing says on which side anything is: no tape inside the figure can tell.
        """
        o = next(o for o in self.observations if name in o.points)
        others = list(dict.fromkeys(n for o in self.observations if name in o.points for n in o.points if n != name))
        line = list(beside) if all(beside) else others[:2]
        where = f"either side of {line[0]} – {line[1]}" if len(line) > 1 else "either side"
        if turned_over:
            more = "; no tape tells, the whole figure may be turned over"
        else:
            more = f"; a tape from {tape} to {name} decides" if tape else ""
            more = more or f"; or tape to {name} from one more place, well off that line"
        return Problem(
            "point-either-side",
            f"{name} may stand on {where}: what was measured fits both",
            where=o.at,
            found=name,
            hint=f"under points say `{name}: {{left of: [{', '.join(line)}]}}`, or right of{more}",
        )


def _may_turn_over(network: Network) -> bool:
    """Whether nothing at all says on which side of anything a point is: tapes alone fit the mirror image as well."""
    sided = any(point.side for point in network.points) or any(o.kind != "distance" for o in network.observations)
    return network.datum == "least" and not sided


def _names(first: Iterable[str], found: Iterable[Observation]) -> list[str]:
    """Every point once, those of the base line first."""
    return [name for name in dict.fromkeys([*first, *(name for o in found for name in o.points)]) if name]


def _over(adjusted: Adjusted) -> bool:
    """Whether the readings scatter more than their tools explain."""
    return adjusted.chi_high is not None and adjusted.weighted_squares > adjusted.chi_high


def _sure(suspects: Iterable[Suspect]) -> bool:
    """Whether it is known which readings are the wrong ones."""
    return all(suspect.alone for suspect in suspects)
