"""What is wrong with a job file: the slug, the marked span, the hint; all problems at once; never a traceback."""

from __future__ import annotations

import ast
import re
import time
from pathlib import Path

import pytest

from palewright import jobfile
from palewright.errors import JobError, Problem

ROOT = Path(__file__).parents[2]


def problems(data: str | bytes) -> list[Problem]:
    data = data.encode() if isinstance(data, str) else data
    with pytest.raises(JobError) as caught:
        jobfile.read_bytes(data, "job.yaml")
    return list(caught.value.problems)


def one(data: str | bytes) -> Problem:
    found = problems(data)
    assert len(found) == 1, [problem.render() for problem in found]
    return found[0]


def marked(text: str, problem: Problem) -> str:
    """The text that a problem marks."""
    at = problem.where
    return re.split(r"\r\n|\r|\n", text)[at.line - 1][at.column - 1 : at.column - 1 + at.width]


HEAD = "palewright: 1\njob: {title: T}\n"
POINTS = HEAD + "points: {A: {at: [0 ft, 0 ft]}, B: {at: [50 ft, 0 ft]}, C: {at: [50 ft, 40 ft]}}\n"
FENCE = POINTS + "fences: {f: {kind: boards}}\n"
CALLS = "calls: [N 0 E 100 ft, N 90 E 50 ft, S 0 W 100 ft, to beginning]"
RUN = FENCE + "runs:\n - {name: r, fence: f, through: [A, B, C]"

