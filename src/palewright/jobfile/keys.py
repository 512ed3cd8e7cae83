"""The key table of the job file: one line for each key.

It drives the reader, the published JSON Schema, the page docs/job-file.md and the suggestions for misspelled keys.
"""

from __future__ import annotations

from palewright.jobfile.calls import CurveTable, read_bearings, read_call, read_chord, read_direction
from palewright.jobfile.corners import CORNER
from palewright.jobfile.deed import read_prose_key
from palewright.jobfile.ground import FOLLOWS, HEIGHT, STEPS, STRETCH
from palewright.jobfile.levels import LEVEL_LINE, LEVEL_NOTE
from palewright.jobfile.permit import AGREEMENT, LOT, LOT_SECTIONS
from palewright.jobfile.phrases import (
    AT_WALL,
    FenceTable,
    read_at_wall,
    read_from,
    read_hinges,
    read_risk,
    read_step,
    read_version,
)
from palewright.jobfile.tables import Each, Either, Free, Key, ListOf, Named, Section
from palewright.jobfile.values import Angle, Bearing, Choice, Count, Length, Name, Place, Quantity, Text, YesNo

__all__ = ["SECTIONS", "TOP", "UNITS"]

UTILITIES = ("gas", "electric", "water", "sewer", "communication", "reclaimed")
UNITS = ("ft", "in", "yd", "m", "cm", "mm")

_POINTS = ListOf(Place(), least=2)
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
_FROM = Free("from-point", read_from, "a distance from a point, such as 22 ft from B")
_NOT_NEGATIVE = Length("not negative")

JOB = Section("job", "What the job is called and how its papers are printed.", (
    Key("title", Text(), "Name of the job, printed on every page.", "Tansy Court lot 7", required=True),
    Key("address", Text(), "Where the job is.", "7 Tansy Court", ask=True),
    Key("client", Text(), "For whom the fence is built.", "the owner of lot 7", ask=True),
    Key("print", Choice.of("feet-inches", "decimal-feet", "metric"), "How lengths are printed.", "feet-inches"),
    Key("round to", Choice((("1/8 in", 8), ("1/16 in", 16))), "Smallest fraction of an inch on the papers.", "1/8 in"),
    Key("tape", Length(), "Length of the longest tape on site; marks are zeroed again where it ends.", "100 ft"),
    Key("language", Choice.of("en", "es"), "Language of the papers: English or Spanish.", "en"),
    Key("paper", Choice.of("letter", "a4"), "Size of the paper.", "letter"),
    Key("unit", Choice.of(*UNITS), "Unit of lengths typed without one; without this key such"
        " a length is a problem.", "ft"),
    Key("foot", Choice.of("international", "survey"), "Which foot the feet, inches and chains of this file are; a"
        " length may also say `ft US` itself.", "international"),
    Key("vara", Text(), "State whose vara is meant, where lengths in varas are typed.", "Texas"),
    Key("north", Text(), "What north rests on (plat, grid, compass), or `none`. A boundary with bearings or coordinates"
        " has a north unless this says none.", "grid", ask=True),
    Key("notes", ListOf(Text(), one=True), "Words printed on the crew sheet.", "[keep the side gate shut]"),
    Key("strings", Choice.of("yard", "out"), "Side on which strings are set, for every run that does not say it.",
        "yard"),
    Key("currency", Text(), "Currency of the price list, three letters.", "USD"),
))  # fmt: skip

