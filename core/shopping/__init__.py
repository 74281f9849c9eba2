"""The shopping list: what to buy for the plan, how many, in what packs, for how much."""

from core.shopping.bill import Bill, bill_of_materials
from core.shopping.line import Line
from core.shopping.prices import Price, PriceList, example_prices
from core.shopping.show import COLUMNS, bill_csv, bill_text, show_money

__all__ = [
    "COLUMNS",
    "Bill",
    "Line",
    "Price",
    "PriceList",
    "bill_csv",
    "bill_of_materials",
    "bill_text",
    "example_prices",
    "show_money",
]