CASES = [
    # slug, marked text, the file
    ("missing-key", "job", "job: {title: T}\n"),
    ("missing-key", "{print: metric}", "palewright: 1\njob: {print: metric}\n"),
    ("version-unknown", "2", "palewright: 2\njob: {title: T}\n"),
    ("unknown-key", "boundry", HEAD + "boundry: {}\n"),
    ("wrong-type", "[a, b]", "palewright: 1\njob: {title: [a, b]}\n"),
    ("wrong-type", "plain words", HEAD + "points: plain words\n"),
    ("wrong-type", "yes", HEAD + "runs: yes\n"),
    ("no-value", " ", HEAD + "points: {A: {at: }}\n"),
    ("wrong-number", "[]", HEAD + "heights: []\n"),
    ("not-a-choice", "metrical", "palewright: 1\njob: {title: T, print: metrical}\n"),
    ("not-a-choice", "maybe", FENCE + "runs: [{name: r, fence: f, through: [A, B, C], closed: maybe}]\n"),
    ("not-a-count", "3.5", HEAD + "fences: {f: {kind: boards, rails: 3.5}}\n"),
    ("unit-missing", "6", HEAD + "fences: {f: {kind: boards, board: 6}}\n"),
    ("unit-unknown", "foo", HEAD + "fences: {f: {kind: boards, board: 6 foo}}\n"),
    ("unit-unknown", "foo", HEAD + 'fences: {f: {kind: boards, board: "6 foo"}}\n'),
    ("length-out-of-range", "0 ft", HEAD + "fences: {f: {kind: boards, board: 0 ft}}\n"),
    ("length-out-of-range", "-2 in", HEAD + "fences: {f: {kind: boards, bottom gap: -2 in}}\n"),
    ("bearing-minutes-range", "75", HEAD + "boundary: {calls: [S 02°75'30\" E 148.20 ft, N 1 E 3 ft, to beginning]}\n"),
    ("cannot-ask", "ask", HEAD + "walls: [{from: a, to: b, length: ask}]\n"),
    ("curve-call", "{curve: right, radius: 9 ft, arc: 3 ft}", HEAD + "points: {A: {from: B, calls: [{curve: right, radius: 9 ft, arc: 3 ft}]}, B: {at: [0 ft, 0 ft]}}\n"),
    ("not-a-choice", "up", HEAD + "boundary: {calls: [{curve: up, radius: 9 ft}, N 1 E 3 ft, W 3 ft]}\n"),
    ("unknown-key", "radios", HEAD + "boundary: {calls: [{curve: left, radios: 9 ft}, N 1 E 3 ft, W 3 ft]}\n"),
    ("missing-key", "{radius: 9 ft}", HEAD + "boundary: {calls: [{radius: 9 ft}, N 1 E 3 ft, W 3 ft]}\n"),
    ("curve-degree-definition", "{curve: left, degree: 9°}", HEAD + "boundary: {calls: [{curve: left, degree: 9°}, N 1 E 3 ft, W 3 ft]}\n"),
    ("curve-part-twice", "{curve: left, radial to centre: N, radial from centre: S}", HEAD + "boundary: {calls: [{curve: left, radial to centre: N, radial from centre: S}, N 1 E 3 ft, W 3 ft]}\n"),
    ("wrong-type", "to beginning", HEAD + "boundary: {calls: [{curve: left, radius: 9 ft, chord: to beginning}, N 1 E 3 ft, W 3 ft]}\n"),
    ("bearing-minutes-range", "75", HEAD + "boundary: {calls: [{curve: left, radius: 9 ft, chord: N 12°75' E}, N 1 E 3 ft, W 3 ft]}\n"),
    ("wrong-type", "12 ft", HEAD + "boundary: {calls: [{curve: left, radius: 9 ft, radial to centre: 12 ft}, N 1 E 3 ft, W 3 ft]}\n"),
    ("not-a-choice", "needle", HEAD + f"boundary: {{{CALLS}, bearings: needle}}\n"),
    ("not-a-choice", "from east", HEAD + f"boundary: {{{CALLS}, azimuths: from east}}\n"),
    ("wrong-number", "[N 1 E 3 ft]", HEAD + "boundary: {calls: [N 1 E 3 ft]}\n"),
    ("boundary-way", "{names: [A, B, C]}", HEAD + "boundary: {names: [A, B, C]}\n"),
    ("corner-names", "[A, B]", HEAD + f"boundary: {{{CALLS}, names: [A, B]}}\n"),
    ("corner-names", "A", HEAD + f"boundary: {{start: S, {CALLS}, names: [A, B, C, D]}}\n"),
    ("name-twice", "[A, B, A, D]", HEAD + f"boundary: {{{CALLS}, names: [A, B, A, D]}}\n"),
    ("unknown-corner", "NEE", HEAD + f"boundary: {{{CALLS}, names: [SW, NW, NE, SE], corners: {{NEE: record only}}}}\n"),
    ("unknown-side", "5", HEAD + f"boundary: {{{CALLS}, yards: {{5: rear}}}}\n"),
    ("name-unsure", "1.10", HEAD + "points: {1.10: {at: [0 ft, 0 ft]}}\n"),
    ("name-unsure", "007", HEAD + "points: {007: {at: [0 ft, 0 ft]}}\n"),
    ("name-unsure", "true", HEAD + "points: {true: {at: [0 ft, 0 ft]}}\n"),
    ("name-unsure", "1e3", FENCE + "runs: [{name: 1e3, fence: f, through: [A, B]}]\n"),
    ("point-twice-placed", "P", HEAD + "points: {P: {at: [0 ft, 0 ft], on line: [A, B], distance: 3 ft}, A: {stands: oak}, B: {stands: elm}}\n"),
    ("missing-key", "P", HEAD + "points: {P: {calls: [N 1 E 3 ft]}}\n"),
    ("missing-key", "yes", HEAD + "points: {P: {at: [0 ft, 0 ft], matches record: yes}}\n"),
    ("name-twice", "A", POINTS + "walls: [{from: L, to: R, length: 9 ft}]\nwalks: [{from: L, along: R, go: [9 ft], call: [A]}]\n"),
    ("unknown-point", "Bee", FENCE + "runs: [{name: r, fence: f, through: [A, Bee]}]\n"),
    ("unknown-fence", "ff", POINTS + "fences: {f: {kind: boards}}\nruns: [{name: r, fence: ff, through: [A, B]}]\n"),
    ("run-way", "{name: r, fence: f}", FENCE + "runs: [{name: r, fence: f}]\n"),
    ("boundary-missing", "all", FENCE + "runs: [{name: r, fence: f, sides: all, inside boundary: ask}]\n".replace(", inside boundary: ask", "")),
    ("same-point", "B", FENCE + "runs: [{name: r, fence: f, through: [A, B, B]}]\n"),
    ("duplicate-name", "r", FENCE + "runs: [{name: r, fence: f, through: [A, B]}, {name: r, fence: f, through: [B, C]}]\n"),
    ("wrong-number", "[A, B]", FENCE + "runs: [{name: r, fence: f, through: [A, B], closed: yes}]\n"),
    ("gate-place", "{opening: 4 ft}", RUN + ", gates: [{opening: 4 ft}]}\n"),
    ("missing-key", "{at: B}", RUN + ", gates: [{at: B}]}\n"),
    ("not-from-a-point", "22 ft", RUN + ", gates: [{opening: 4 ft, starts: 22 ft}]}\n"),
    ("unit-unknown", "fot", RUN + ", gates: [{opening: 4 ft, starts: 22 fot from B}]}\n"),
    ("not-on-run", "D", RUN + ", gates: [{opening: 4 ft, starts: 22 ft from D}]}\n"),
    ("not-on-run", "D", RUN + ", gates: [{opening: 4 ft, at: B, hinges: near D}]}\n"),
    ("not-on-run", "D", RUN + ", ends: {D: {at wall: bracket}}}\n"),
    ("not-an-end", "B", RUN + ", ends: {B: {at wall: bracket}}}\n"),
    ("not-an-end", "B", RUN + ", short bay at: B}\n"),
    ("bays-way", "A", RUN + ", bays: even, short bay at: A}\n"),
    ("not-a-choice", "nail", RUN + ", ends: {A: {at wall: nail}}}\n"),
    ("inset-way", "{face: 8 in, post: 8 in}", RUN + ", inside boundary: {face: 8 in, post: 8 in}}\nboundary: {through: [A, B, C]}\n"),
    ("boundary-missing", "{face: 8 in}", RUN + ", inside boundary: {face: 8 in}}\n"),
    ("zone-place", "{name: g, each side: 2 ft, inside it: no hole}", HEAD + "clear of: [{name: g, each side: 2 ft, inside it: no hole}]\n"),
    ("height-way", "{from: A, to: B}", POINTS + "heights: [{from: A, to: B}]\n"),
    ("same-point", "A", POINTS + "heights: [{falls: 3 in, from: A, to: A}]\n"),
    ("locate-dates", "2026-05-01", HEAD + "locate: {legal from: 2026-05-04, expires: 2026-05-01}\n"),
    ("measured-kind", "{with: tape}", HEAD + "measured: [{with: tape}]\n"),
    ("measured-kind", "88°", POINTS + "measured: [{square: [A, B, C], inside angle: 88°}]\n"),
    ("missing-key", "{tape: [A, B]}", POINTS + "measured: [{tape: [A, B]}]\n"),
    ("wrong-number", "[A, B]", POINTS + "measured: [{square: [A, B]}]\n"),
    ("wrong-number", "[A, B, C]", POINTS + "measured: [{tape: [A, B, C], reads: 9 ft}]\n"),
    ("angle-out-of-range", "190°", POINTS + "measured: [{angle: [A, B, C], inside angle: 190°}]\n"),
]  # fmt: skip


