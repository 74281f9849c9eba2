"""The drawing: the plan on paper, and the tools that change it."""
