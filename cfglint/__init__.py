"""cfglint: a linter for the settings of autopilot-equipped model aircraft."""

__version__ = "0.1.0"
