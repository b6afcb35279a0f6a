"""A decided case told in words: message, the numbers it rests on with their origin, and what would settle a doubt."""

from __future__ import annotations

from typing import NamedTuple

from cfglint.formula.evaluate import Environment
from cfglint.judge.environment import ASSUMING, GUESSING, Environments
from cfglint.judge.judge import Case, shown_environment
from cfglint.judge.settle import settling_facts, witnesses_of
from cfglint.judge.verdict import CLEAR, NOT_APPLICABLE, RISKY, TraceRow, Verdict
from cfglint.pack.message import filled, placeholders
from cfglint.pack.rule import CompiledPart, compiled_amount
from cfglint.quantity.show import show_range
from cfglint.quantity.unit import parse_unit
from cfglint.quantity.value import OFF, SET, UNSET, Value
from cfglint.setup.airframe import KINDS, family_of
from cfglint.setup.catalogue import Definition
from cfglint.setup.setting import ASSUMED, UNSEEN, Setting, Setup


class Teller(NamedTuple):
    """What telling needs: the setup, and the environments the cases were decided in."""

    setup: Setup
    environments: Environments

    def verdict(self, case: Case) -> Verdict:
        """The verdict of a case, complete but for its remedy."""
        outcome = case.outcome
        members = tuple(case.compiled.binding.values())
        basis = tuple(case.rule.stored["basis"])
        verdict = Verdict(case.rule.id, outcome, phase=case.phase, members=members, basis=basis)
        if outcome in (CLEAR, NOT_APPLICABLE):
            return verdict._replace(rests_on=self._rests_on(case, case.compiled.inputs)) if case.degree else verdict
        if case.unseen_members:
            what = f"nothing is known of {case.unseen_members}"
            return verdict._replace(message=what, needs=(case.unseen_members,), members=())
        return self._risky(case, verdict) if outcome == RISKY else self._undecided(case, verdict)

    def _risky(self, case: Case, verdict: Verdict) -> Verdict:
        part = case.compiled.parts[case.decision.part]
        environment = shown_environment(case, self.environments)
        return verdict._replace(
            level=part.level,
            part=case.decision.part,
            message=self.message(part.message, case, environment),
            at_least=case.decision.at_least,
            settings=part.inputs,
            trace=self.trace(part, case, environment),
            rests_on=self._rests_on(case, part.inputs),
        )

    def _undecided(self, case: Case, verdict: Verdict) -> Verdict:
        index = case.decision.doubt if case.decision.doubt >= 0 else max(0, case.decision.part)
        part = case.compiled.parts[index]
        environment = self.environments.environment(case.family, case.phase, min(case.degree, ASSUMING))
        needs = self._needs(case, part, environment)
        says = part.unknown_message or case.rule.title
        return verdict._replace(
            level=part.undecided,
            part=index,
            message=self.message(says, case, environment),
            settings=part.inputs,
            trace=self.trace(part, case, environment),
            needs=needs,
            witnesses=witnesses_of(part, environment, needs, self._shown_value),
            rests_on=self._rests_on(case, part.inputs),
        )

    def _needs(self, case: Case, part: CompiledPart, environment: Environment) -> tuple[str, ...]:
        facts = settling_facts(part, environment, self._exists)
        return ("craft.kind",) if len(self.setup.kinds) != 1 and not facts else facts

    def _exists(self, id: str) -> bool:
        """Whether a setting or fact is one that a craft of these kinds can have at all."""
        definition = self.setup.catalogue.get(id.removeprefix("measured:"))
        families = {family_of(kind) for kind in self.setup.kinds or KINDS}
        return definition is None or not families.isdisjoint(definition.airframes)

    def _rests_on(self, case: Case, inputs: tuple[str, ...]) -> tuple[str, ...]:
        """What an outright verdict would not need: assumptions and guesses, each with its value."""
        rests = []
        if case.degree >= ASSUMING:
            rests += [self._assumption(id) for id in inputs if id in self.environments.assumed]
        if case.degree >= GUESSING:
            rests += [self._guess(id) for id in inputs if id in self.environments.guessed]
        return tuple(rests)

    def _assumption(self, id: str) -> str:
        assumed = self.setup.catalogue[id].assumed or {}
        return f"{id} taken as {assumed.get('value')}: {assumed.get('because')}"

    def _guess(self, id: str) -> str:
        setting = self.setup.settings[id]
        key = setting.rule.key if setting.rule else id
        return f"{key} guessed to be {id} = {self._shown_value(id, setting.value)}"

    def message(self, template: str, case: Case, environment: Environment) -> str:
        """A message with its numbers; more digits where two different numbers would look alike."""
        wanted = placeholders(template)
        texts = {key: self._shown_name(key, case, environment, 4) for key in wanted}
        if len(set(texts.values())) < len(texts):
            finer = [{key: self._shown_name(key, case, environment, digits) for key in wanted} for digits in (4, 6, 9)]
            most = len(set(finer[-1].values()))
            texts = next(shown for shown in finer if len(set(shown.values())) == most)
        return filled(template, texts)

    def _shown_name(self, key: tuple[str, str], case: Case, environment: Environment, digits: int) -> str:
        name, unit_text = key
        role = _role(name, case)
        if role:
            unit = parse_unit(unit_text or self._unit_of(role, name, case))
            return show_range(compiled_amount(case.compiled, role, name)(environment), unit, digits)
        head, _, rest = name.partition(".")
        if head in case.rule.families:
            member = case.compiled.binding[head]
            if not rest:
                return member.partition("@")[0].replace("_", " ")
            name = f"{case.rule.families[head][0]}.{member}.{rest}"
        return self._shown_value(name, environment.values[name], unit_text, digits)

    def _unit_of(self, role: str, name: str, case: Case) -> str:
        if role == "quantity":
            return str(case.rule.pack.quantities[name]["unit"])
        return case.rule.units()[name]

    def _shown_value(self, id: str, value: Value, unit_text: str = "", digits: int = 6) -> str:
        definition = self.setup.catalogue.get(id.removeprefix("measured:"))
        return shown_value(definition, value, unit_text, digits) if definition else "?"

    def trace(self, part: CompiledPart, case: Case, environment: Environment) -> tuple[TraceRow, ...]:
        """Every setting the part looked at, then what was worked out on the way."""
        rows = [self._setting_row(id, environment, index < part.decisive) for index, id in enumerate(part.inputs)]
        rows.sort(key=lambda row: (not row.decisive, not row.places))
        return tuple(
            rows
            + [
                self._computed_row(role, name, case, environment)
                for role, name in part.named
                if role != "let" or name in case.rule.units()
            ]
        )

    def _setting_row(self, id: str, environment: Environment, decisive: bool) -> TraceRow:
        measured = id.startswith("measured:")
        setting = self.setup.settings.get(id.removeprefix("measured:"))
        shown = self._shown_value(id, environment.values[id]) if id in environment.values else "?"
        if setting is None or measured:
            return TraceRow(id, shown, "flight record", (), decisive)
        origin = ASSUMED if id in self.environments.assumed and environment.values[id].known else setting.origin
        if setting.origin == UNSEEN and origin != ASSUMED:
            shown = "not known"
        return TraceRow(id, shown, origin, setting.places, decisive)

    def _computed_row(self, role: str, name: str, case: Case, environment: Environment) -> TraceRow:
        unit = parse_unit(self._unit_of(role, name, case))
        numbers = compiled_amount(case.compiled, role, name)(environment)
        return TraceRow(name.replace("_", " "), show_range(numbers, unit), "computed" if role == "let" else role)


def shown_value(definition: Definition, value: Value, unit_text: str = "", digits: int = 6) -> str:
    """A value as people read it."""
    if value.words:
        words = sorted(value.words)
        return " or ".join(word.replace("_", " ") for word in words) if len(words) <= 4 else "any"
    states = [definition.off_means] if value.presence & OFF else []
    states += ["unset"] if value.presence & UNSET else []
    if value.presence & SET:
        unit = parse_unit(unit_text) if unit_text else definition.shown_in
        states.insert(0, _dated(value) if definition.kind == "date" else show_range(value.range, unit, digits))
    return " or ".join(states)


def setting_value(setup: Setup, setting: Setting) -> str:
    """The value of a setting as people read it."""
    return shown_value(setup.catalogue[setting.id], setting.value)


def _dated(value: Value) -> str:
    return f"{value.low:.2f}" if value.low == value.high else f"{value.low:.2f}..{value.high:.2f}"


def _role(name: str, case: Case) -> str:
    if name in case.rule.stored["lets"]:
        return "let"
    if name in case.rule.stored["thresholds"]:
        return "threshold"
    return "quantity" if name in case.rule.pack.quantities else ""
