"""Units, closed ranges, possible words and three-valued truth: what every higher layer computes with."""
