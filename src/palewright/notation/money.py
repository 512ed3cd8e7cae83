"""Sums of money, in Decimal."""

from __future__ import annotations

from decimal import Decimal

from palewright.notation.scan import bad, scan
from palewright.record import Record

__all__ = ["Money", "parse_money"]

_SIGNS = {"$": "USD", "€": "EUR", "£": "GBP"}
_CODES = ("USD", "CAD", "MXN", "EUR", "GBP", "AUD", "NZD", "CHF")
_DOLLARS = {"us": "USD", "c": "CAD", "ca": "CAD", "mx": "MXN", "a": "AUD", "au": "AUD", "nz": "NZD"}
_ALLOWED = "$4.10, 1,234.50 USD, 4.10, €3"


class Money(Record):
    """A sum: ``amount``, never negative, and its ``currency`` (three letters), "" where none was written."""

    amount: Decimal
    currency: str


def parse_money(text: str) -> Money:
    """Read a sum of money.

    text
        ``$4.10``, ``1,234.50 USD``, ``CAD 12``, ``C$12``, ``4.10``, ``€3``; at most 6 decimals. ``$`` alone means US
        dollars.
    Raises NotationError with the span marked.

    >>> parse_money("1,234.50 USD")
    Money(amount=Decimal('1234.50'), currency='USD')
    """
    tokens = scan(text)
    if not tokens:
        raise bad(text, "money-missing", "a sum of money is missing", 0, len(text), allowed=_ALLOWED)
    currency, at = "", 0
    amount: Decimal | None = None
    while at < len(tokens):
        token = tokens[at]
        found = ""
        if token.kind == "number" and amount is None:
            amount = Decimal(token.text)
            if "." in token.text and len(token.text.partition(".")[2]) > 6:
                raise bad(text, "money-decimals", "a price has at most 6 decimals", token.start, token.end)
        elif token.kind == "word" and token.text in _DOLLARS and at + 1 < len(tokens) and tokens[at + 1].kind == "$":
            found = _DOLLARS[token.text]
            at += 1
        elif token.kind == "word" and token.text.upper() in _CODES:
            found = token.text.upper()
        elif token.kind in _SIGNS:
            found = _SIGNS[token.kind]
        elif token.kind == "-":
            raise bad(text, "money-negative", "a sum is not negative", token.start, tokens[-1].end, allowed=_ALLOWED)
        elif token.kind == "word" and len(token.text) == 3:
            raise bad(
                text, "money-currency", "this currency is not known", token.start, token.end, allowed=", ".join(_CODES)
            )
        else:
            raise bad(text, "money-unreadable", "this does not belong to a sum of money", token.start, token.end,
                 allowed=_ALLOWED)  # fmt: skip
        if found:
            if currency and not (token.kind == "word" and currency == "USD" and "$" in text):
                raise bad(text, "money-currency", "two currencies in one sum", token.start, token.end, allowed=_ALLOWED)
            currency = found
        at += 1
    if amount is None:
        raise bad(text, "money-unreadable", "a number is missing", 0, len(text), allowed=_ALLOWED)
    return Money(amount, currency)
