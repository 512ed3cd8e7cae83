"""XML of others, read with lxml: no entity is resolved, nothing is fetched, no document type is taken."""

from __future__ import annotations

from typing import Any

from palewright.exchange.foreign import DAMAGED, refused

__all__ = ["child", "children", "local_name", "numbers", "read_xml", "words"]


def read_xml(data: bytes, file: str) -> Any:
    """The root element of a document. Raises ProblemError: ``file-broken`` with its line, ``xml-doctype``."""
    from lxml import etree

    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, dtd_validation=False, huge_tree=False,
        remove_comments=True, remove_pis=True,
    )  # fmt: skip
    head = data[:4096].replace(b"\x00", b"").upper()
    if b"<!DOCTYPE" in head or b"<!ENTITY" in head:
        raise _doctype(file)
    try:
        root = etree.fromstring(data, parser)
    except etree.XMLSyntaxError as error:
        raise refused("file-broken", "this is not a whole XML document", file, line=error.lineno or 0,
                      found=str(error.msg)[:120], hint="was the file cut off?") from None  # fmt: skip
    except ValueError as error:
        raise refused("file-broken", "this is not a whole XML document", file, found=str(error)[:120],
                      hint=DAMAGED) from None  # fmt: skip
    if root is None or root.getroottree().docinfo.doctype:
        raise _doctype(file)
    return root


def _doctype(file: str) -> Exception:
    return refused("xml-doctype", "the file declares a document type or entities, which are not read", file,
                   hint="map and survey programs write none; was the file made to do harm?")  # fmt: skip


def local_name(element: Any) -> str:
    """Name of an element without its namespace."""
    return str(element.tag).rpartition("}")[2]


def children(element: Any, *names: str) -> list[Any]:
    """Children of these names, whatever their namespace."""
    return [inner for inner in element if local_name(inner) in names]


def child(element: Any, name: str) -> Any:
    """The first child of this name, or None."""
    return next(iter(children(element, name)), None)


def words(element: Any, name: str) -> str:
    """Text of the first child of this name, in one line; "" without one."""
    inner = child(element, name)
    return "" if inner is None else " ".join((inner.text or "").split())


def numbers(text: str | None, file: str, what: str) -> list[float]:
    """Numbers of a text, divided by blanks. Raises ProblemError ``not-a-number``."""
    try:
        return [float(word) for word in (text or "").split()]
    except ValueError:
        found = f"{what}: {' '.join((text or '').split())[:60]}"
        raise refused("not-a-number", "a number is expected here", file, found=found) from None
