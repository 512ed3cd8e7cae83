"""One source, two languages: the same keys and places in both, every remark and every word of the records covered."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from tests.sample_plan import sample_plan

from palewright.model import Remark
from palewright.papers.words import LANGUAGES, _sentences, has, keys, say, table, term, text, whose

SRC = Path(__file__).resolve().parents[2] / "src" / "palewright"
PLACES = re.compile(r"\{(\w+)\}")


def test_same_keys_in_both_languages():
    assert keys("en") == keys("es")


def test_same_places_in_both_languages():
    other = {}
    for key in sorted(keys("en")):
        places = [set(PLACES.findall(text_raw(key, language))) for language in LANGUAGES]
        if places[0] != places[1] or not all(text_raw(key, language).strip() for language in LANGUAGES):
            other[key] = places
    assert other == {}


def test_spanish_is_not_english():
    """Long sentences that are the same in both languages were forgotten."""
    said = {key: PLACES.sub("", text_raw(key, "en")) for key in keys("en")}
    same = [key for key, words in said.items() if len(words) > 12 and text_raw(key, "en") == text_raw(key, "es")]
    assert same == []


def test_a_gain_too_small_to_show_is_not_shown_as_two_equal_lengths():
    args = (("start", "A"), ("end", "B"), ("point", "C"), ("before_m", 0.0160))
    settings = sample_plan().settings
    for slug, more in (("next-tape", ()), ("next-tape-line", (("line_start", "D"), ("line_end", "E")))):
        for two in ((), (("start_2", "F"), ("end_2", "G"))):
            said = [
                say(Remark(slug, "note", "", (*args, *more, *two, ("after_m", m))), settings) for m in (0.0159, 0.008)
            ]
            assert said[0].startswith("No one tape more would better it by as much as can be shown")
            assert said[0].count('5/8"') == 1
            assert '5/8"' in said[1]
            assert '3/8"' in said[1]


def test_memory_is_said_in_the_language_of_the_job():
    said = {language: whose("ISPSC 305 (from memory)", language) for language in LANGUAGES}
    assert said == {"en": "ISPSC 305 (from memory)", "es": "ISPSC 305 (de memoria)"}


def text_raw(key: str, language: str) -> str:
    name, _, entry = key.partition(".")
    return table(name, language)[entry]


def remark_slugs() -> dict[str, str]:
    """Slugs of every ``Remark("...")`` in the source, f-strings as patterns, with the module that says them."""
    found: dict[str, str] = {}
    for path in sorted(SRC.rglob("*.py")):
        if "Remark(" not in (text := path.read_text("utf-8")):
            continue
        tree = ast.parse(text)
        for node in ast.walk(tree):
            if not (isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Remark" and node.args):
                continue
            for slug in _values(node.args[0], tree):
                found[slug] = path.name
    return found


def _values(node: ast.expr, tree: ast.Module) -> list[str]:
    if isinstance(node, ast.Constant):
        return [str(node.value)]
    if isinstance(node, ast.IfExp):
        return _values(node.body, tree) + _values(node.orelse, tree)
    if isinstance(node, ast.JoinedStr):
        return ["".join(str(p.value) if isinstance(p, ast.Constant) else "*" for p in node.values)]
    if isinstance(node, ast.Name):
        named = [
            value
            for other in ast.walk(tree)
            if isinstance(other, ast.Assign) and any(getattr(t, "id", "") == node.id for t in other.targets)
            for value in _values(other.value, tree)
        ]
        return [value for value in named if re.fullmatch(r"[a-z0-9*]+(-[a-z0-9*]+)+", value)]
    return []


@pytest.mark.parametrize("slug", sorted(remark_slugs()))
@pytest.mark.parametrize("language", LANGUAGES)
def test_every_remark_has_a_sentence(slug, language):
    entries = table("remark", language)
    pattern = re.compile(re.escape(slug).replace(r"\*", "[a-z0-9-]+"))
    assert any(pattern.fullmatch(entry.partition("+")[0]) for entry in entries), f"{slug} of {remark_slugs()[slug]}"


def test_lengths_of_a_remark_are_printed_as_the_job_prints_them():
    settings = sample_plan().settings
    remark = Remark(
        "tape-differs",
        "caution",
        "",
        (("start", "A"), ("end", "B"), ("reads_m", 3.0), ("computed_m", 3.1), ("difference_m", 0.1)),
    )
    said = say(remark, settings)
    assert "9' 10 1/8\"" in said  # 3.0 / 0.3048 = 9.8425 ft = 9 ft 10.11 in
    assert '3 7/8" apart' in said  # 0.1 m = 3.937 in, nearest eighth 3.875
    assert "{" not in said


def test_depths_of_holes_are_said_in_inches_however_deep():
    remark = Remark("hole-shallower-than-frost", "caution", "", (("depth_m", 43 * 0.0254), ("wanted_m", 48 * 0.0254)))
    said = say(remark, sample_plan().settings)
    assert '43"' in said
    assert '48"' in said


def test_a_length_that_rounds_to_nothing_is_not_said_to_be_nothing():
    settings = sample_plan().settings
    remark = Remark("walk-closes", "note", "", (("point", "A"), ("miss_m", 0.0004), ("walked_m", 30.0)))
    assert 'under 1/16"' in say(remark, settings)


def test_a_slug_without_words_is_still_said():
    remark = Remark("no-such-slug", "note", "run x", (("depth_m", 0.254), ("name", "a {b}")))
    assert say(remark, sample_plan().settings) == 'run x: no such slug (depth_m 10"; name a {b})'


def test_text_refuses_an_open_place():
    with pytest.raises(KeyError):
        text("common.toward_post", "en")
    with pytest.raises(KeyError):
        text("common.nothing_like_it", "en")


def test_values_are_not_read_as_places():
    assert text("common.toward_post", "en", post="{post}") == "toward post {post}"


@pytest.mark.parametrize("role", ["end", "corner", "line", "gate", "tee", "change"])
@pytest.mark.parametrize("language", LANGUAGES)
def test_roles_have_words(role, language):
    assert term(role, language)
    assert has(f"term.{role}", language)


def test_keys_of_the_papers_are_used():
    """A sentence that no template and no module uses is dead."""
    sources = "\n".join(
        path.read_text("utf-8") for path in (SRC / "papers").rglob("*") if path.suffix in (".py", ".typ")
    )
    dead = [
        key
        for name in ("common", "locate", "crew", "materials", "decisions", "boundary", "pins")
        for key in table(name, "en")
        if not re.search(rf"\b(?:[wc]|{name})\.{key}\b", sources) and not _built(name, key, sources)
    ]
    assert dead == []


def _built(name: str, key: str, sources: str) -> bool:
    """Keys put together from parts: a prefix ends in an underscore right before a place."""
    parts = key.split("_")
    return any(f"{name}.{'_'.join(parts[:k])}_" in sources for k in range(1, len(parts))) or (
        f'"{key}"' in sources or f"{name}.{{" in sources
    )


def test_a_name_that_ends_in_a_full_stop_gives_a_sentence_no_second_one():
    said = say(
        Remark("network-points-loose", "caution", "x", (("found", "the oak of J. Marrow Jr."),)), sample_plan().settings
    )
    assert said == "The measurements do not fix every point: the oak of J. Marrow Jr."
    assert (
        text("boundary.bearings", bearings="plat of J. Marrow Jr.")
        == "Bearings are counted from: plat of J. Marrow Jr."
    )
    assert text("boundary.bearings", bearings="plat, ...") == "Bearings are counted from: plat, ...."


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_sentence_of_a_remark_is_found_by_its_slug(language: str) -> None:
    """Only the lines of a slug are read: together they are the whole table."""
    entries = table("remark", language)
    found = {
        (slug, more): said
        for slug in {entry.split("+")[0] for entry in entries}
        for more, said in _sentences(language, slug)
    }
    wanted = {(entry.split("+")[0], frozenset(entry.split("+")[1:])): said for entry, said in entries.items()}
    assert found == wanted


@pytest.mark.parametrize(("listed", "begins"), [("S3", "Stake S3 does not"), ("S3, S4", "Stakes S3, S4 do not")])
def test_one_stake_has_the_words_for_one(listed: str, begins: str) -> None:
    for more in (("why", "boundary"), ("post", "7"), ("zone", "gas service")):
        remark = Remark("stake-moved", "note", "stakes", (("stake", listed), more))
        assert say(remark, sample_plan().settings).startswith(begins)


def test_one_post_has_the_words_for_one() -> None:
    remark = Remark("mesh-on-square-post", "caution", "", (("fence", "f"), ("posts", "7")))
    assert "ends on post 7, shared with another fence, which is no pipe" in say(remark, sample_plan().settings)