POINT = Section("point", "One named point: by coordinates, by calls, on a line, or a thing that stands there.", (
    Key("at", Place("coordinates"), "Coordinates, east then north.", "[500 ft, 800 ft]"),
    Key("from", Place("name"), "Point where the calls begin.", "NE"),
    Key("calls", ListOf(_CALL), "Straight calls that lead from there to this point.", "[\"S 02°14'30\\\" E 60 ft\"]"),
    Key("on line", ListOf(Place("name"), exactly=2), "The point lies on the line from the first of these points toward"
        " the second.", "[NE, NW]"),
    Key("distance", _NOT_NEGATIVE, "Level distance from the first point of `on line`.", "62' 3\""),
    Key("stands", Text(), "What stands there, when the place of the point comes from a wall, a walk or the tape.",
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

POST = Section("post", "The post of each role, by its trade name; a role that is not given takes that of `end`.", tuple(
    Key(role, Text(), f"Post: {words}.", example, ask=True) for role, words, example in (
        ("line", "between the others", "4x4"), ("end", "at the ends of a run", "4x4"),
        ("corner", "at corners", "4x4"), ("tee", "where another run ends against it", "4x4"),
        ("change", "where kind or height changes", "4x4"), ("gate", "beside a gate", "6x6"))
))  # fmt: skip

HOLE = Section("hole", "Holes: the diameter by role, and what holds for all of them.", (
    *(Key(role, _NOT_NEGATIVE, f"Diameter of the hole of a {role} post.", example, ask=True) for role, example in (
        ("line", "10 in"), ("end", "10 in"), ("corner", "10 in"), ("tee", "10 in"), ("change", "10 in"),
        ("gate", "12 in"))),
    Key("least", _NOT_NEGATIVE, "Least depth of the hole, gravel included.", "24 in", ask=True),
    Key("depth", _NOT_NEGATIVE, "Depth of the hole as wanted, gravel included.", "30 in", ask=True),
    Key("gravel", _NOT_NEGATIVE, "Gravel under the post.", "6 in", ask=True),
    Key("fraction", Text(), "Least part of the post in the ground.", "1/3", ask=True),
    Key("fill", Text(), "What the hole is filled with: concrete, soil or gravel.", "concrete", ask=True),
))  # fmt: skip

GAPS = Section("gate gaps", "Gaps of the fence's gates for the hardware in hand; what is not given follows the figures"
    " published for the kind.", (
    Key("hinge", _NOT_NEGATIVE, "Gap at the hinge side, post face to leaf.", "3/4 in", ask=True),
    Key("latch", _NOT_NEGATIVE, "Gap at the latch of a gate of one leaf.", "1/2 in", ask=True),
    Key("between", _NOT_NEGATIVE, "Gap between two leaves.", "3/4 in", ask=True),
    Key("screws", Count(1, 8), "Screws at each joint of a gate frame that is made on site.", "2", ask=True),
))  # fmt: skip

FENCE = FenceTable("fence", "A kind of fence of the catalogue with the job's own values laid over. Any further key of"
    " the kind may be given; docs/kinds.md lists them.", (
    Key("kind", Text(), "Name of the kind of fence.", "boards", required=True),
    Key("kind file", Text(), "A data file of the firm's own that holds the kind.", "our-boards.toml"),
    Key("good side", Choice.of("neighbour", "yard", "both"), "Where the good side looks; required where a kind has two"
        " faces.", "neighbour", ask=True),
    Key("board", Length(), "Length of the boards.", "6 ft", ask=True),
    Key("bottom gap", _NOT_NEGATIVE, "Clear space between ground and fence.", "2 in", ask=True),
    Key("longest bay", Length(), "Longest distance between post centres.", "8 ft", ask=True),
    Key("shortest bay", Length(), "Shortest distance between post centres; a third of the longest unless given.",
        "3 ft", ask=True),
    Key("rails", Count(1, 12), "Number of rails.", "3", ask=True),
    Key("post", POST, "Posts by role, by their trade names.", "{line: 4x4, gate: 6x6}", ask=True),
    Key("hole", HOLE, "Holes by role and how deep they are.", "{line: 10 in, depth: 30 in}", ask=True),
    Key("gate", GAPS, "Gaps of its gates, where the hardware in hand asks for others than the published ones.",
        "{hinge: 3/4 in, latch: 1/2 in}", ask=True),
))  # fmt: skip

INSET = Section("inside boundary", "How far inside the boundary the fence stands: one of the three.", (
    Key("face", _NOT_NEGATIVE, "From the line to the outermost face of the fence.", "8 in"),
    Key("post", _NOT_NEGATIVE, "From the line to the near face of the posts.", "8 in"),
    Key("footing", _NOT_NEGATIVE, "From the line to the near edge of the holes.", "2 in"),
))  # fmt: skip

END = Section("end", "How a run ends at a point.", (
    Key("at wall", Free("at-wall", read_at_wall, f"one of {AT_WALL}"), "A bracket on the wall (no post, no hole), a"
        " post against it, or a post clear of the footing.", "bracket", required=True),
))  # fmt: skip

GATE = Section("gate", "A gate in a run.", (
    Key("name", Name(), "Name of the gate.", "side gate"),
    Key("opening", Length(), "Clear opening, post face to post face.", "4 ft"),
    Key("leaf", Length(), "Width of one leaf.", "46 1/2 in"),
    Key("starts", _FROM, "Near edge of the opening, along the run from a point.", "22 ft from B"),
    Key("centre", _FROM, "Middle of the opening, along the run from a point.", "30 ft from B"),
    Key("at", Place("name"), "The post at this point is the first gate post.", "B"),
    Key("hinges", Free("hinges", read_hinges, "near B, or far from B"), "The post that carries the hinges.", "near B",
        ask=True),
    Key("swings", Choice((("to yard", "yard"), ("out", "out"))), "Side to which the gate swings.", "to yard", ask=True),
    Key("leaves", Count(1, 2), "Number of leaves.", "1"),
    Key("opens", Angle(181.0), "How far the gate opens.", "90°"),
    Key("what", Choice.of("gate", "floodgate", "cattle guard"), "What stands in the opening; the last two only in runs"
        " of wire.", "floodgate"),
    Key("uphill", Choice.of("keep"), "The owner knows that the ground rises in its swing, and keeps it.", "keep"),
))  # fmt: skip

GIVEN = Section("given bay", "Bays of a given length at one end of a straight piece.", (
    Key("at", Place("name"), "Point where they begin.", "B", required=True),
    Key("toward", Place("name"), "Next point along the run, when the point is a corner.", "C"),
    Key("bay", Length(), "Length of each, centre to centre.", "8 ft", required=True),
    Key("count", Count(1, 200), "How many.", "1"),
    Key("why", Text(), "Printed beside the bay.", "brace"),
))  # fmt: skip

RUN = Section("run", "A fence between two ends.", (
    Key("name", Name(), "Name of the run.", "rear", required=True),
    Key("fence", Name(), "One of the names under `fences`.", "privacy", required=True),
    Key("through", _POINTS, "Points of the run in order.", "[A, B, C]"),
    Key("sides", Either(text=Choice.of("all"), list=ListOf(Count(1, 1_000))),
        "Sides of the boundary that the run follows, in order; `all` closes the loop.", "[2, 3, 4]"),
    Key("begins abreast of", Place(), "A run along sides begins where its first side is abreast of this point.",
        "house rear left"),
    Key("ends abreast of", Place(), "A run along sides ends where its last side is abreast of this point.",
        "house rear right"),
    Key("call", ListOf(Name(skip=True)), "Names for the ends and corners of a run along sides, in walking order; other"
        " runs may go through them. _ for one that needs no name.", "[A, _, C, D]"),
    Key("closed", YesNo(), "The run comes back to its first point.", "yes"),
    Key("inside boundary", INSET, "How far inside the boundary.", "{face: 8 in}"),
    Key("yard", Choice.of("left", "right"), "Side of the yard, seen along the run.", "left", ask=True),
    Key("follows", FOLLOWS, "How the fence meets the ground; `mixed`: racked and level bays, and steps where racking"
        " does not suffice; `best` proposes, and prints what it weighs.", "racked", ask=True),
    Key("stretches", Each(STRETCH), "Parts of the run that follow the ground in another way; the rest keeps `follows`.",
        "[{from: A, to: 40 ft from A, follows: stepped}]"),
    Key("steps", STEPS, "What its steps must keep.", "{in: 1 in, smallest: 3 in}"),
    Key("top changes at", ListOf(Place("name")), "Points of the run at which a level top may change its height.",
        "[B]"),
    Key("bays", Choice.of("even", "short first", "short last", "short both", "panels"), "How the bays are divided;"
        " unless given, panels at their own module, and even bays for other kinds.",
        "even"),
    Key("short bay at", Place("name"), "End of the run at which the one short bay stands.", "A"),
    Key("shortest bay", Length(), "Shortest bay of this run.", "3 ft"),
    Key("ends", Named(END, "ends by point"), "How the run ends at a point, where it is not a post of its own.",
        "{house rear right: {at wall: bracket}}"),
    Key("gates", Each(GATE), "Gates in this run.", "[{opening: 4 ft, starts: 22 ft from B}]"),
    Key("given bays", Each(GIVEN), "Bays that are given; the rest is divided between them.",
        "[{at: B, toward: C, bay: 8 ft, why: brace}]"),
    Key("strings", Choice.of("yard", "out"), "Side on which the strings of this run are set.", "yard"),
    Key("signed", Length(), "Its length as signed for; the as-built sheet compares with it.", "180 ft"),
))  # fmt: skip

REMOVE = Section("remove", "An old fence that stands in the way.", (
    Key("name", Name(), "Name of the old fence.", "old chain link", required=True),
    Key("through", _POINTS, "Points along it.", "[[0 ft, 0 ft], [80 ft, 0 ft]]", required=True),
    Key("posts every", Length(), "Distance between its posts.", "8 ft", required=True),
    Key("footing", Length(), "Width of its footings.", "10 in", required=True),
    Key("then", Choice.of("pull", "leave"), "Whether its footings are pulled or left.", "pull", required=True),
    Key("kind", Text(), "What it is.", "chain link"),
    Key("height", Length(), "Its height.", "4 ft"),
))  # fmt: skip

ZONE = Section("clear of", "Ground to keep clear of: a line, a point, or an area.", (
    Key("name", Name(), "Name of what lies there.", "gas service", required=True),
    Key("through", _POINTS, "Points along it.", "[[10 ft, 0 ft], [60 ft, 0 ft]]"),
    Key("at", Place(), "The one point where it is.", "oak"),
    Key("closed", YesNo(), "The points go round an area.", "yes"),
    Key("width", _NOT_NEGATIVE, "Outside width of what lies there.", "1 in"),
    Key("each side", _NOT_NEGATIVE, "Kept clear on each side of its outside.", "24 in", required=True),
    Key("inside it", Choice.of("no hole", "hand dig"), "What holds inside the zone.", "hand dig", required=True),
    Key("utility", Choice((*((word, word) for word in UTILITIES), ("none", ""))),
        "Kind of utility, which gives the colour.", "gas"),
))  # fmt: skip

ANSWER = Section("answer", "What one member of the locate answered.", (
    Key("answer", Text(), "Its words.", "marked", required=True, ask=True),
    Key("when", Text(), "Day and hour.", "2026-05-04 10:00", ask=True),
))  # fmt: skip

LOCATE = Section("locate", "The utility locate as it was answered; nothing here is made up.", (
    Key("ticket", Text(), "Number of the ticket.", "A123456", ask=True),
    Key("called on", Text(), "Day of the call.", "2026-05-01", ask=True),
    Key("legal from", Text(), "Day and hour from which it is legal to dig.", "2026-05-05 07:00", ask=True),
    Key("expires", Text(), "Day on which the ticket expires.", "2026-05-26", ask=True),
    Key("members", Named(Either(text=Text(), table=ANSWER), "answers by member", ask=True),
        "Each member's answer: marked, clear, ...", "{gas: marked, water: ask}"),
    Key("private", ListOf(Text(), one=True), "Private lines that no member marks.", "[irrigation]", ask=True),
))  # fmt: skip

SITE = Section("site", "What is known of ground and weather; no value is assumed.", (
    Key("frost", _NOT_NEGATIVE, "Depth of frost.", "36 in", ask=True),
    Key("frost source", Text(), "Who says so.", "town building desk", ask=True),
    Key("soil", Text(), "Soil in words or by class.", "sandy clay", ask=True),
    Key("wind", Text(), "Design wind speed.", "115 mph", ask=True),
    Key("exposure", Text(), "Exposure class.", "B", ask=True),
))  # fmt: skip

STAKES = Section("stakes", "How strings and stakes are set.", (
    Key("offset", Length(), "From the line of post centres to the string.", "24 in"),
    Key("beyond", Length(), "How far beyond the corner a stake stands.", "3 ft"),
    Key("paint margin", _NOT_NEGATIVE, "Hole edges keep this far outside a zone where that costs no post.", "3 in"),
    Key("tolerance", Length(), "Sideways error at the far end that a corner check may leave.", "1/2 in"),
    Key("longest string", Length(), "Longest string without a sighted point.", "100 ft"),
    Key("mark", _NOT_NEGATIVE, "How much wider than the hole a mark is painted.", "2 in"),
    Key("with", Text(), "The tape that the crew sets out with; without it the poorer of the usual ones counts.",
        "steel tape"),
))  # fmt: skip

TOP = Section("job file", "A Palewright job file.", (
    Key("palewright", Free("version", read_version, "1"), "Version of the job file.", "1", required=True),
    Key("job", JOB, "Title and printing.", "{title: Tansy Court lot 7}", required=True),
    Key("points", Named(POINT, "points by name"), "Named points.", "{NE: {at: [500 ft, 800 ft]}}"),
    Key("walks", Each(WALK), "Points found by walking.",
        "[{from: house rear left, along: house rear right, go: [18 ft], call: [A]}]"),
    Key("walls", Each(WALL), "Walls that stand there.", "[{from: house left, to: house right, length: 40 ft}]"),
    Key("measured", Each(MEASURED), "Tapes, angles and directions.",
        "[{tape: [NE, house rear left], reads: 41 ft 6 in}]"),
    Key("levels", Each(LEVEL_LINE), "Levelling notes: rods read from an instrument.",
        "[{notes: [{point: BM, back: 4.32 ft}, {point: A, fore: 6.02 ft}]}]"),
    Key("tapes", Named(TAPE, "tapes by name"), "Tapes that `with` may name.", "{yellow: {accuracy: long fibreglass}}"),
    Key("boundary", BOUNDARY, "The line of the property.", "{through: [NE, SE, SW, NW]}"),
    Key("buildings", Named(ListOf(Place(), least=3), "buildings by name"), "Buildings, by their corners in order.",
        "{house: [[20 ft, 40 ft], [60 ft, 40 ft], [60 ft, 70 ft], [20 ft, 70 ft]]}"),
    Key("fences", Named(FENCE, "fences by name"), "The fences of the job.", "{privacy: {kind: boards}}"),
    Key("runs", Each(RUN, least=0), "Where the fences stand.", "[{name: rear, fence: privacy, through: [A, B]}]"),
    Key("remove", Each(REMOVE), "Old fences.",
        "[{name: old, through: [A, B], posts every: 8 ft, footing: 10 in, then: pull}]"),
    Key("clear of", Each(ZONE), "Ground to keep clear of.",
        "[{name: gas service, through: [A, B], each side: 24 in, inside it: hand dig}]"),
    Key("heights", Each(HEIGHT), "What is known of the ground.", "[{falls: 30 in, from: C, to: D, even: yes}]"),
    Key("locate", LOCATE, "The utility locate.", "{ticket: ask}", ask=True),
    Key("site", SITE, "Ground and weather.", "{frost: ask}", ask=True),
    Key("stakes", STAKES, "Strings and stakes.", "{offset: 24 in}"),
    Key("prices", Text(), "Price list (CSV) beside the job file.", "prices.csv", ask=True),
    Key("lot", LOT, "Streets, drives, trees, easements and pools.", "{streets: [{name: Tansy Court, side: 4}]}"),
    Key("rules", Text(), "Rules of the place (TOML) beside the job file; docs/permit.md says how it is written.",
        "lot-rules.toml", ask=True),
    Key("agreements", Each(AGREEMENT), "Agreements with neighbours about a line.",
        "[{neighbour: owner of lot 6, side: 1}]"),
))  # fmt: skip

SECTIONS: tuple[Section, ...] = (
    TOP, JOB, POINT, WALK, WALL, MEASURED, LEVEL_LINE, LEVEL_NOTE, TAPE, BOUNDARY, CURVE, CORNER, FENCE, POST, HOLE,
    RUN, INSET, END, GATE, GIVEN, STRETCH, REMOVE, ZONE, HEIGHT, LOCATE, ANSWER, SITE, STAKES, GAPS, *LOT_SECTIONS,
)  # fmt: skip
