"""XML of our own making: by the standard library, indented, without characters that XML forbids."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Mapping

__all__ = ["add", "document"]

_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def add(parent: ET.Element, tag: str, text: str = "", attributes: Mapping[str, str] | None = None) -> ET.Element:
    """A child with text and attributes, cleaned of what XML 1.0 forbids (control characters)."""
    clean = {key: _FORBIDDEN.sub(" ", value) for key, value in (attributes or {}).items()}
    child = ET.SubElement(parent, tag, clean)
    if text:
        child.text = _FORBIDDEN.sub(" ", text)
    return child


def document(root: ET.Element) -> str:
    """The text of a whole document."""
    ET.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"
