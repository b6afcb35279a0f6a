"""Airframe types: the kinds of craft, their families, and the phases in which a hybrid flies."""

from __future__ import annotations

MULTIROTOR, FIXED_WING, HYBRID = "multirotor", "fixed-wing", "hybrid"

FAMILIES: dict[str, tuple[str, ...]] = {
    MULTIROTOR: ("tricopter", "quadrotor", "hexarotor", "octorotor", "coaxial_multirotor", "other_multirotor"),
    FIXED_WING: ("tailed", "flying_wing", "canard", "powered_glider"),
    HYBRID: ("tilt_rotor", "lift_and_cruise", "tail_sitter"),
}

KINDS: frozenset[str] = frozenset(kind for kinds in FAMILIES.values() for kind in kinds)

ROTORS, WING, WHOLE = "on its rotors", "on its wing", ""
"""The phases of a hybrid's flight; any other craft, and a rule written for hybrids, knows only the whole."""


def family_of(kind: str) -> str:
    """The family that a kind belongs to."""
    return next(family for family, kinds in FAMILIES.items() if kind in kinds)


def kinds_of(airframe: str) -> frozenset[str] | None:
    """The kinds that an airframe type stands for: a family, a kind, spelled with dashes, blanks or underscores.

    None for a type nobody knows.
    """
    word = airframe.strip().lower().replace(" ", "_")
    family = word.replace("_", "-")
    if family in FAMILIES:
        return frozenset(FAMILIES[family])
    kind = word.replace("-", "_")
    return frozenset((kind,)) if kind in KINDS else None


def airframe_types() -> list[str]:
    """Every type that may be named: families first."""
    return [*FAMILIES, *(kind for kinds in FAMILIES.values() for kind in kinds)]


def row_order(kind: str, phase: str) -> tuple[str, ...]:
    """The rows of a threshold table that apply to a kind in a phase, the most specific first."""
    family = family_of(kind)
    if family != HYBRID or phase == WHOLE:
        return (kind, family, "any")
    return (kind, HYBRID, MULTIROTOR if phase == ROTORS else FIXED_WING, "any")


def phases_of(family: str, airframes: frozenset[str], hybrids: bool = True) -> tuple[str, ...]:
    """The phases in which a rule written for some families is judged on a craft of one family; none where it has no say."""
    if family in airframes:
        return (WHOLE,)
    if family != HYBRID or not hybrids:
        return ()
    return tuple(phase for phase, of in ((ROTORS, MULTIROTOR), (WING, FIXED_WING)) if of in airframes)


def applies_in(airframes: frozenset[str], family: str, phase: str) -> bool:
    """Whether a setting of some families exists on a craft of one family in a phase."""
    if family not in airframes:
        return False
    if family != HYBRID or phase == WHOLE:
        return True
    other = FIXED_WING if phase == ROTORS else MULTIROTOR
    return other not in airframes or (MULTIROTOR in airframes and FIXED_WING in airframes)
