"""The shopping list in the window: the list, the money, what the light costs to run, and price lists as files."""
