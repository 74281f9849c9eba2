"""'Where do they go, and how many?': candidate layouts, a choice among them with a bound, and what they really give."""
