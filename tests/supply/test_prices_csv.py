"""Price lists: what is read, what is refused with its line and column, and what happens without a price."""

import re
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.errors import JobError
from palewright.model import Item
from palewright.supply import PriceList, apply_prices, read_prices

GOOD = "code,unit,price\npost.wood.4x4.8ft,each,$11.40\nboard.1x6.6ft,each,2.85\n"


def told(text):
    with pytest.raises(JobError) as caught:
        read_prices(text, "prices.csv")
    return caught.value.problems


def item(code="a", buy=3, unit="each"):
    return Item(code, "post", "", float(buy), "each", 0.0, buy, unit, 1.0, "posts")


def prices(*lines):
    return read_prices("code,unit,price\n" + "\n".join(lines), "prices.csv")


@pytest.mark.parametrize(
    "text",
    [
        GOOD,
        "\ufeff" + GOOD,
        GOOD.replace("\n", "\r\n"),
        GOOD.replace("\n", "\r"),
        GOOD.rstrip("\n"),
        "# spring list\n\n" + GOOD + "\n,,\n",
        '"code","unit","price"\n"post.wood.4x4.8ft","each","$11.40"\n"board.1x6.6ft","each","2.85"\n',
        'Price , Code,UNIT,note\n$11.40,post.wood.4x4.8ft,each,\n2.85,board.1x6.6ft,each,"kiln dried, clear"\n',
    ],
)
def test_the_same_list_in_many_spellings(text):
    read = read_prices(text)
    assert {code: (price.unit, price.amount) for code, price in read.prices.items()} == {
        "post.wood.4x4.8ft": ("each", Decimal("11.40")),
        "board.1x6.6ft": ("each", Decimal("2.85")),
    }
    assert read.currency == "USD"


def test_quoted_comma_in_a_price_and_quote_in_a_note():
    read = read_prices('code,unit,price,note\ngate,each,"1,234.50","4\'6"" high"\n')
    assert read.prices["gate"].amount == Decimal("1234.50")


def test_lines_count_through_comments_empty_lines_and_quoted_line_ends():
    text = 'code,unit,price,note\n# one\n\na,each,1,"two\nlines"\nb,each,nothing\n'
    (problem,) = told(text)
    assert (problem.where.line, problem.where.column) == (6, 8)


@pytest.mark.parametrize(
    ("text", "slug", "line", "column"),
    [
        ("", "prices-header", 1, 1),
        ("\n\n# only\n", "prices-header", 1, 1),
        ("code,price\na,1\n", "prices-header", 1, 1),
        ("code,unit,price,price\na,each,1,2\n", "prices-header", 1, 1),
        ("code,unit,price\na,each\n", "price-field-missing", 2, 3),
        ("code,unit,price\n,each,3\n", "price-field-missing", 2, 1),
        ("code,unit,price\na,,3\n", "price-field-missing", 2, 3),
        ("code,unit,price\na,each,-3\n", "price-unreadable", 2, 8),
        ("code,unit,price\na,each,4.1.0\n", "price-unreadable", 2, 8),
        ("code,unit,price\na,each,free\n", "price-unreadable", 2, 8),
        ("code,unit,price\na,each,0.00\n", "price-out-of-range", 2, 8),
        ("code,unit,price\na,each,99999999999\n", "price-out-of-range", 2, 8),
        ("code,unit,price\na,each,1,234.50\n", "price-fields-many", 2, 10),
        ("code,unit,price\na,each,$1\nb,each,CAD 2\n", "price-currencies", 3, 8),
        ("code,unit,price\na,each,1\na,each,2\n", "price-twice", 3, 1),
        ('code,unit,price\npipe 2",each,2\n', "prices-unreadable", 2, 1),
        ('code,unit,price\n"pipe,each,2\n', "prices-unreadable", 2, 1),
    ],
)
def test_refused_with_its_place(text, slug, line, column):
    (problem,) = told(text)
    assert problem.slug == slug
    assert (problem.where.line, problem.where.column) == (line, column)
    assert problem.where.file == "prices.csv"


@pytest.mark.parametrize(
    "text", ["root:x:0:0:root\nsecret,stuff\n", 'pin,"4711\n', "code,secret\na,4711\n", 'a,b\nsecret "4711"\n']
)
def test_a_file_that_is_no_price_list_is_not_repeated(text):
    for problem in told(text):
        assert not {"secret", "4711", "root", "stuff"} & set(re.findall(r"\w+", problem.render()))
        assert problem.hint or problem.allowed


def test_all_problems_at_once():
    found = told("code,unit,price\na,each,-1\nb,,2\nc,each,3\nc,each,4\n")
    assert [problem.slug for problem in found] == ["price-unreadable", "price-field-missing", "price-twice"]


def test_no_more_than_200_problems():
    assert len(told("code,unit,price\n" + "a,each,x\n" * 1000)) == 200


def test_a_list_that_is_too_large():
    assert told("x" * 1_000_001)[0].slug == "prices-too-large"


def test_cost_is_price_times_units_bought_rounded_half_to_even_once():
    items, total = apply_prices(
        [item("a", 5), item("b", 3), item("c", 1)], prices("a,each,0.125", "b,each,0.125", "c,each,4.10")
    )
    assert [line.cost for line in items] == [Decimal("0.62"), Decimal("0.38"), Decimal("4.10")]
    assert total == sum(line.cost for line in items) == Decimal("5.10")


def test_missing_prices_are_problems_all_of_them_never_zero():
    with pytest.raises(JobError) as caught:
        apply_prices([item("a"), item("b"), item("b"), item("c", unit="box of 100")], prices("a,each,1"))
    found = caught.value.problems
    assert [problem.slug for problem in found] == ["price-missing", "price-missing"]
    assert "c,box of 100,<price>" in found[1].hint


def test_another_unit_is_a_problem():
    with pytest.raises(JobError) as caught:
        apply_prices([item("a", unit="box of 100")], prices("a,each,1"))
    (problem,) = caught.value.problems
    assert problem.slug == "price-unit-differs"
    assert (problem.found, problem.allowed, problem.where.line) == ("each", "box of 100", 2)


def test_unit_is_compared_without_case_and_blanks():
    items, _ = apply_prices([item("a", unit="box of 100")], prices("a,Box  of 100,1"))
    assert items[0].price == Decimal(1)


def test_another_currency_than_the_job():
    with pytest.raises(JobError) as caught:
        apply_prices([item("a")], prices("a,each,$1"), "CAD")
    assert caught.value.problems[0].slug == "price-currencies"
    assert apply_prices([item("a")], prices("a,each,$1"), "usd")[1] == Decimal("3.00")


PART = st.sampled_from(
    [
        "code",
        "unit",
        "price",
        ",",
        "\n",
        "\r\n",
        '"',
        "a",
        "each",
        "$1.50",
        "-2",
        "1,234",
        "#",
        " ",
        "\ufeff",
        "0",
        "\x00",
        "é",
    ]
)


@settings(max_examples=200, deadline=None)
@given(
    st.one_of(
        st.text(max_size=60),
        st.lists(PART, max_size=40).map("".join),
        st.lists(PART, max_size=30).map(lambda parts: "code,unit,price\n" + "".join(parts)),
    )
)
def test_anything_gives_a_list_or_problems_with_a_line(text):
    read, said = None, ()
    try:
        read = read_prices(text, "prices.csv")
    except JobError as error:
        said = error.problems
    if read is None:
        assert said
        assert all(problem.where.line >= 1 and problem.where.column >= 1 for problem in said)
    else:
        assert isinstance(read, PriceList)
        assert all(price.amount > 0 and price.unit and code for code, price in read.prices.items())
