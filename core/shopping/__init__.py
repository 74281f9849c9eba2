"""The shopping list: what to buy for the plan, how many and why, in what packs, for how much."""

from core.shopping.bill import Bill, bill_of_materials, needs_of
from core.shopping.budget import Alternative, Saving, alternatives, savings
from core.shopping.line import Line
from core.shopping.needs import Need
from core.shopping.packs import Pack, can_be_cut, cheapest_coils, cheapest_mix
from core.shopping.price_file import PriceFileError, ReadPrices, RefusedRow, price_list_csv, read_prices
from core.shopping.prices import Price, PriceList, example_prices, with_own_prices
from core.shopping.running_cost import RunningCost, combination_watts, hourly_cost, running_cost
from core.shopping.show import COLUMNS, PARTS, bill_csv, bill_page, bill_text, pack_words, show_money

__all__ = [
    "COLUMNS",
    "PARTS",
    "Alternative",
    "Bill",
    "Line",
    "Need",
    "Pack",
    "Price",
    "PriceFileError",
    "PriceList",
    "ReadPrices",
    "RefusedRow",
    "RunningCost",
    "Saving",
    "alternatives",
    "bill_csv",
    "bill_of_materials",
    "bill_page",
    "bill_text",
    "can_be_cut",
    "cheapest_coils",
    "cheapest_mix",
    "combination_watts",
    "example_prices",
    "hourly_cost",
    "needs_of",
    "pack_words",
    "price_list_csv",
    "read_prices",
    "running_cost",
    "savings",
    "show_money",
    "with_own_prices",
]
