"""Whole invented craft, set as a careful pilot would set them, and the faults that are put into them."""
