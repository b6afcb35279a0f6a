"""What goes wrong with a formula, told to the author of a rule pack."""

from __future__ import annotations


class FormulaError(ValueError):
    """A formula that can't be read or makes no sense; `column` counts from 1 in the formula's text."""

    def __init__(self, message: str, column: int = 1) -> None:
        super().__init__(message)
        self.message = message
        self.column = column


class CompileError(ValueError):
    """A stored tree with a node nobody knows: the file that held it is discarded."""
