"""The price list as a file: good rows are offered, bad ones refused by row with the reason, nothing else happens."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.shopping import PriceFileError, example_prices, price_list_csv, read_prices


def test_the_examples_come_back_as_they_were():
    read = read_prices(price_list_csv(example_prices()))
    assert read.refused == ()
    assert read.offered == example_prices().prices


def test_bad_rows_are_refused_by_number_and_good_ones_offered():
    text = (
        "key,item,unit,pack,price\n"
        "switch,Switch,each,1,4.20\n"
        "switch,Switch,each,1,5.20\n"
        ",No key,each,1,3\n"
        "plate 1,Plate,each,1,cheap\n"
        "plate 2,Plate,each,1.5,3\n"
        "plate 3,Plate,each,0,3\n"
        "plate 4,Plate,each,1,-3\n"
        'staple,"Staple, insulated",each,100,"$1,007.90"\n'
        "a,b,each,1,3,4,5\n"
        "clamp,Clamp,each,5,\n"
        "huge,Huge,each,1e999999999,1\n"
        "nan,Nan,each,1,NaN\n"
        "connector,'=1+1,,,3.999\n"
    )
    read = read_prices(text)
    assert [(p.key, p.pack, p.price) for p in read.offered] == [
        ("switch", 1, Decimal("4.20")),
        ("staple", 100, Decimal("1007.90")),
        ("connector", 1, Decimal("4.00")),
    ]
    assert [row.row for row in read.refused] == [3, 4, 5, 6, 7, 8, 10, 11, 12, 13]
    reasons = {row.row: row.reason for row in read.refused}
    assert "has a price already" in reasons[3]
    assert "key is empty" in reasons[4]
    assert "'cheap' is not a number" in reasons[5]
    assert "whole number" in reasons[6]
    assert "between 0 and" in reasons[8]
    assert "more cells than columns" in reasons[10]
    assert "price is missing" in reasons[11]
    assert read.offered[2].item == "=1+1"


def test_what_is_no_price_list():
    with pytest.raises(PriceFileError, match="no column key and no column price"):
        read_prices("a,b\n1,2\n")
    with pytest.raises(PriceFileError, match="no column"):
        read_prices("")
    with pytest.raises(PriceFileError, match="not a text file"):
        read_prices(b"\xff\xfe\x00\x01\x80")
    with pytest.raises(PriceFileError, match="larger than"):
        read_prices("x" * 2_000_001)
    long_cell = "key,price\n" + '"' + "x" * 200_000 + '",1\n'
    with pytest.raises(PriceFileError, match="cannot be read"):
        read_prices(long_cell)


@given(
    st.one_of(st.binary(max_size=300), st.text(max_size=300), st.text(max_size=300).map(lambda t: "key,price\n" + t))
)
def test_nothing_else_is_ever_raised(data):
    try:
        read = read_prices(data)
    except PriceFileError:
        return
    assert all(price.price >= 0 and price.pack >= 1 for price in read.offered)
    assert all("\n" not in row.reason for row in read.refused)
