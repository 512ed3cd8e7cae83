"""The only place that talks to typst: templates and data in, PDF/UA out, the same bytes every time."""

from __future__ import annotations

import functools
import importlib
import json
import re
from collections.abc import Mapping, Sequence
from importlib import resources
from pathlib import Path
from typing import Any

from palewright.draw.scene import Scene, to_json
from palewright.errors import OutputError

__all__ = ["FONT", "compile_pdf", "compile_png", "scene_pdf"]

FONT = "Noto Sans"
"""The family that every template must name."""

_STANDARDS = ["ua-1"]
_KEEP = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\u200b\ufeff]")


@functools.cache
def _font_folder() -> str:
    package = importlib.import_module("fontpkg_noto_sans")
    return str(Path(package.ROOT) / "files")


@functools.cache
def _compiler(root: str) -> Any:
    """One compiler for each folder of templates, kept for the life of the process."""
    typst = importlib.import_module("typst")
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[_font_folder()])
    return typst.Compiler(root=root, font_paths=fonts, ignore_system_fonts=True)


@functools.cache
def _glyphs() -> frozenset[int]:
    ttf = importlib.import_module("fontTools.ttLib")
    covered: set[int] = set()
    for path in sorted(Path(_font_folder()).glob("NotoSans[[]*.ttf")):
        with ttf.TTFont(path) as font:
            covered |= set(font.getBestCmap())
    return frozenset(covered)


def _plain(value: Any, keep: frozenset[int] | None) -> Any:
    """The data without control characters, and with "?" for what the font cannot show when ``keep`` is given."""
    if isinstance(value, str):
        text = _KEEP.sub("", value)
        if keep is not None:
            text = "".join(c if ord(c) in keep or c in "\n\t" else "?" for c in text)
        return text
    if isinstance(value, Mapping):
        return {k: _plain(v, keep) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(v, keep) for v in value]
    return value


def _run(template: str, data: Mapping[str, Any], folder: str, **options: Any) -> Any:
    """Compile once; once more with "?" in place of characters that the font cannot show."""
    typst = importlib.import_module("typst")
    compiler = _compiler(folder)
    for keep in (None, "font"):
        inputs = {"data": json.dumps(_plain(data, _glyphs() if keep else None), ensure_ascii=False, sort_keys=True)}
        try:
            out, warnings = compiler.compile_with_warnings(template.encode("utf-8"), sys_inputs=inputs, **options)
        except typst.TypstError as problem:
            if keep is None and "could not be displayed" in str(problem):
                continue
            raise OutputError(f"the paper could not be typeset: {problem}") from problem
        if warnings:
            raise OutputError("the paper could not be typeset: " + "; ".join(str(w) for w in warnings))
        return out
    raise OutputError("the paper could not be typeset")


def compile_pdf(template: str, data: Mapping[str, Any], folder: str | Path | None = None) -> bytes:
    """A PDF/UA-1 file from typst markup and data.

    template
        markup of ours; it reads ``json(bytes(sys.inputs.data))``, must set the font :data:`FONT` and a document title,
        and may import files of ``folder`` by path, for instance ``#import "/scene.typ": scene``.
    data
        anything that JSON can hold: what a person typed comes in here and never becomes markup.
    folder
        where imports are looked up; by default the folder of ``scene.typ``.
    Returns the bytes, the same for the same input. Characters that the font lacks are printed "?".
    Raises OutputError on any error or warning (a missing font is a warning).

    >>> compile_pdf('#set document(title: "t", date: none)\\n#set text(font: "Noto Sans")\\n= t', {})[:5]
    b'%PDF-'
    """
    root = str(folder) if folder is not None else str(resources.files("palewright.draw"))
    return bytes(_run(template, data, root, format="pdf", pdf_standards=_STANDARDS, timestamp=0))


def _sheets(scenes: Sequence[Scene]) -> tuple[str, dict[str, Any]]:
    template = resources.files("palewright.draw").joinpath("sheets.typ").read_text("utf-8")
    first = scenes[0]
    title = first.title.partition(":")[0] if len(scenes) > 1 else first.title
    data = {"title": title, "language": first.language, "scenes": [to_json(scene) for scene in scenes]}
    return template, data


def scene_pdf(scenes: Sequence[Scene]) -> bytes:
    """Drawing sheets as one PDF/UA-1 file, a page each, text real and every drawing described in words.

    Raises ValueError without a scene.
    """
    if not scenes:
        raise ValueError("no scene to print")
    return compile_pdf(*_sheets(scenes))


def compile_png(scenes: Sequence[Scene], ppi: float = 110.0) -> list[bytes]:
    """The sheets as pictures, one PNG each at ``ppi`` dots per inch."""
    template, data = _sheets(scenes)
    out = _run(template, data, str(resources.files("palewright.draw")), format="png", ppi=ppi)
    return [bytes(page) for page in out] if isinstance(out, list) else [bytes(out)]
