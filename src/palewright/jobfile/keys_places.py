"""The key table of the job file where it says where things are: points, walks, measurements, the boundary."""

from __future__ import annotations

from palewright.jobfile.calls import CurveTable, read_bearings, read_call, read_chord, read_direction
from palewright.jobfile.corners import CORNER
from palewright.jobfile.deed import read_prose_key
from palewright.jobfile.phrases import read_risk, read_step
from palewright.jobfile.tables import Either, Free, Key, ListOf, Named, Section
from palewright.jobfile.values import Angle, Bearing, Choice, Count, Length, Name, Place, Quantity, Text, YesNo

__all__ = ["BOUNDARY", "CURVE", "MEASURED", "POINT", "TAPE", "WALK", "WALL"]

_NOT_NEGATIVE = Length("not negative")
_DIRECTION = Free("bearing", read_direction, "a bearing such as S 12° E")
CURVE = CurveTable("curve", "A curve call: its side and any two of its parts; parts beyond two are compared.", (
    Key("curve", Choice.of("left", "right"), "To which side it goes, as one walks along it.", "right", required=True),
    Key("radius", Length(), "Its radius.", "250 ft"),
    Key("delta", Angle(360.0), "Its central angle.", "14°03'36\""),
    Key("arc", Length(), "Length along it.", "61.35 ft"),
    Key("chord", Free("chord", read_chord, "a bearing, a length, or both"), "Bearing of its chord, length of its chord,"
        " or both.", "S 80°12' W 61.20 ft"),
    Key("tangent", Length(), "From its beginning to where its tangents meet.", "30.83 ft"),
    Key("degree", Angle(180.0), "Degree of curve, per 100 ft.", "15°"),
    Key("degree by", Choice.of("arc", "chord"), "Whether the degree of curve goes by the arc or by the chord.", "arc"),
    Key("radial to centre", _DIRECTION, "Bearing from its beginning to its centre.", "S 12° E"),
    Key("radial from centre", _DIRECTION, "Bearing from its centre to its beginning.", "N 12° W"),
    Key("joins", Choice.of("tangent", "non-tangent"), "Whether it is tangent to the course before it.", "tangent"),
    Key("to beginning", YesNo(), "It ends where the boundary begins.", "yes"),
    Key("more or less", YesNo(), "The deed says so of its length.", "yes"),
))  # fmt: skip
_CALL = Either(text=Free("call", read_call, "a call such as S 02°14'30\" E 148.20 ft"), table=CURVE)

POINT = Section("point", "One named point: by coordinates, by calls, on a line, or a thing that stands there.", (
    Key("at", Place("coordinates"), "Coordinates, east then north.", "[500 ft, 800 ft]"),
    Key("from", Place("name"), "Point where the calls begin.", "NE"),
    Key("calls", ListOf(_CALL), "Straight calls that lead from there to this point.", "[\"S 02°14'30\\\" E 60 ft\"]"),
    Key("on line", ListOf(Place("name"), exactly=2), "The point lies on the line from the first of these points toward"
        " the second.", "[NE, NW]"),
    Key("distance", _NOT_NEGATIVE, "Level distance from the first point of `on line`.", "62' 3\""),
    Key("stands", Text(), "What stands there to hold a tape to. Without a place of its own the point gets one from a"
        " wall, a walk or the tape.",
        "rear left corner of the house"),
    Key("found", Text(), "The monument that was found there, in words; without it the point is not a found one.",
        "5/8 in iron pin", ask=True),
    Key("matches record", YesNo(), "Whether the found monument is the one that the record calls for.", "yes", ask=True),
    Key("left of", ListOf(Place("name"), exactly=2), "Where two tapes leave two places for the point: it is left of the"
        " line from the first of these to the second.", "[NE, NW]"),
    Key("right of", ListOf(Place("name"), exactly=2), "The same, right of the line.", "[NE, NW]"),
    Key("keep clear", _NOT_NEGATIVE, "Ring around a found pin in which no hole is dug.", "12 in"),
    Key("height", Length("any"), "Its height, where that is given: heights of the job count from it.", "100 ft",
        ask=True),
))  # fmt: skip

