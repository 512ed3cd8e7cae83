"""The key table of the job file: one line for each key.

It drives the reader, the published JSON Schema, the page docs/job-file.md and the suggestions for misspelled keys.
"""

from __future__ import annotations

from palewright.jobfile.corners import CORNER
from palewright.jobfile.ground import FOLLOWS, HEIGHT, STEPS, STRETCH
from palewright.jobfile.keys_places import BOUNDARY, CURVE, MEASURED, POINT, TAPE, WALK, WALL
from palewright.jobfile.levels import LEVEL_LINE, LEVEL_NOTE
from palewright.jobfile.permit import AGREEMENT, LOT, LOT_SECTIONS
from palewright.jobfile.phrases import AT_WALL, FenceTable, read_at_wall, read_from, read_hinges, read_version
from palewright.jobfile.tables import Each, Either, Free, Key, ListOf, Named, Section
from palewright.jobfile.values import Angle, Choice, Count, Length, Name, Place, Text, YesNo

__all__ = ["SECTIONS", "TOP", "UNITS"]

UTILITIES = ("gas", "electric", "water", "sewer", "communication", "reclaimed")
UNITS = ("ft", "in", "yd", "m", "cm", "mm")

_POINTS = ListOf(Place(), least=2)
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
        " of wire. A water gap is a floodgate.", "floodgate"),
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
    Key("gates", Each(GATE, least=0), "Gates in this run; `[]`: none.", "[{opening: 4 ft, starts: 22 ft from B}]"),
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