@pytest.mark.parametrize(("slug", "text", "data"), CASES)
def test_one_problem_with_its_place(slug, text, data):
    problem = one(data)
    assert problem.slug == slug
    assert marked(data, problem) == text
    assert problem.where.file == "job.yaml"
    assert problem.excerpt == data.split("\n")[problem.where.line - 1]


BOUNDARY = (
    HEAD
    + f"fences: {{f: {{kind: boards}}}}\nboundary: {{{CALLS}}}\nruns: [{{name: r, fence: f, inside boundary: {{face: 8 in}}, "
)


@pytest.mark.parametrize(
    ("sides", "slug"),
    [
        ("[1, 3]", "sides-not-in-order"),
        ("[2, 1, 2]", "sides-not-in-order"),
        ("[4, 2, 3, 1]", "sides-not-in-order"),
        ("[1, 2, 1]", "sides-not-in-order"),
        ("[3, 2, 4]", "sides-not-in-order"),
        ("[1, 2, 3, 4, 1]", "sides-not-in-order"),
        ("[1, 4, 3, 2, 1]", "sides-not-in-order"),
        ("[5]", "unknown-side"),
        ("every", "not-a-choice"),
        ("[0]", "not-a-count"),
    ],
)
def test_sides(sides, slug):
    assert one(BOUNDARY + f"sides: {sides}}}]").slug == slug


