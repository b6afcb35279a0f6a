"""Drafting a name map for a controller nobody has described: from words, values and neighbours to guesses with a probability."""
