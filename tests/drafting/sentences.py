"""Every sentence that the program can make into a problem, read from its source, with ``{}`` for what is put into it."""

from __future__ import annotations

import ast
import functools
import itertools
from collections.abc import Iterator
from pathlib import Path

import palewright

ROOT = Path(palewright.__file__).parent
ROLES = ("what", "hint", "allowed")
FIELDS = ("slug", "what", "where", "severity", "found", "allowed", "hint")
_DEEPEST, _MOST = 6, 400
Texts = frozenset[str]
BLANK: Texts = frozenset({"{}"})
Function = ast.FunctionDef | ast.AsyncFunctionDef


class Room:
    """One module: its tree, and the functions of the whole program by name."""

    def __init__(self, path: Path, functions: dict[str, list[tuple[Path, Function]]]) -> None:
        self.path, self.functions = path, functions
        self.tree = ast.parse(path.read_text("utf-8"))

    def texts(self, node: ast.expr, inside: Function | None, deep: int = 0) -> Texts:
        """Every text that an expression can be, as far as the source says it."""
        if deep > _DEEPEST:
            return BLANK

        def again(part: ast.expr) -> Texts:
            return self.texts(part, inside, deep + 1)

        match node:
            case ast.Constant(value=str(text)):
                return frozenset({text})
            case ast.JoinedStr(values=parts):
                return _joined([_part(part, again) for part in parts])
            case ast.IfExp(body=one, orelse=other):
                return again(one) | again(other)
            case ast.BoolOp(values=values):
                return frozenset().union(*map(again, values))
            case ast.BinOp(left=left, op=ast.Add(), right=right):
                known = _joined([again(left), again(right)])
                return BLANK if known == frozenset({"{}{}"}) else known
            case ast.Subscript(value=ast.Dict(values=values)):
                return frozenset().union(*map(again, values))
            case ast.Call(func=ast.Attribute(value=ast.Dict(values=values), attr="get"), args=[_, other]):
                return frozenset().union(again(other), *map(again, values))
            case ast.Call(func=ast.Name(id=name) | ast.Attribute(value=ast.Name(id="self"), attr=name)):
                return self._returned(name, deep) or BLANK
            case ast.Name(id=name):
                return self._assigned(name, inside, deep) or BLANK
        return BLANK

    def _returned(self, name: str, deep: int) -> Texts:
        """What the functions of this module and this name return, where that is text."""
        found: Texts = frozenset()
        for path, function in self.functions.get(name, []):
            if path == self.path and function.returns is not None and ast.unparse(function.returns) == "str":
                for node in _walked(function):
                    if isinstance(node, ast.Return) and node.value is not None:
                        found |= self.texts(node.value, function, deep + 1)
        return found

    def _assigned(self, name: str, inside: Function | None, deep: int) -> Texts:
        """What a name was given, in its function or else in the module."""
        for body in (_walked(inside), tuple(self.tree.body)):
            found: Texts = frozenset()
            for node in body:
                if isinstance(node, ast.AugAssign) and getattr(node.target, "id", "") == name:
                    found |= _joined([found, self.texts(node.value, inside, deep + 1)])
                elif isinstance(node, ast.Assign):
                    for given in _given(node.targets[0], node.value, name):
                        found |= self.texts(given, inside, deep + 1)
            if found:
                return found
        return frozenset()

    def _maker(self, name: str) -> tuple[str, ...]:
        """The parameters of a function of this module that makes problems of one slug."""
        for path, function in self.functions.get(name, []):
            made = {getattr(node.func, "id", "") for node in _walked(function) if isinstance(node, ast.Call)}
            if path == self.path and made & {"Problem", "refused", "_problem"}:
                return _parameters(function)
        return ()

    def sentences(self, slugs: frozenset[str]) -> Iterator[tuple[str, int, str]]:
        """Role, line and text of every problem of this module: whatever is called with a slug makes one."""
        for call, inside in _calls(self.tree, None):
            name = getattr(call.func, "id", "") or getattr(call.func, "attr", "")
            begins = next((k for k, part in enumerate(call.args) if _is_slug(part, slugs)), None)
            named: tuple[str, ...] = FIELDS
            if name != "Problem":
                names = [_parameters(function) for _, function in self.functions.get(name, [])]
                named = next((row for row in names if "slug" in row), FIELDS)
            if begins is None and name != "Problem":
                named = self._maker(name)
            start = named.index("slug") if "slug" in named else 0
            values = dict(zip(named[start:], call.args[begins or 0 :], strict=False))
            values |= {word.arg: word.value for word in call.keywords if word.arg}
            for role in ROLES:
                for text in self.texts(values[role], inside) if role in values else ():
                    yield role, call.lineno, text


@functools.cache
def _walked(function: Function | None) -> tuple[ast.AST, ...]:
    return tuple(ast.walk(function)) if function is not None else ()


def _part(part: ast.expr, again: object) -> Texts:
    assert callable(again)
    if not isinstance(part, ast.FormattedValue):
        return again(part)  # type: ignore[no-any-return]
    return BLANK if part.format_spec is not None or isinstance(part.value, ast.BinOp) else again(part.value)


def _joined(parts: list[Texts]) -> Texts:
    return frozenset("".join(row) for row in itertools.islice(itertools.product(*map(sorted, parts)), _MOST))


def _given(target: ast.expr, value: ast.expr, name: str) -> Iterator[ast.expr]:
    if isinstance(target, ast.Name) and target.id == name:
        yield value
    elif isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
        for one, given in zip(target.elts, value.elts, strict=False):
            yield from _given(one, given, name)
    elif isinstance(target, ast.Tuple) and isinstance(value, ast.IfExp):
        yield from (*_given(target, value.body, name), *_given(target, value.orelse, name))


def _calls(node: ast.AST, inside: Function | None) -> Iterator[tuple[ast.Call, Function | None]]:
    inside = node if isinstance(node, Function) else inside
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Call):
            yield child, inside
        yield from _calls(child, inside)


def _is_slug(node: ast.expr, slugs: frozenset[str]) -> bool:
    if isinstance(node, ast.IfExp):
        return _is_slug(node.body, slugs) and _is_slug(node.orelse, slugs)
    return (isinstance(node, ast.Constant) and node.value in slugs) or getattr(node, "id", "") == "slug"


def _parameters(function: Function) -> tuple[str, ...]:
    return tuple(one.arg for one in [*function.args.posonlyargs, *function.args.args] if one.arg != "self")


@functools.cache
def sentences(slugs: frozenset[str]) -> dict[str, str]:
    """Every sentence, hint and limit of the program's problems, each with one place where it is made."""
    functions: dict[str, list[tuple[Path, Function]]] = {}
    paths = sorted(ROOT.rglob("*.py"))
    rooms = [Room(path, functions) for path in paths]
    for room in rooms:
        for node in ast.walk(room.tree):
            if isinstance(node, Function):
                functions.setdefault(node.name, []).append((room.path, node))
    found: dict[str, str] = {}
    for room in rooms:
        for role, line, text in room.sentences(slugs):
            found.setdefault(text, f"{role}, {room.path.relative_to(ROOT)}:{line}")
    return found
