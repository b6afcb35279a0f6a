"""What is known of a craft, as marks for drawings: settings and facts, and the amounts that the rules themselves work out.

A drawing shows the very numbers that the rules judge: shared quantities and the named amounts of rules are evaluated with
the same formulas. What nobody stated is no mark; it is kept in a list of what could not be drawn.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from cfglint.flights.proofs import Status
from cfglint.formula.errors import CompileError
from cfglint.formula.evaluate import Environment, Scope, compile_number
from cfglint.judge.environment import GUESSING, Environments
from cfglint.judge.tell import shown_value
from cfglint.judge.verdict import Judgement, Verdict
from cfglint.pack.inputs import input_counts
from cfglint.pack.rule import CompiledRule, Pack, compiled_amount
from cfglint.quantity.range import Range
from cfglint.quantity.show import show_range
from cfglint.quantity.unit import from_base, parse_unit
from cfglint.quantity.value import OFF, SET, Value
from cfglint.report.drawings.mark import ASSUMED, DEFAULT, GUESSED, STATED, WORKED_OUT, Flag, Mark
from cfglint.report.finding import FileReport
from cfglint.setup import setting as origins
from cfglint.setup.airframe import HYBRID, WHOLE, family_of, phases_of, row_order
from cfglint.setup.setting import Setup

MOST_FLAGS = 4
_NO_WIDER = 3.0
_ENDLESS = 1e12


class Page(NamedTuple):
    """One craft's report in the making: what was found, what it was found in, and the pack that was judged with.

    `prefix` keeps the anchors of several reports on one sheet apart. `proofs`: where each flight-test card stands, by its id.
    """

    report: FileReport
    setup: Setup
    judgement: Judgement
    pack: Pack
    prefix: str = ""
    proofs: Mapping[str, Status] = {}


class Amount(NamedTuple):
    """A number that was worked out, in base units, and what it rests on: STATED things, assumptions or guesses."""

    range: Range
    origin: str
    rules: tuple[str, ...] = ()


class Known:
    """What is known of one craft. `family` is "" where the airframe may be of several families."""

    def __init__(self, page: Page) -> None:
        self.setup, self.pack = page.setup, page.pack
        self.environments = Environments(page.setup)
        families = {family_of(kind) for kind in page.setup.kinds}
        self.family = next(iter(families)) if len(families) == 1 else ""
        self.kind = sorted(page.setup.kinds)[0] if self.family else ""
        self.values = self.environments.environment(self.family or HYBRID, WHOLE, GUESSING).values
        self.by_setting, self.by_rule = flags_of(page)
        self.missing: dict[str, None] = {}
        self._scope = Scope(self.pack.quantity_trees, self.pack.functions, {}, {}, self.pack.shared)
        self._compiled: dict[str, CompiledRule] = {}

    def mark(self, label: str, id: str, unit: str, kind: str = "") -> Mark | None:
        """The mark of a setting or fact; None where it has no number, which is noted unless it does not apply."""
        value = self.values.get(id)
        if not self._applies(id):
            return None
        if value is None or not self._has_number(value):
            self._note(label, id, value)
            return None
        numbers = value.range
        flags = () if id.startswith(("craft.", "site.")) else self.by_setting.get(id, ())
        return _mark(label, numbers, unit, self.origin(id), flags, kind)

    def measured(self, label: str, id: str, unit: str) -> Mark | None:
        """The mark of what a flight has measured; None without one."""
        value = self.setup.record.measured.get(id)
        return _mark(label, value.range, unit, STATED, (), "measured") if value is not None and value.has(SET) else None

    def quantity(self, name: str, phase: str = WHOLE) -> Amount | None:
        """A shared quantity of the pack."""
        tree = self.pack.quantity_trees.get(("quantity", name))
        if tree is None or not self.family:
            return None
        numbers = compile_number(tree, self._scope)(self._environment(phase))
        return self._amount(numbers, input_counts([tree], self.pack.quantity_trees), ())

    def amount(self, rule: str, name: str, needs: tuple[str, ...] = ()) -> Amount | None:
        """A named amount of a rule, where the rule speaks of this airframe and each of `needs` has a number."""
        found = self.pack.rules.get(rule)
        if found is None or not self.family or not self.has(*needs):
            return None
        phases = phases_of(self.family, found.airframes, found.hybrids)
        if not phases:
            return None
        try:
            compiled = self._compiled.get(rule) or found.compiled(row_order(self.kind, phases[0]), {})
            self._compiled[rule] = compiled
            numbers = compiled_amount(compiled, "let", name)(self._environment(phases[0]))
        except (CompileError, KeyError):
            return None
        inputs = input_counts([compiled.scope.named["let", name]], compiled.scope.named)
        return self._amount(numbers, inputs, (rule,))

    def amount_mark(self, label: str, amount: Amount | None, unit: str, kind: str = "") -> Mark | None:
        """The mark of an amount; a rule that objects and works it out is linked. None where it is endless for certain."""
        if amount is None or not abs(amount.range.low) < _ENDLESS:
            return None
        low, high = amount.range
        amount = amount._replace(range=Range(low, high if high < _ENDLESS else math.inf))
        flags = tuple(dict.fromkeys(flag for rule in amount.rules for flag in self.by_rule.get(rule, ())))
        return _mark(label, amount.range, unit, amount.origin, flags[:MOST_FLAGS], kind)

    def calculated(self, function: str, *amounts: Amount | None) -> Amount | None:
        """A physics function of amounts; None where one of them is missing."""
        given = [amount for amount in amounts if amount is not None]
        if len(given) < len(amounts) or function not in self.pack.functions:
            return None
        numbers = self.pack.functions[function](*[amount.range for amount in given])
        return combined(numbers, given)

    def given(self, id: str) -> Amount | None:
        """A setting or fact as an amount; None where it has no number."""
        value = self.values.get(id)
        return Amount(value.range, self.origin(id)) if value is not None and self._has_number(value) else None

    def has(self, *ids: str) -> bool:
        """Whether each of these settings and facts has a number."""
        return all(self.given(id) is not None for id in ids)

    def word(self, id: str) -> str:
        """The one word that a choice or switch is; "" where it is unset or not known."""
        value = self.values.get(id)
        words = value.words if value is not None else frozenset()
        return next(iter(words)) if len(words) == 1 and value is not None and value.has(SET) else ""

    def origin(self, id: str) -> str:
        """Where a value comes from, in the words of the drawings."""
        if id in self.environments.guessed:
            return GUESSED
        if id in self.environments.assumed:
            return ASSUMED
        setting = self.setup.settings.get(id)
        return DEFAULT if setting is not None and setting.origin == origins.DEFAULT else STATED

    def _environment(self, phase: str) -> Environment:
        return self.environments.environment(self.family, phase, GUESSING)

    def _has_number(self, value: Value) -> bool:
        return value.known and value.presence == SET and not value.words and math.isfinite(value.low)

    def _amount(self, numbers: Range, inputs: Iterable[str], rules: tuple[str, ...]) -> Amount | None:
        ids = [id for id in inputs if ":" not in id]
        known = all(self.values[id].known for id in ids if id in self.values)
        narrow = numbers.low > 0 and numbers.high <= _NO_WIDER * numbers.low
        if not (known or narrow) or not math.isfinite(numbers.low) or math.isnan(numbers.high):
            return None
        found = {self.origin(id) for id in ids}
        origin = GUESSED if GUESSED in found else "worked out on assumptions" if ASSUMED in found else WORKED_OUT
        return Amount(numbers, origin, rules)

    def _applies(self, id: str) -> bool:
        definition = self.setup.catalogue.get(id)
        return definition is not None and (not self.family or self.family in definition.airframes)

    def _note(self, label: str, id: str, value: Value | None) -> None:
        definition = self.setup.catalogue.get(id)
        if not label or value is None or definition is None:
            return
        if not value.known:
            self.missing[f"{label}: not known"] = None
        elif value.presence == OFF:
            self.missing[f"{label}: {definition.off_means or 'off'}"] = None
        else:
            self.missing[f"{label}: {shown_value(definition, value)}"] = None


def combined(numbers: Range, parts: Iterable[Amount]) -> Amount:
    """An amount made of others: as uncertain in origin as the least certain of them, linked to the rules of all."""
    given = list(parts)
    found = {amount.origin for amount in given}
    assumed = found & {ASSUMED, "worked out on assumptions"}
    origin = GUESSED if GUESSED in found else "worked out on assumptions" if assumed else WORKED_OUT
    return Amount(numbers, origin, tuple(dict.fromkeys(rule for amount in given for rule in amount.rules)))


def finding_anchor(prefix: str, number: int) -> str:
    """The anchor of a finding, by its number from 1."""
    return f"{prefix}finding-{number}"


def flags_of(page: Page) -> tuple[Mapping[str, tuple[Flag, ...]], Mapping[str, tuple[Flag, ...]]]:
    """The findings that object to each setting, and those of each rule; a folded finding points to the one it is folded under."""
    numbers = {(f.rule, f.members, f.phase): n for n, f in enumerate(page.report.findings, 1)}
    first = {f.rule: n for n, f in reversed(list(enumerate(page.report.findings, 1)))}
    folded = {rule: n for n, f in reversed(list(enumerate(page.report.findings, 1))) for rule in f.followers}
    by_setting: dict[str, list[Flag]] = {}
    by_rule: dict[str, list[Flag]] = {}
    for verdict in page.judgement.verdicts:
        own = numbers.get((verdict.rule, verdict.members, verdict.phase))
        number = own or first.get(verdict.rule) or folded.get(verdict.rule)
        if not verdict.is_finding or not number:
            continue
        flag = Flag(verdict.level, number, finding_anchor(page.prefix, number))
        _append(by_rule, verdict.rule, flag)
        for id in objected(verdict, page.pack):
            _append(by_setting, id, flag)
    return _frozen(by_setting), _frozen(by_rule)


def objected(verdict: Verdict, pack: Pack) -> tuple[str, ...]:
    """The settings that a finding is about: the one its remedy changes, or all that its requirement reads directly."""
    if verdict.remedy is not None and verdict.remedy.change is not None:
        return (verdict.remedy.change.setting,)
    rule = pack.rules.get(verdict.rule)
    if rule is None or not 0 <= verdict.part < len(rule.stored["parts"]):
        return ()
    binding = dict(zip(rule.families, verdict.members, strict=False))
    lets = {("let", name): tree for name, tree in rule.stored["lets"].items()}
    ids = input_counts([rule.stored["parts"][verdict.part]["require"]], lets)
    return tuple(id.format_map(binding) if "{" in id else id for id in ids)


def _append(flags: dict[str, list[Flag]], key: str, flag: Flag) -> None:
    known = flags.setdefault(key, [])
    if all(flag.number != other.number for other in known):
        known.append(flag)


def _frozen(flags: dict[str, list[Flag]]) -> dict[str, tuple[Flag, ...]]:
    return {key: tuple(sorted(found, key=lambda flag: flag.number)[:MOST_FLAGS]) for key, found in flags.items()}


def _mark(label: str, numbers: Range, unit_text: str, origin: str, flags: tuple[Flag, ...], kind: str) -> Mark:
    unit = parse_unit(unit_text)
    low, high = from_base(numbers.low, unit), from_base(numbers.high, unit)
    return Mark(label, low, high, show_range(numbers, unit), origin, flags, kind)
