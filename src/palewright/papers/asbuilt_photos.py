"""Photos on the as-built sheet: which are printed, and that a spoilt one costs nobody the sheet."""

from __future__ import annotations

import base64
import math
import struct
import zlib
from collections.abc import Mapping

__all__ = ["photos_printed", "pictures_of"]

_MOST_PHOTO, _MOST_PHOTOS = 8_000_000, 24_000_000
"""Photos beyond so many bytes, one and all together, are listed and not printed (our own choice)."""

_MOST_PIXELS = 50_000_000
"""A PNG is unpacked whole while it is set; cameras of phones make up to so many (our own choice)."""

_KINDS = ((b"\xff\xd8\xff", "jpeg"), (b"\x89PNG\r\n\x1a\n", "png"))


def photos_printed(sizes: Mapping[str, int]) -> list[str]:
    """Ids of the photos that are printed, as many as there is room for, by the bytes of each.

    >>> photos_printed({"a": 9_000_000, "b": 7_900_000, "c": 7_900_000, "d": 7_900_000, "e": 7_900_000})
    ['b', 'c', 'd']
    """
    found: list[str] = []
    left = _MOST_PHOTOS
    for name, size in sizes.items():
        if size <= min(_MOST_PHOTO, left):
            found.append(name)
            left -= size
    return found


def _whole_png(data: bytes) -> bool:
    """Whether every part of a PNG is there as it was written, and it is no picture of endless size.

    Source: PNG, W3C Recommendation third edition, 5.3 (chunks) and 11.2.1 (IHDR).
    """
    at = 8
    while len(data) >= at + 12:
        (length,) = struct.unpack_from(">I", data, at)
        kind, check = data[at + 4 : at + 8], data[at + 8 + length : at + 12 + length]
        if check != struct.pack(">I", zlib.crc32(data[at + 4 : at + 8 + length])):
            return False
        if kind == b"IHDR" and (length != 13 or math.prod(struct.unpack_from(">II", data, at + 8)) > _MOST_PIXELS):
            return False
        if kind == b"IEND":
            return True
        at += 12 + length
    return False


def pictures_of(photos: Mapping[str, bytes], size: tuple[int, int] = (400, 300)) -> dict[str, str]:
    """Each picture inside a drawing of a fixed size, by its id."""
    found: dict[str, str] = {}
    for name in photos_printed({name: len(data) for name, data in photos.items()}):
        data = photos[name]
        kind = next((kind for start, kind in _KINDS if data.startswith(start)), "")
        if kind and (kind != "png" or _whole_png(data)):
            inside = f'href="data:image/{kind};base64,{base64.b64encode(data).decode()}"'
            found[name] = (
                f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size[0]} {size[1]}">'
                f'<image width="{size[0]}" height="{size[1]}" preserveAspectRatio="xMinYMax meet" {inside}/></svg>'
            )
    return found
