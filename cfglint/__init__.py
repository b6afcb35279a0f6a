"""cfglint: a linter for the settings of autopilot-equipped model aircraft.

The Python interface is described in `cfglint.api`, whose names can be imported from here; nothing is loaded before one is.
"""

from __future__ import annotations

TYPE_CHECKING = False  # as in typing, which costs more to load than all of this
if TYPE_CHECKING:
    from cfglint.api import (
        Facts,
        FileReport,
        Finding,
        NameMap,
        Pack,
        Refused,
        Undecided,
        compare_dumps,
        craft_facts,
        document,
        judge_dump,
        load_craft,
        load_map,
        load_pack,
    )

__version__ = "0.1.0"

__all__ = [
    "Facts",
    "FileReport",
    "Finding",
    "NameMap",
    "Pack",
    "Refused",
    "Undecided",
    "__version__",
    "compare_dumps",
    "craft_facts",
    "document",
    "judge_dump",
    "load_craft",
    "load_map",
    "load_pack",
]


def __getattr__(name: str) -> object:
    if name in __all__:
        from cfglint import api

        found: object = getattr(api, name)
        return found
    raise AttributeError(f"module 'cfglint' has no attribute '{name}'")


def __dir__() -> list[str]:
    return __all__