WALK = Section("walk", "Points found by walking from a thing that stands there; no north is needed.", (
    Key("from", Place("name"), "Where the walk starts.", "house rear left", required=True),
    Key("along", Place("name"), "Walk on past the start, in line with this point, one's back to it.",
        "house rear right"),
    Key("toward", Place("name"), "Face this point at the start.", "oak"),
    Key("bearing", Bearing(), "Walk off on this bearing.", "N 12°30' E"),
    Key("go", ListOf(Free("walk-step", read_step, "a length or a turn")), "Lengths and turns in order. A plain left or"
        " right is a right angle that nobody measured; it is listed as assumed.", "[18 ft, left, 46 ft]",
        required=True),
    Key("call", ListOf(Name(skip=True)), "One name after each length, in order; _ for a point without a name.",
        "[A, B]", required=True),
))  # fmt: skip

MEASURED = Section("measured", "Something measured between named points.", (
    Key("tape", ListOf(Place("name"), exactly=2), "A taped distance between two points.", "[NE, house rear left]"),
    Key("reads", Length("any"), "What the tape reads; for a rise, how much higher the second point stands.",
        "41' 6 1/2\"", ask=True),
    Key("rises", _NOT_NEGATIVE, "How much the two ends differ in height, where the tape lay along the slope.", "2 ft"),
    Key("square", ListOf(Place("name"), exactly=3), "A right angle that was measured; the middle point is the corner.",
        "[A, B, C]"),
    Key("angle", ListOf(Place("name"), exactly=3), "Any angle that was measured; the middle point is the corner.",
        "[A, B, C]"),
    Key("inside angle", Angle(), "The measured angle between the two arms.", "88°", ask=True),
    Key("direction", ListOf(Place("name"), exactly=2), "A measured direction from the first point to the second.",
        "[NE, NW]"),
    Key("bearing", Bearing(), "The measured direction.", "N 87°45' W", ask=True),
    Key("sights from", Place("name"), "Where an instrument with a circle stood.", "house rear left"),
    Key("readings", Named(Angle(360.0, zero=True), "readings by point"), "What the circle read at each point,"
        " clockwise.", "{A: 0°, B: 88°30'}"),
    Key("on line", ListOf(Place("name"), exactly=2), "A point is on the straight line from the first of these points"
        " to the second; with `at` that defines it, where nothing else does.", "[NE, NW]"),
    Key("offset from", ListOf(Place("name"), exactly=2), "Line from whose first point toward the second a point is told"
        " by its distance square to the line.", "[house rear left, house rear right]"),
    Key("point", Name(), "The point that goes with `on line` or `offset from`.", "B"),
    Key("at", Length("any"), "Level distance of that point along the line from its first point; negative behind it.",
        "62' 3\"", ask=True),
    Key("side", Choice.of("left", "right"), "On which side of the line the point is, as one walks along it.", "left"),
    Key("tie to line", Place("name"), "Point whose distance square to a line is known, as plats tell it of a house.",
        "house rear left"),
    Key("line", ListOf(Place("name"), exactly=2), "The line of `tie to line`.", "[NE, SE]"),
    Key("parallel", ListOf(Place("name"), exactly=4), "The line through the first two points and the line through the"
        " last two run the same way.", "[NE, NW, house rear left, house rear right]"),
    Key("position", Place("name"), "Point whose coordinates were measured, by satellite or from a map.", "NE"),
    Key("coordinates", Place("coordinates"), "They, east then north.", "[500.2 ft, 799.8 ft]", ask=True),
    Key("rise", ListOf(Place("name"), exactly=2), "A difference in height, from the first point to the second.",
        "[C, D]"),
    Key("temperature", Quantity("temperature", "45 F"), "How warm the tape was; it counts for one of `tapes`.",
        "45 F"),
    Key("pull", Quantity("force", "15 lb"), "How hard it was pulled; it counts for one of `tapes`.", "15 lb"),
    Key("spans", Count(1, 100), "Over how many equal spans it hung; without it the tape lay on the ground.", "1"),
    Key("within", Length(), "How good it is, one standard deviation, where it is known better than `with` says.",
        "1/4 in"),
    Key("with", Text(), "The tape or tool.", "long fibreglass"),
    Key("by", Text(), "How it was measured.", "9-12-15 ft"),
    Key("from", Text(), "The paper it was read from, when nobody measured it.", "plat"),
    Key("who", Text(), "Who measured or said it.", "two of the crew"),
    Key("when", Text(), "On which day.", "2026-05-04"),
))  # fmt: skip