def test_a_run_without_a_name_that_calls_names_out():
    data = BOUNDARY.replace("name: r, ", "") + "sides: [1, 2], call: [A, B, C]}]"
    assert one(data).what == "`name` is missing"
    twice = problems(BOUNDARY.replace("name: r, ", "") + "sides: [1, 2], call: [A, B, A]}]")
    assert [problem.slug for problem in twice] == ["missing-key", "name-twice"]


def test_sides_need_a_distance_inside():
    problem = one(BOUNDARY.replace("inside boundary: {face: 8 in}, ", "") + "sides: all}]")
    assert (problem.slug, problem.hint) == ("missing-key", "add `inside boundary: {face: 8 in}`")


WALK = HEAD + "walls: [{from: L, to: R, length: 40 ft}]\nwalks:\n - {from: L, along: R, "


@pytest.mark.parametrize(
    ("keys", "slug", "text"),
    [
        ("go: [18 ft, 45°, 12 ft], call: [A, B]", "bare-angle", "45°"),
        ("go: [18 ft, 45° left, 12 ft], call: [A, B]", "bare-angle", "45° left"),
        ("go: [18 ft, inside angle 70°, 12 ft], call: [A, B]", "bare-angle", "inside angle 70°"),
        ("go: [18 ft, lft, 12 ft], call: [A, B]", "walk-step", "lft"),
        ("go: [18 ft, left 190°, 12 ft], call: [A, B]", "angle-out-of-range", "left 190°"),
        ("go: [18 ft, left 45, 12 ft], call: [A, B]", "angle-unit-missing", "45"),
        ("go: [18 ft, left], call: [A]", "walk-step", "left"),
        ("go: [18 ft, 0 ft], call: [A, B]", "length-out-of-range", "0 ft"),
        ("go: [18 ft, left, 12 ft], call: [A]", "walk-names", "[A]"),
        ("go: [18 ft], call: [A, B]", "walk-names", "[A, B]"),
        ("go: [18 ft], call: [A], toward: R", "walk-direction", "{from: L, along: R, go: [18 ft], call: [A], toward: R}"),
    ],
)  # fmt: skip
def test_walks(keys, slug, text):
    data = WALK + keys + "}\n"
    problem = one(data)
    assert (problem.slug, marked(data, problem)) == (slug, text)


def test_hints_name_the_nearest_spelling():
    assert "`bottom gap`" not in one(HEAD + "boundry: {}\n").hint
    assert one(HEAD + "boundry: {}\n").hint == "did you mean `boundary`?"
    assert (
        one(FENCE + "runs: [{name: r, fence: f, through: [A, B], inside_boundary: {}}]").hint
        == "did you mean `inside boundary`?"
    )
    assert one(FENCE.replace("B:", "house rear left:") + "runs: [{name: r, fence: f, through: [A, hous rear left]}]").hint == (
        "did you mean `house rear left`?"
    )  # fmt: skip
    assert one(POINTS + "fences: {privacy: {kind: x}}\nruns: [{name: r, fence: privcy, through: [A, B]}]").hint == (
        "did you mean `privacy`?"
    )
    assert one("palewright: 1\njob: {title: T, print: feet-inch}\n").hint == "did you mean `feet-inches`?"


