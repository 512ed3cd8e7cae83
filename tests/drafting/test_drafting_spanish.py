"""Problems on a screen in Spanish: every sentence, hint and limit of the program is said in Spanish."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from tests.drafting.sentences import ROOT, sentences

from palewright.drafting import apply, edits_from_json, sight
from palewright.drafting.edits import AddGate, DrawRun
from palewright.drafting.words.saying import problem_in, said_in
from palewright.errors import Problem, ProblemError
from palewright.jobfile.keys import TOP
from palewright.jobfile.tables import Section

CATALOGUE = tomllib.loads((ROOT / "drafting" / "words" / "problems_es.toml").read_text("utf-8"))
WORDS, FOUND = CATALOGUE.pop("word"), CATALOGUE.pop("found")
MESSAGES = Path(__file__).resolve().parents[2] / "docs" / "messages.md"
SLUGS = frozenset(re.findall(r"^## (\S+)$", MESSAGES.read_text("utf-8"), re.MULTILINE))
JOB = """palewright: 1
job: {title: Yard}
points: {A: {at: [0 ft, 0 ft]}, B: {at: [0 ft, 40 ft]}, C: {at: [60 ft, 40 ft]}}
fences: {f: {kind: boards, board: 6 ft, good side: neighbour}}
runs:
  - {name: rear, fence: FENCE, through: [A, B, C], yard: right, follows: racked, gates: [{opening: 4 ft, starts: 70 ft from A}]}
