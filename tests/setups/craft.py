"""The clean setups: one TOML file a craft, in the keys of a rule's example, with the findings that are expected."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

from cfglint.judge.environment import Environments
from cfglint.judge.examples import example_setup
from cfglint.judge.judge import Judge
from cfglint.judge.tell import Teller
from cfglint.judge.verdict import Verdict
from cfglint.setup.airframe import family_of
from cfglint.setup.setting import UNSEEN, Setting, Setup

FOLDER = Path(__file__).parent
UNSEEN_TEXT = "?"
FACTS = ("craft", "site")


class Craft(NamedTuple):
    """A setup as texts. `texts` holds settings and facts alike, by catalogue id; what a craft leaves out is unset.

    `expected` are the warnings and errors that such a craft rightly gets: rule to level.
    """

    id: str
    name: str
    airframe: str
    texts: Mapping[str, str]
    proven: frozenset[str]
    defaults: Mapping[str, str]
    measured: Mapping[str, str]
    expected: Mapping[str, str]

    @property
    def family(self) -> str:
        """multirotor, fixed-wing or hybrid."""
        return family_of(self.airframe)

    def changed(self, changes: Mapping[str, str], defaults: Mapping[str, str]) -> Craft:
        """The craft with some texts changed.

        A setting that was changed is no longer proven; a changed fact leaves the flight record alone,
        as if it had been flown again.
        """
        return self._replace(
            texts={**self.texts, **changes},
            proven=self.proven - changes.keys(),
            defaults={**self.defaults, **defaults},
        )


def all_craft() -> tuple[Craft, ...]:
    """Every clean craft, in the order of the file names."""
    return tuple(_read(path) for path in sorted(FOLDER.glob("*.toml")))


def setup_of(judge: Judge, craft: Craft) -> Setup:
    """The Setup of a craft; a text of `UNSEEN_TEXT` is a setting that the dump says nothing about."""
    tables: dict[str, dict[str, str]] = {"settings": {}, "craft": {}, "site": {}}
    unseen = [id for id, text in craft.texts.items() if text == UNSEEN_TEXT]
    for id, text in craft.texts.items():
        head, _, rest = id.partition(".")
        if text != UNSEEN_TEXT:
            tables[head if head in FACTS else "settings"][rest if head in FACTS else id] = text
    setup = example_setup(
        judge.pack,
        {
            "name": craft.name,
            "airframe": craft.airframe,
            "full": True,
            "proven": sorted(craft.proven),
            "defaults": craft.defaults,
            "measured": craft.measured,
            **tables,
        },
    )
    if not unseen:
        return setup
    gone = {id: Setting(id, judge.pack.catalogue[id].unseen(), UNSEEN) for id in unseen}
    return setup._replace(settings={**setup.settings, **gone})


def findings(judge: Judge, craft: Craft) -> Iterator[Verdict]:
    """The findings on a craft, told in words. Remedies, which take most of the time, are not sought."""
    setup = setup_of(judge, craft)
    environments = Environments(setup)
    teller = Teller(setup, environments)
    told = (teller.verdict(case) for case in judge.cases(setup, environments))
    return (verdict for verdict in told if verdict.is_finding)


def _read(path: Path) -> Craft:
    table: dict[str, Any] = tomllib.loads(path.read_text("utf-8"))
    texts = dict(table["settings"])
    for head in FACTS:
        texts |= {f"{head}.{name}": text for name, text in table[head].items()}
    return Craft(
        path.stem,
        table["name"],
        table["airframe"],
        texts,
        frozenset(table["proven"]),
        table.get("defaults", {}),
        table.get("measured", {}),
        table.get("expected", {}),
    )