def test_a_comma_inside_braces_is_explained():
    problem = one(HEAD + "points: {A: {at: [0 ft, 0 ft], found: iron pin, cap 1178, matches record: yes}}")
    assert problem.slug == "unknown-key"
    assert problem.hint == "inside { } a comma begins a new key: put the words of `found` in quotes"
    hints = [problem.hint for problem in problems(HEAD + "points: {A: {at: 40 ft, 30 ft}}")]
    assert hints[-1] == "inside { } a comma begins a new key: write `at: [40 ft, 30 ft]`"


def test_all_problems_at_once_in_the_order_of_the_file():
    data = (
        "palewright: 1\njob: {title: T, paper: a5}\npoints: {A: {at: [0, 0 ft]}, B: {at: [0 ft, 1 ft]}}\n"
        "fences: {f: {kind: boards, board: 6}}\nruns: [{name: r, fence: g, through: [A, C], yrd: left}]\n"
    )
    found = problems(data)
    assert [problem.slug for problem in found] == [
        "not-a-choice",
        "unit-missing",
        "unit-missing",
        "unknown-fence",
        "unknown-point",
        "unknown-key",
    ]
    assert [marked(data, problem) for problem in found] == ["a5", "0", "6", "g", "C", "yrd"]


def test_a_point_that_cannot_be_read_is_still_known_by_name():
    found = problems(FENCE.replace("[50 ft, 0 ft]", "[50, 0 ft]") + "runs: [{name: r, fence: f, through: [A, B]}]")
    assert [problem.slug for problem in found] == ["unit-missing"]


def test_the_rendered_problem():
    data = HEAD + "fences:\n  privacy: {kind: boards, board: 6 foo}\n"
    assert one(data).render() == (
        "job.yaml:4:36  error  unit-unknown\n"
        "  this is not a unit of length: found 'foo'; allowed: ft, in, ', \", yd, m, cm, mm, km, ch, lk, rd, fur, mi, "
        "ft US, varas (STATE), engineer's chains\n"
        "       privacy: {kind: boards, board: 6 foo}\n"
        "                                        ~~~\n"
        "  hint: did you mean foot?"
    )


# the file itself

YAML = [
    ("not-yaml", HEAD + "points: {A: {at: [0 ft, 0 ft]}\nruns: 1\n"),
    ("not-yaml", HEAD + "points: [\n"),
    ("not-yaml", "palewright: 1\njob: {title: 'T}\n"),
    ("not-yaml", HEAD + "  points: 1\n"),
    ("not-yaml", "palewright: 1\njob: {title: @T}\n"),
    ("not-yaml", "palewright: 1\njob:\n  title: a: b\n"),
    ("not-yaml", "%%%\n"),
    ("tab-indent", "palewright: 1\njob:\n\ttitle: T\n"),
    ("yaml-not-allowed", "palewright: 1\njob: {title: &a T}\n"),
    ("yaml-not-allowed", "palewright: 1\njob: {title: *a}\n"),
    ("yaml-not-allowed", "palewright: 1\njob: {title: !!str T}\n"),
    ("yaml-not-allowed", "palewright: 1\njob: {title: T, <<: {paper: a4}}\n"),
    ("yaml-not-allowed", "%YAML 1.1\n---\n" + HEAD),
    ("second-document", HEAD + "---\n" + HEAD),
    ("duplicate-key", HEAD + "job: {title: U}\n"),
    ("duplicate-key", "palewright: 1\njob: {title: T, title: T}\n"),
    ("key-not-text", HEAD + "? [a]\n: b\n"),
    ("not-a-table", "- a\n- b\n"),
    ("not-a-table", "just words\n"),
    ("empty-file", ""),
    ("empty-file", "# nothing yet\n\n"),
    ("empty-file", "~\n"),
    ("control-character", HEAD + "site: {soil: a\x00b}\n"),
    ("control-character", HEAD + "site: {soil: a\x07b}\n"),
    ("too-deep", HEAD + "points: " + "[" * 5000),
    ("too-deep", "".join(" " * k + "a:\n" for k in range(200))),
    ("too-many-values", HEAD + "runs: [" + ("a, " * 1_000 + "\n") * 24 + "]\n"),
    ("text-too-long", f"palewright: 1\njob: {{title: {'x' * 5000}}}\n"),
    ("line-too-long", f"palewright: 1\njob: {{title: {'x' * 50_000}}}\n"),
    ("file-too-large", "x" * 10_000_000),
]


