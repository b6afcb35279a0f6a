"""A repository of setups as a whole: what is checked together, and what changed between two states of it."""
