"""Whether the light is good to work in: figures at the places where the work is, and findings in plain words."""