@pytest.mark.parametrize(("slug", "data"), YAML, ids=[f"{slug}-{k}" for k, (slug, _) in enumerate(YAML)])
def test_what_is_no_job_file(slug, data):
    started = time.perf_counter()
    found = problems(data)
    assert time.perf_counter() - started < 5.0
    assert found[0].slug == slug
    assert all(problem.severity == "error" for problem in found)
    if slug not in ("empty-file", "file-too-large"):
        assert found[0].where.line > 0
        assert found[0].where.column > 0


def test_an_alias_bomb_costs_nothing():
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{k}: &a{k} [{', '.join([f'*a{k - 1}'] * 9)}]" for k in range(1, 30)]
    started = time.perf_counter()
    found = problems("\n".join(lines))
    assert time.perf_counter() - started < 2.0
    assert [problem.found for problem in found if problem.slug == "yaml-not-allowed"] == [
        "&a0",
        "&a1",
        "*a0",
        "*a0",
        "*a0",
    ]
    (more,) = [problem for problem in found if problem.slug == "more-problems"]
    assert (
        more.what == "286 more of the anchors, aliases, tags and the like are not shown"
    )  # 30 anchors, 29 x 9 aliases


@pytest.mark.parametrize("state", ["Ohio", "texass"])
def test_a_state_without_a_vara_is_said_once(state):
    points = "".join(f"  P{k}: {{at: [{k} varas, 2 varas]}}\n" for k in range(1, 9))
    problem = one(f"palewright: 1\njob: {{title: T, vara: {state}}}\npoints:\n{points}")
    assert (problem.slug, problem.found, problem.where.line) == ("vara-state-unknown", state, 2)


def test_nothing_behind_a_key_is_said_at_the_key():
    problem = one(
        HEAD + "runs:\nheights: [{falls: 1 ft, from: A, to: B}]\npoints: {A: {stands: oak}, B: {stands: elm}}\n"
    )
    assert (problem.slug, problem.where.line, problem.where.column, problem.excerpt) == ("no-value", 3, 6, "runs:")


@pytest.mark.parametrize("key", ["called on", "legal from", "expires"])
@pytest.mark.parametrize("day", ["2026-06-31", "2026-02-29", "soon", "05/26/2026", "2026-05-05 25:00", "2026-05-055"])
def test_a_day_that_is_no_day(key, day):
    problem = one(HEAD + f"locate: {{{key}: {day}}}\n")
    assert (problem.slug, problem.found) == ("not-a-day", day)
    assert problem.hint == "write it like 2026-05-26 (year-month-day), or `ask`"


def test_tabs_are_all_named():
    found = problems("palewright: 1\njob:\n\ttitle: T\n\tpaper: a4\n")
    assert [(problem.slug, problem.where.line, problem.where.column) for problem in found] == [
        ("tab-indent", 3, 1),
        ("tab-indent", 4, 1),
    ]


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"])
def test_latin_1(mark, end):
    data = mark + b"palewright: 1" + end + b"job: {title: Caf\xe9 yard}" + end
    problem = one(data)
    assert (problem.slug, problem.where.line, problem.where.column) == ("not-utf8", 2, 17)
    assert problem.found == "byte 0xe9"
    assert problem.hint == "save the file as UTF-8; read as Latin-1 this byte would be é"
    assert problem.excerpt == "job: {title: Café yard}"


def test_latin_1_after_other_letters():
    problem = one("palewright: 1\njob: {title: Ñandú ".encode() + b"\xf1}\n")
    assert (problem.where.line, problem.where.column) == (2, 20)


def test_utf_16():
    assert "UTF-16" in one("palewright: 1\n".encode("utf-16")).hint