TAPE = Section("tape", "A tape of the job by name, for `with`: how good it is, and when it is right.", (
    Key("accuracy", Text(), "What kind of tape it is, in the words that `with` takes.", "steel tape", required=True),
    Key("marked", Length(), "The length that stands on it.", "100 ft"),
    Key("true", Length(), "Its length when it was compared with a better one.", "100' 0 1/4\""),
    Key("right at", Quantity("temperature", "68 F"), "The temperature at which it is right; 68 F without it.", "68 F"),
    Key("right under", Quantity("force", "10 lb"), "The pull under which it is right.", "10 lb"),
    Key("section", Quantity("area", "0.006 sq in"), "Cross section of its ribbon.", "0.006 sq in"),
    Key("weight", Quantity("weight per length", "0.02 lb/ft"), "What it weighs for each length.", "0.02 lb/ft"),
))  # fmt: skip

BOUNDARY = Section("boundary", "The line of the property, by calls, by a legal description or through points.", (
    Key("start", Place(), "Corner where the calls begin: a name, or coordinates.", "NE"),
    Key("calls", ListOf(_CALL, least=2), "Calls of the deed in order, lines and curves; the last may be to beginning.",
        "[N 1 W 151.4 ft, N 88 E 80.35 ft, to beginning]"),
    Key("deed", Free("deed", read_prose_key, "a legal description in sentences"), "The legal description as it is"
        " pasted, in place of calls: thence ..., thence ... to the point of beginning. Numbers that are not understood"
        " are problems; monuments called for stand as the record of their corners.",
        "Beginning at a stake; thence N 80 feet; thence E 60 feet; thence S 37 W 100 feet to the point of beginning"),
    Key("bearings", Free("north", read_bearings, "magnetic, grid, true, assumed or record, and more words"), "What the"
        " bearings are counted from; they are never turned.", "magnetic 1812"),
    Key("azimuths", Choice.of("from north", "from south"), "Where bare angles in the calls are counted from, clockwise;"
        " without this key such a call is a problem.", "from south"),
    Key("through", ListOf(Place(), least=3), "Corners in order, by name or coordinates, in place of calls.",
        "[NE, SE, SW, NW]"),
    Key("names", ListOf(Name()), "Names of the corners in order, beginning with the start.", "[NE, SE, SW, NW]"),
    Key("corners", Named(Either(text=Choice.of("record only"), table=CORNER), "corners by name", ask=True),
        "What was found at each corner; a corner that is not listed is record only.",
        "{NE: {found: iron pin, matches record: yes}, SE: record only}"),
    Key("yards", Named(Text(), "yards by number of side", ask=True), "Yard at each side; side 1 begins at the start.",
        "{1: rear, 2: side, 3: street front, 4: side}"),
    Key("record", Text(), "The deed or plat, in words.", "plat book 12, page 7", ask=True),
    Key("risk", Free("risk", read_risk, "a chance such as 1%"), "Chance that you accept that measuring error alone puts"
        " the fence over the line; nothing is taken without it.", "1%", ask=True),
))  # fmt: skip

WALL = Section("wall", "A wall that stands there; its two ends become points and its length a measurement.", (
    Key("from", Place("name"), "One end.", "house rear left", required=True),
    Key("to", Place("name"), "The other end.", "house rear right", required=True),
    Key("length", Length(), "Its taped length.", "40 ft 2 in", required=True),
    Key("with", Text(), "The tape.", "long fibreglass"),
))  # fmt: skip
