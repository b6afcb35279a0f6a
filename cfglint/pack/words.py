"""The vocabulary of a rule: the catalogue, the pack's shared quantities, and the rule's own lets, thresholds and families."""

from __future__ import annotations

import re
from collections.abc import Mapping

from cfglint.formula.vocabulary import Function, Name, Typed, Vocabulary
from cfglint.setup.catalogue import Catalogue, Definition


class Words:
    """Names that formulas of one rule may use.

    `quantities` are the shared quantities and conditions of the pack; `families`: each variable's stem and members.
    """

    def __init__(
        self,
        catalogue: Catalogue,
        quantities: Mapping[str, Typed],
        functions: Mapping[str, Function],
        families: Mapping[str, tuple[str, tuple[str, ...]]],
    ) -> None:
        self.catalogue, self.quantities, self.functions, self.families = catalogue, quantities, functions, families
        self.own: dict[str, Name] = {}

    def vocabulary(self) -> Vocabulary:
        """The vocabulary, with the lets and thresholds added so far."""
        return Vocabulary(self.find, self.names, self.functions)

    def add(self, role: str, name: str, typed: Typed) -> None:
        """Add a let or a threshold of the rule."""
        self.own[name] = Name(role, typed.kind, typed.dimension, typed=typed, id=name)

    def find(self, name: str) -> Name | None:
        """The name, or None."""
        if name in self.own:
            return self.own[name]
        if name in self.quantities:
            typed = self.quantities[name]
            role = "quantity" if typed.kind == "number" else "condition"
            return Name(role, typed.kind, typed.dimension, typed=typed, id=name)
        if name in self.catalogue:
            return _catalogue_name(self.catalogue[name], name)
        return self._of_family(name)

    def names(self) -> list[str]:
        """Every valid name."""
        return [*self.own, *self.quantities, *self.families, *self.catalogue]

    def _of_family(self, name: str) -> Name | None:
        variable, _, rest = name.partition(".")
        if variable not in self.families:
            return None
        stem, members = self.families[variable]
        if not rest:
            words = frozenset(member.rpartition(".")[2].partition("@")[0] for member in members)
            return Name("word", "choice", words=words, id="{" + variable + "}")
        for member in members:
            definition = self.catalogue.get(f"{stem}.{member}.{rest}")
            if definition is None:
                return None
        first = self.catalogue[f"{stem}.{members[0]}.{rest}"]
        return _catalogue_name(first, f"{stem}.{{{variable}}}.{rest}")


def family_members(pattern: str, catalogue: Catalogue) -> tuple[str, tuple[str, ...]]:
    """Stem and members of a family such as `switch.*`, in catalogue order; no members where there is no such family."""
    stem = pattern.removesuffix(".*")
    found: dict[str, None] = {}
    for id in catalogue:
        match = re.fullmatch(re.escape(stem) + r"\.([^.]+)\.[^.]+", id)
        if match:
            found[match[1]] = None
    return stem, tuple(found)


def _catalogue_name(definition: Definition, id: str) -> Name:
    role = "fact" if definition.is_fact else "setting"
    if definition.is_number:
        return Name(role, "number", definition.shown_in.dimension, can_be_off=definition.off is not None, id=id)
    kind = "choice" if definition.kind in ("choice", "switch") else "text"
    return Name(role, kind, words=frozenset(definition.words), id=id)