def test_a_problem_in_a_file_with_windows_line_ends():
    data = (HEAD + "fences:\n  f: {kind: boards, board: 6 foo}\n").replace("\n", "\r\n")
    problem = one(data)
    assert (problem.where.line, marked(data, problem)) == (4, "foo")
    assert problem.excerpt == "  f: {kind: boards, board: 6 foo}"


def test_a_missing_file(tmp_path):
    with pytest.raises(JobError) as caught:
        jobfile.read(tmp_path / "none.yaml")
    assert caught.value.problems[0].slug == "file-unreadable"
    with pytest.raises(JobError):
        jobfile.read(tmp_path)
    with pytest.raises(JobError):
        jobfile.read("a\x00b")


def test_many_problems_are_cut_off():
    found = problems(HEAD + "".join(f"key{k}: 1\n" for k in range(400)))
    assert len(found) == 201
    assert found[-1].slug == "more-problems"
    assert "200 more" in found[-1].what


def test_every_slug_of_this_room_has_an_entry():
    entries = set(re.findall(r"^## (\S+)$", (ROOT / "docs/messages.md").read_text(), re.MULTILINE))
    slugs = set()
    for path in (ROOT / "src/palewright/jobfile").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
                if name in ("wrong", "wrong_at", "report", "problem", "Problem") and node.args:
                    first = node.args[0]
                    if isinstance(first, ast.Constant) and isinstance(first.value, str):
                        slugs.add(first.value)
    assert len(slugs) > 50
    assert not slugs - entries


LOT = """boundary: {start: SW, names: [SW, NW, NE, SE], calls: [N 0 E 100 ft, N 90 E 50 ft, S 0 W 100 ft, to beginning], corners: {SW: ask}}
points: {SW: {at: [0 ft, 0 ft]}, house left: {at: [10 ft, 50 ft]}, house right: {at: [40 ft, 50 ft]}}
walls: [{from: house left, to: house right, length: 30 ft}]
fences: {f: {kind: boards}}
runs:
  - {name: r, fence: f, through: [house left, NW, NE, house right], yard: left, ends: {house left: {at wall: bracket}},
     gates: [{opening: 4 ft, starts: 6 ft from house left, hinges: near NW, swings: to yard}]}
  - {name: s, fence: f, sides: [1], inside boundary: {face: 8 in}, yard: right, gates: [{opening: 4 ft, starts: 6 ft from SW}]}
"""


@pytest.mark.parametrize(
    ("line", "name", "wrong", "found"),
    [
        (8, "house left", "house lfet", "house lfet"),  # in `through`: ends and gates speak of a point that the run then lacks
        (8, "NW", "NX", "NX"),
        (3, "start: SW", "start: SX", "SW"),
        (3, "[SW", "[SX", "SX"),
        (5, "house left", "hosue left", "hosue left"),
    ],
)  # fmt: skip
def test_one_slip_in_a_name_is_one_problem(line: int, name: str, wrong: str, found: str) -> None:
    rows = (HEAD + LOT).splitlines(keepends=True)
    rows[line - 1] = rows[line - 1].replace(name, wrong, 1)
    assert one("".join(rows)).found == found


def test_a_slip_where_a_point_is_defined_is_told_once_with_every_line_that_names_it() -> None:
    runs = "".join(f"  - {{name: r{k}, fence: f, through: [A, B, house left], yard: left}}\n" for k in range(3))
    problem = one(FENCE.replace(" C:", " hosue left:") + "runs:\n" + runs)
    assert (problem.found, problem.where.line) == ("house left", 6)
    assert problem.hint == "did you mean `hosue left`? (the same name: line 7, 8)"


def test_directions_that_look_alike_are_no_slips_of_one_another() -> None:
    """A point that one tape names alone is asked for where it looks like another: east and west are two words."""
    tape = "measured: [{tape: [A, east post], reads: 5 ft}, {tape: [A, west post], reads: 9 ft}, {tape: [A, poste este], reads: 9 ft}, {tape: [A, poste oeste], reads: 9 ft}]\n"
    jobfile.read_text(POINTS + tape)
    assert one(POINTS.replace("B:", "esat post:") + tape).found == "east post"