"""

QUANTITIES = tuple(tomllib.loads((ROOT / "notation" / "quantities.toml").read_text("utf-8")))
PUT_TOGETHER = {
    "a {} is expected here": tuple(f"a {kind} is expected here" for kind in QUANTITIES),
    "a {} larger than 0": tuple(f"a {kind} larger than 0" for kind in QUANTITIES),
    "{} is expected here": (
        "a list of tables (run) is expected here",
        "a list of 2 or more is expected here",
        "a length with its unit, or a list is expected here",
    ),
    "{} go from 0 to 59": ("minutes go from 0 to 59", "seconds go from 0 to 59"),
    "the file of rules": ("the file of rules cannot be read",),
    "the price list": ("the price list cannot be read",),
    "{} cannot be read": ("the file of rules cannot be read", "the price list cannot be read"),
    "{} is not UTF-8 text": ("the file of rules is not UTF-8 text", "the price list is not UTF-8 text"),
    "{}: names a file beside the job file; leave the key out to plan without it": (
        "rules: names a file beside the job file; leave the key out to plan without it",
        "prices: names a file beside the job file; leave the key out to plan without it",
    ),
    "{} from {} to {}": ("a length from 4 in to 48 in", "a whole number from 2 to 9", "a number from 0 to 1"),
    "no curve has these parts: {}": (
        "no curve has these parts: a central angle has to be larger than 0 and less than a full turn",
        "no curve has these parts: the arc is longer than the whole circle",
    ),
    "they would close if {}: read the deed again": (
        "they would close if call 2 (E 80 ft) had E and W exchanged, or if call 4 (W 80 ft) were 32.004 m long: read the deed again",
        "they would close if call 2 (E 80 ft) had N and S exchanged: read the deed again",
        "they would close if call 2 (E 80 ft) ran the other way, or if call 3 (S) were left out: read the deed again",
        "they would close if call 2 (left) turned to the other side: read the deed again",
    ),
    "{} would have to be run backward to come to the beginning": (
        "call 4, to the beginning, would have to be run backward to come to the beginning",
        "call 2 would have to be run backward to come to the beginning",
    ),
    "move the corner: the smallest move that clears it is {} {}": (
        "move the corner: the smallest move that clears it is 1' 2\" along run rear toward the other end",
    ),
    "the smallest move that clears it is {} {}": (
        "the smallest move that clears it is 8' 6\" along run rear away from B",
        "the smallest move that clears it is 8' 6\" along run rear toward B (`begins abreast of` a point there)",
        "the smallest move that clears it is 8' 6\" along run rear toward B (`ends abreast of` a point there)",
    ),
    "{}or give both a common point there": ("end run rear there, 3' 2\" sooner, or give both a common point there",),
    "a start of {} (one post for both), or {} {}": (
        'a start of 0" (one post for both), or at least 5 5/8"',
        "a start of 35' 9 1/4\" (one post for both), or at most 35' 3 5/8\"",
    ),
    "{}use one of these words, or give the accuracy itself with `within`": (
        "`stele tape`: did you mean `steel tape`? use one of these words, or give the accuracy itself with `within`",
        "`magic` says nothing of a tool. use one of these words, or give the accuracy itself with `within`",
    ),
    "{}; what was sent was not taken": (
        "Photos and files of this job fill the room that a job has; what was sent was not taken",
        "Photos and files of all jobs together fill the room that they have; what was sent was not taken",
    ),
    "no way to stand the posts of run {} between {} and {}": (
        "no way to stand the posts of run rear between the one at point A and the one of gate side",
        "no way to stand the posts of run rear between the one at point (3.00, 4.00) and the one of the change from racked to stepped",
    ),
    "two posts of run {} would stand in each other: {}, {}": (
        "two posts of run rear would stand in each other: the one at point A, the one of gate side",
    ),
    "this key is not known in {}": (
        "this key is not known in the file",
        "this key is not known in rule tall",
    ),
    "`{}` is missing in {}": ("`most` is missing in rule tall", "`source` is missing in the file"),
    "`{}`: {}": ("`most`: the number has no unit",),
    "An entry from the yard cannot be kept: {}": ("An entry from the yard cannot be kept: its id is no uuid",),
    "under points say `{}: {left of: [{}]}`, or right of{}": (
        "under points say `W: {left of: [S, B]}`, or right of; a tape from A to W decides",
    ),
}
"""Sentences that are put together from parts, each with what it can be; their blanks are not names or numbers."""
MORE = (
    "a table in { } is not closed, or a comma is missing",
    'the end of rock 0 gives way by 4 3/4"; or move the one at point B so that the piece is 27\' 5" shorter',
    'the start of rock 0 gives way by 1\' 2"; or make the given bay 3" shorter; or move the post after the given bays 2" on',
    "tape from A to P and from C to P, and write it under measured; or give P coordinates",
    "it is called out by a run at line 5; give one of the two another name",
    "change hole.least or hole.gravel",
    "the line lacks its code and price",
    'a length with its unit in quotes, such as "4 ft"',
    '"0%" to "100%"',
    "true, false",
    "a list of names in quotes",
    'an object with "yard": 1 and "entries": a list; or the list alone',
    "[x, y] in metres",
    "text, a whole number, yes or no, a list or a table",
    "a list of texts",
    "a list of names and places [x, y] in metres",
    "the height is worked out: give the boards, panel or fabric and the bottom gap",
    'say which: "bottom gap" or "board gap"',
    'the boards are "board" (their length) and "board size"',
    'say which: "hole.line", "hole.end", "hole.gate" are diameters, "hole.depth" is the depth',
    'say which: "post.line", "post.end", "post.corner", "post.gate"',
    "a length of 0 or more",
    "-90° to 90°",
    "Field required",
    "Input should be a valid string",
    "Input should be a valid integer",
    "Input should be a valid number",
    "Input should be a valid list",
    "Input should be a valid dictionary or object to extract fields from",
    "String should have at most 200 characters",
    "String should have at least 8 characters",
    "String should have at least 1 character",
    "Input should be greater than or equal to 1",
    "Input should be less than or equal to 60",
    "Extra inputs are not permitted",
    "Value error, every number must be finite",
)
FOUND_SO = (
    "2 posts inside house, at 3' 2\" and 4 more along the run, up to 1' 0\" from its wall",
    "1 post inside house, at 3' 2\" along the run, up to 1' 0\" from its wall",
    "3 posts inside house, at 3' 2\" along the run, up to 1' 0\" from its wall",
    'footing at 3"',
    'face 3 1/2" outside',
    '5 5/8" between the openings',
    "3 bays of 7' 2\" in 21' 6\"",
    "8' 2\" between their centres, and rock is in the way, and no bay may be longer than 8' 0\"",
    "8' 2\" between their centres, and a zone is in the way, and no bay may be longer than 8' 0\"",
    "8' 2\" between their centres, and a given bay is longer than the longest bay, 8' 0\"",
    "8' 2\" between their centres, and a bay would be shorter than 2' 0\"",
    "8' 2\" between their centres, and the given bays are longer together than the room for them",
    "calls 1 and 2 and 5",
    "200,000 bytes free",
    "1,200 bytes with this one",
    "A, 1' 2\" from where the readings have it; or B",
    "side 3 up to 1' 2\" off its chord",
    "opening of 4' 0\" in a piece of 3' 2\" between post centres",
)
"""What a problem of the layout finds, with real lengths."""
ENGLISH = re.compile(r"\b(the|is|are|of|and|with|this|there|from|cannot|must|for|which|shorter|longer)\b")
KEYS = re.compile(
    r"`[^`]*`|\"[^\"]*\"|\([^()]*\)|--\S+|NAME|\b(?:far|ft) from\b|(?:thence|Beginning at|POINT OF BEGINNING|radial|on the same course).*"
)


@pytest.fixture(scope="module")
def made() -> dict[str, str]:
    """Every sentence of two words or more that a problem can hold, with where it is made."""
    return {text: where for text, where in sentences(SLUGS).items() if re.search(r"[a-z]+.* .*[a-z]|[a-z]{2}.* ", text)}


def real(text: str) -> tuple[str, ...]:
    """A sentence with values in its blanks, in every way that it can be put together."""
    said = PUT_TOGETHER.get(text)
    if said:
        return said
    names = (f"<{k}>" for k in range(99))
    return (re.sub(r"\{\}", lambda _: next(names), text),)


def test_every_sentence_hint_and_limit_of_the_program_is_said_in_spanish(made: dict[str, str]) -> None:
    assert len(made) > 1000
    whole = [text for text in made if not _in_parts(text)]
    silent = {text: made[text] for text in whole for said in real(text) if said_in(said, "es") is None}
    assert not silent
    assert not [said for row in PUT_TOGETHER.values() for said in row if said_in(said, "es") is None]
    assert not [said for said in MORE if said_in(said, "es") is None]


def _in_parts(text: str) -> bool:
    """Whether what stands in its blanks is told apart under PUT_TOGETHER, or nothing stands there at all."""
    alone = (
        re.sub(r" {2,}|^ | $", "", text) != text or text.endswith("called ") or "mean ?" in text or "mean ``" in text
    )
    fixed = re.search(
        r"between the one|in each other: the one|fill the room that (a job|they)|^1 to 0|from {} (in )?to", text
    )
    return alone or bool(fixed)


def test_what_is_in_a_blank_comes_through_once(made: dict[str, str]) -> None:
    for text in made:
        if text not in PUT_TOGETHER and not _in_parts(text):
            (asked,) = real(text)
            said = said_in(asked, "es") or ""
            names = re.findall(r"<\d+>", asked)
            assert all(said.count(name) == 1 for name in names), text


@pytest.mark.parametrize("said", [*(said for row in PUT_TOGETHER.values() for said in row), *MORE])
def test_no_english_is_left_in_a_sentence_put_together(said: str) -> None:
    told = KEYS.sub("", said_in(said, "es") or "the")
    assert not ENGLISH.search(told)


@pytest.mark.parametrize("known", [*CATALOGUE, *WORDS, *FOUND])
def test_names_and_numbers_come_through_whole(known: str) -> None:
    spanish = {**FOUND, **WORDS, **CATALOGUE}[known]
    told = KEYS.sub("", spanish.replace("{{", "").replace("}}", ""))
    assert not ENGLISH.search(re.sub(r"\{\w*:?\w*\}", "", told))
    blanks = re.findall(r"\{(\d*):?\w*\}", spanish.replace("{{", "").replace("}}", ""))
    assert len(blanks) == known.count("{}")
    assert sorted(blanks) in ([""] * len(blanks), [str(k) for k in range(len(blanks))])


def test_every_entry_is_a_sentence_of_the_program(made: dict[str, str]) -> None:
    text = "".join(path.read_text("utf-8") for path in ROOT.rglob("*.py"))
    text = re.sub(r"\{[^{}]*(\{[^{}]*\})?[^{}]*\}", "{}", re.sub(r"[\"']\s*\n\s*f?[\"']", "", text))
    told = "\n".join((text.replace('\\"', '"').replace("\\\\", "\\"), *sentences(SLUGS)))
    given = [*MORE, *(said for row in PUT_TOGETHER.values() for said in row)]
    old = []
    for known in [*CATALOGUE, *WORDS, *FOUND]:
        parts = known.split("{}")
        like = re.compile("(.+?)".join(map(re.escape, parts)))
        if not all(part in told for part in parts) and not any(like.search(said) for said in (*given, *FOUND_SO)):
            old.append(known)
    assert not old


def test_what_a_key_expects_is_said_in_spanish() -> None:
    said = set()
    for section in _sections(TOP, {}).values():
        said |= {key.value.says() for key in section.keys}
    assert len(said) > 60
    assert not [text for text in said if " " in text and said_in(f"{text} is expected here", "es") is None]


def _sections(section: Section, found: dict[str, Section]) -> dict[str, Section]:
    """Every table of the job file, by name."""
    found[section.name] = section
    parts: list[object] = [key.value for key in section.keys]
    while parts:
        part = parts.pop()
        if isinstance(part, Section):
            if part.name not in found:
                _sections(part, found)
            continue
        parts += [getattr(part, name, None) for name in ("item", "value", "text", "list", "table", "section") if part]
    return found


def test_a_problem_of_the_job_is_in_the_language_of_the_screen() -> None:
    found = next(n for n in sight(JOB.replace("FENCE", "f"), language="es").notices if n.level == "problem")
    assert found.text.startswith("El portón gate 1 ")
    assert found.language == ""
    assert found.about == "gate gate 1"
    english = next(n for n in sight(JOB.replace("FENCE", "f")).notices if n.level == "problem")
    assert (english.slug, english.line, english.language) == (found.slug, found.line, "")


def test_what_has_no_words_is_marked_as_english(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("palewright.drafting.words.saying.said_in", lambda text, language: None)
    broken = JOB.replace("FENCE", "f").replace("opening: 4 ft", "opening: 4 ft, sings: loud")
    found = next(n for n in sight(broken, language="es").notices if n.level == "problem")
    assert found.language == "en"


def test_a_limit_and_a_hint_are_said_too_and_what_was_typed_stays() -> None:
    typed = Problem(
        "length-out-of-range", "this length is too small", found="0 or more", allowed="0 or more", hint="check the unit"
    )
    spanish = problem_in(typed, "es")
    assert (spanish.what, spanish.allowed, spanish.hint) == (
        "este largo es demasiado pequeño",
        "0 o más",
        "revise la unidad",
    )
    assert spanish.found == "0 or more"
    assert problem_in(typed, "en") == typed


def test_names_of_the_job_are_not_taken_for_words() -> None:
    said = said_in("run gate crosses run line", "es")
    assert said == "el tramo gate cruza el tramo line"
    assert said_in("left, right, rear", "es") is None


@pytest.mark.parametrize("text", ["text, or text; or " * 90, "call 1 (N) were left out, or if " * 60, "a" * 30000])
def test_a_long_text_is_given_up_and_not_searched_for_long(text: str) -> None:
    assert said_in(text, "es") is None


def test_what_the_program_found_is_said_and_what_somebody_typed_stays() -> None:
    made = Problem("gates-overlap", "gates of run rear overlap", found="1' 2 1/4\" over each other")
    assert problem_in(made, "es").found == "1' 2 1/4\" uno sobre otro"
    for said in FOUND_SO:
        told = problem_in(Problem("no-room", "", found=said), "es").found
        assert told != said
        assert not ENGLISH.search(told)
    for typed in ("4 ft", "'quux'", "gate", "rear, left", "at least 4 ft"):
        assert problem_in(Problem("unit-unknown", "this is not a unit of length", found=typed), "es").found == typed


def test_an_edit_is_refused_in_spanish() -> None:
    edit = edits_from_json([{"kind": "length", "about": "leg rear 1", "length": "9 quux"}])
    with pytest.raises(ProblemError) as refused:
        apply(JOB.replace("FENCE", "f"), edit, None, "es")
    problem = refused.value.problems[0]
    assert problem.what == "esto no es una unidad de largo"
    assert problem.found == "'quux'"


@pytest.mark.parametrize(("language", "said"), [("en", "Corner 2: by the record"), ("es", "Esquina 2: ")])
def test_a_corner_without_a_name_of_its_own_is_called_corner_once(language: str, said: str) -> None:
    lot = "palewright: 1\njob: {title: Lot}\nboundary: {through: [[0 ft, 0 ft], [90 ft, 0 ft], [90 ft, 60 ft]]}\n"
    items = {item.id: item for item in sight(lot, Path(), language=language).items}
    assert items["corner corner 2"].say.startswith(said)
    assert items["corner corner 2"].text == said.partition(":")[0].lower()
    assert said.partition(":")[0].lower() in items["side 1"].say


def test_what_is_made_on_a_page_in_spanish_is_called_in_spanish() -> None:
    fence = "palewright: 1\njob: {title: Cerca}\npoints: {A: {at: [0 ft, 0 ft]}, B: {at: [40 ft, 0 ft]}}\n"
    made = [DrawRun(("A", "B"), "frente"), AddGate("frente", (3.0, 0.0)), AddGate("frente", (9.0, 0.0))]
    done = apply(fence, made, Path(), "es")
    assert "name: portón, " in done.text
    assert "name: portón 2, " in done.text
    gate = next(item for item in sight(done.text, Path(), language="es").items if item.kind == "gate")
    assert gate.say.startswith("Portón: 4' 0\" libres")
