"""Price lists: a CSV of code, unit and price, and its use on a take-off."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import field, replace
from decimal import ROUND_HALF_EVEN, Decimal

from palewright.errors import JobError, NotationError, Problem, Where
from palewright.model import Item
from palewright.notation import Money, parse_money
from palewright.record import Record

__all__ = ["Price", "PriceList", "apply_prices", "read_prices"]

_COLUMNS = ("code", "unit", "price")
_CENT = Decimal("0.01")
_MOST = Decimal(10) ** 9
_LIMIT = 1_000_000
_MOST_PROBLEMS = 200
_SHOWN = 40


class Price(Record):
    """One line: price of one purchase unit, with the place it was read from."""

    code: str
    unit: str
    amount: Decimal
    at: Where = field(default_factory=Where)


class PriceList(Record):
    """Prices by code; ``currency`` in three letters, "" where none was written."""

    file: str
    prices: dict[str, Price]
    currency: str = ""


def read_prices(text: str, file: str = "") -> PriceList:
    """Read a price list.

    text
        CSV with a header row that has the columns ``code``, ``unit`` and ``price`` in any order; other columns are
        notes. A byte order mark, Windows line ends, quoted commas and empty lines are all right; a line that starts
        with # is a comment. Prices as people write them: ``$4.10``, ``1,234.50 USD``, ``4.10``.
    file
        name for messages.
    Returns the list. Raises JobError with every problem (the first 200) at its line and column: no header, missing
    or empty field, a price that is no sum, negative or too large, a code twice, two currencies.

    >>> prices = read_prices("code,unit,price\\npost.4x4.8ft,each,$11.40\\n")
    >>> prices.prices["post.4x4.8ft"].amount, prices.currency
    (Decimal('11.40'), 'USD')
    """
    problems: list[Problem] = []
    if len(text) > _LIMIT:
        raise JobError(_problem("prices-too-large", "the price list is too large", file, 1, allowed="1 MB"))
    rows = _rows(text.removeprefix("\ufeff"), file, problems)
    columns = _columns(rows[0], file, problems) if rows else None
    if columns is None:  # some other file, perhaps: nothing of what stands in it is repeated
        problems = [problem if problem.slug == "prices-header" else replace(problem, found="") for problem in problems]
    if not rows:
        if not problems:
            problems.append(
                _problem("prices-header", "the price list is empty", file, 1, allowed="a header: code,unit,price")
            )
        raise JobError(problems)
    if columns is None:
        raise JobError(problems)
    result = _Reading(file, len(rows[0][1]))
    for line, cells in rows[1:]:
        result.take(line, cells, columns)
        if len(result.problems) >= _MOST_PROBLEMS:
            break
    problems += result.problems
    if problems:
        raise JobError(problems)
    return PriceList(file, result.prices, result.currency)


class _Cell(Record):
    """A field: its text, and its column and width in the line."""

    text: str
    column: int
    width: int


_Row = tuple[int, list[_Cell]]
_FIELD = re.compile(r'[ \t]*(?:"((?:[^"]|"")*)"[ \t]*|([^",\r\n]*))(,|\r\n|\n|\r|\Z)')


def _rows(text: str, file: str, problems: list[Problem]) -> list[_Row]:
    """Rows with their line; comments and empty lines left out. A quote out of place ends the reading."""
    rows: list[_Row] = []
    at, line, start = 0, 1, 0
    cells: list[_Cell] = []
    while at < len(text):
        match = None
        if not cells and text[at] == "#":
            end = re.compile(r"\r\n|\n|\r|\Z").search(text, at)
            assert end is not None
            at = start = end.end()
            line += 1
            continue
        match = _FIELD.match(text, at)
        if match is None:
            problems.append(_quote(text, at, start, line, file))
            break
        quoted, plain, stop = match.groups()
        inner = quoted.replace('""', '"') if quoted is not None else plain
        cells.append(_Cell(inner.strip(), at - start + 1, max(1, match.start(3) - at)))
        at = match.end()
        if stop != ",":
            if any(cell.text for cell in cells):
                rows.append((line, cells))
            line += 1 + (text.count("\n", start, match.start(3)))
            cells, start = [], at
    if cells:
        rows.append((line, [*cells, _Cell("", at - start + 1, 1)]))
    return rows


def _quote(text: str, at: int, start: int, line: int, file: str) -> Problem:
    rest = re.match(r"[^\r\n]*", text[at : at + 200])
    where = Where(file, line, at - start + 1, max(1, len(rest.group()) if rest else 1))
    return Problem(
        "prices-unreadable",
        "a quotation mark is out of place",
        where,
        found=_clip(rest.group() if rest else ""),
        hint='a field with a comma in it is written "in quotes"; one inside is doubled; write inches as in',
    )


def _columns(header: _Row, file: str, problems: list[Problem]) -> dict[str, int] | None:
    line, cells = header
    names = [cell.text.lower() for cell in cells]
    missing = [name for name in _COLUMNS if name not in names]
    twice = [name for name in _COLUMNS if names.count(name) > 1]
    if missing or twice:
        problems.append(
            _problem(
                "prices-header",
                "the first row must name the columns code, unit and price, each once",
                file,
                line,
                found=", ".join(name for name in names if name in _COLUMNS) or "none of them",
                allowed="code,unit,price",
                hint=("missing: " + ", ".join(missing) + "; is this the price list?")
                if missing
                else ("twice: " + ", ".join(twice)),
            )
        )
        return None
    return {name: names.index(name) for name in _COLUMNS}


class _Reading:
    """Rows turned to prices; problems and the currency kept on the way."""

    def __init__(self, file: str, width: int) -> None:
        self.file = file
        self.width = width
        self.prices: dict[str, Price] = {}
        self.currency = ""
        self.problems: list[Problem] = []

    def take(self, line: int, cells: list[_Cell], columns: dict[str, int]) -> None:
        """One row."""
        fields = {name: cells[index].text if index < len(cells) else "" for name, index in columns.items()}
        if any(cell.text for cell in cells[self.width :]):
            self._bad(
                "price-fields-many",
                "the line has more fields than the header",
                line,
                cells,
                self.width,
                found=_clip(",".join(cell.text for cell in cells[self.width :])),
                allowed=f"{self.width} fields",
                hint='a price with a comma in it is written "1,234.50"',
            )
            return
        empty = [name for name in _COLUMNS if not fields[name]]
        if empty:
            self._bad(
                "price-field-missing", f"the line lacks its {' and '.join(empty)}", line, cells, columns[empty[0]]
            )
            return
        money = self._money(line, cells, columns["price"], fields["price"])
        if money is None:
            return
        code = fields["code"]
        if code in self.prices:
            self._bad(
                "price-twice", "this code has a price already", line, cells, columns["code"],
                found=_clip(code), hint=f"the first stands in line {self.prices[code].at.line}",
            )  # fmt: skip
            return
        self.currency = self.currency or money.currency
        self.prices[code] = Price(code, fields["unit"], money.amount, Where(self.file, line, 1, len(code)))

    def _money(self, line: int, cells: list[_Cell], column: int, text: str) -> Money | None:
        """What a price says; None where it cannot be one."""
        try:
            money = parse_money(text)
        except NotationError as error:
            first = error.problems[0]
            self._bad(
                "price-unreadable", first.what, line, cells, column,
                found=_clip(text), allowed=first.allowed,
                hint=first.hint or "write an amount such as 12.50 or $12.50",
            )  # fmt: skip
            return None
        if money.amount <= 0 or money.amount > _MOST:
            what = "a price of nothing is not a price" if money.amount == 0 else "this price is too large"
            hint = "leave out what is not bought; a missing price is asked for" if money.amount == 0 else ""
            self._bad("price-out-of-range", what, line, cells, column, found=_clip(text), hint=hint)
            return None
        if money.currency and self.currency and money.currency != self.currency:
            self._bad(
                "price-currencies", "one price list has one currency", line, cells, column,
                found=f"{money.currency} after {self.currency}",
            )  # fmt: skip
            return None
        return money

    def _bad(
        self, slug: str, what: str, line: int, cells: list[_Cell], column: int, *,
        found: str = "", allowed: str = "", hint: str = "",
    ) -> None:  # fmt: skip
        cell = cells[min(column, len(cells) - 1)]
        where = Where(self.file, line, cell.column, cell.width)
        self.problems.append(Problem(slug, what, where, found=found, allowed=allowed, hint=hint))


def _problem(slug: str, what: str, file: str, line: int, **more: str) -> Problem:
    return Problem(slug, what, Where(file, line, 1), **more)


def _clip(text: str, most: int = _SHOWN) -> str:
    return text if len(text) <= most else text[: most - 3] + "..."


def apply_prices(items: Iterable[Item], prices: PriceList, currency: str = "") -> tuple[tuple[Item, ...], Decimal]:
    """Prices laid on the lines of a take-off.

    items
        lines without a price. prices: the list. currency: of the job, three letters, or "" when not said.
    Returns the lines with price and cost, and the total. Each cost is price x buy, rounded to the cent, half to even,
    once; the total is the sum of the rounded costs, so that a reader who adds the column gets it.
    Raises JobError with every code that has no price (``price-missing``: never a zero) and every unit that differs
    (``price-unit-differs``), all at once; ``price-currencies`` when job and list name different ones.
    """
    priced: list[Item] = []
    problems: list[Problem] = []
    if currency and prices.currency and currency.upper() != prices.currency:
        problems.append(
            Problem(
                "price-currencies",
                "the price list is in another currency than the job",
                Where(file=prices.file),
                found=prices.currency,
                allowed=currency,
                hint="a bare $ means US dollars; write CAD 12, or leave the sign out",
            )
        )
    seen: set[str] = set()
    total = Decimal(0)
    for item in items:
        price = prices.prices.get(item.code)
        if price is None or _plain(price.unit) != _plain(item.buy_unit):
            if item.code not in seen:
                problems.append(_missing(item, prices.file) if price is None else _unit_differs(item, price))
            seen.add(item.code)
            continue
        cost = (price.amount * item.buy).quantize(_CENT, rounding=ROUND_HALF_EVEN)
        total += cost
        priced.append(replace(item, price=price.amount, cost=cost))
    if problems:
        raise JobError(problems)
    return tuple(priced), total


def _plain(unit: str) -> str:
    return " ".join(unit.lower().split())


def _missing(item: Item, file: str) -> Problem:
    return Problem(
        "price-missing",
        "the price list has no price for something that is to be bought",
        Where(file=file, thing=item.code),
        found="no line",
        allowed="a price",
        hint=f"add the line: {item.code},{item.buy_unit},<price>",
    )


def _unit_differs(item: Item, price: Price) -> Problem:
    return Problem(
        "price-unit-differs",
        f"the price of {item.code} is for another unit than the one bought",
        price.at,
        found=price.unit,
        allowed=item.buy_unit,
        hint="give the price of one purchase unit as the list to buy has it",
    )
