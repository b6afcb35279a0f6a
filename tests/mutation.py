"""Mutation of the pack: every threshold moved by a tenth, every comparison turned round, every conjunct left out.

A mutant is caught when some example of the rule no longer gets the verdict and level it expects; texts and remedies do not count.
A mutant that reads a number which may be unset is refused by the pack check before it could judge anything: it counts as refused.
Run: python -m tests.mutation [RULE-PREFIX] [--survivors]
"""

from __future__ import annotations

import copy
import sys
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

from cfglint.formula.errors import CompileError
from cfglint.judge.environment import Environments
from cfglint.judge.examples import ExampleError, example_setup
from cfglint.judge.judge import Case, Judge
from cfglint.judge.verdict import CLEAR, NOT_APPLICABLE, RISKY, SEVERITY, UNDECIDED
from cfglint.pack.load import shipped_pack, shipped_texts
from cfglint.pack.rule import Pack, Rule

TURNED = {"<": ">", ">": "<", "<=": ">=", ">=": "<=", "=": "!=", "!=": "="}


class Mutant(NamedTuple):
    """One change of one rule, in words, and the stored rule that it makes."""

    rule: str
    change: str
    stored: dict[str, Any]


class Trial(NamedTuple):
    """An example ready to be judged again and again."""

    expect: str
    level: str | None
    setup: Any
    environments: Environments


def mutants_of(rule: Rule) -> Iterator[Mutant]:
    """Every mutant of a rule."""
    places = list(_places(rule.stored))
    for words, change in places:
        stored = copy.deepcopy(rule.stored)
        change(stored)
        yield Mutant(rule.id, words, stored)


def _places(stored: dict[str, Any]) -> Iterator[tuple[str, Callable[[dict[str, Any]], None]]]:
    for name, table in stored["thresholds"].items():
        yield from _threshold_places(name, table)
    for name, tree in stored["lets"].items():
        yield from _tree_places(tree, ["lets", name], f"let {name}")
    for index, part in enumerate(stored["parts"]):
        for key in ("when", "require"):
            if part[key] is not None:
                yield from _tree_places(part[key], ["parts", index, key], f"part {index + 1} {key}")


def _threshold_places(name: str, table: dict[str, Any]) -> Iterator[tuple[str, Callable[[dict[str, Any]], None]]]:
    paths: list[tuple[str, list[Any]]] = []
    if "airframe" in table:
        paths = [(row, ["airframe", row]) for row in table["airframe"]]
    elif table["tree"][0] == "number":
        paths = [("", ["tree", 1])]
    elif table["tree"][0] == "word_rows":
        paths = [(word, ["tree", 2, word]) for word in table["tree"][2]]
    else:
        paths = [(f"row {i + 1}", ["tree", 2, i, 1]) for i in range(len(table["tree"][2]))]
    for row, path in paths:
        for factor in (0.9, 1.1):
            yield f"threshold {name} {row} x {factor}", _scaled(["thresholds", name, *path], factor)


def _tree_places(tree: Any, path: list[Any], where: str) -> Iterator[tuple[str, Callable[[dict[str, Any]], None]]]:
    if not isinstance(tree, list) or not tree:
        return
    head = tree[0] if isinstance(tree[0], str) else ""
    if head in TURNED:
        yield f"{where}: {head} turned at {_short(tree)}", _replaced([*path, 0], TURNED[head])
    if head == "and" and len(tree) > 2:
        for index in range(1, len(tree)):
            yield f"{where}: without {_short(tree[index])}", _dropped(path, index)
    for index, part in enumerate(tree):
        yield from _tree_places(part, [*path, index], where)


def _at(stored: Any, path: list[Any]) -> Any:
    for key in path:
        stored = stored[key]
    return stored


def _scaled(path: list[Any], factor: float) -> Callable[[dict[str, Any]], None]:
    def change(stored: dict[str, Any]) -> None:
        holder = _at(stored, path[:-1])
        holder[path[-1]] = holder[path[-1]] * factor

    return change


def _replaced(path: list[Any], value: Any) -> Callable[[dict[str, Any]], None]:
    def change(stored: dict[str, Any]) -> None:
        _at(stored, path[:-1])[path[-1]] = value

    return change


def _dropped(path: list[Any], index: int) -> Callable[[dict[str, Any]], None]:
    def change(stored: dict[str, Any]) -> None:
        del _at(stored, path)[index]

    return change


def _short(tree: Any) -> str:
    text = str(tree).replace("'", "")
    return text if len(text) < 90 else text[:87] + "..."


def trials_of(pack: Pack, examples: list[dict[str, Any]]) -> list[Trial]:
    """The examples of a rule, set up once."""
    trials = []
    for example in examples:
        try:
            setup = example_setup(pack, example)
        except ExampleError:
            continue
        trials.append(Trial(example["expect"], example.get("level"), setup, Environments(setup)))
    return trials


def is_caught(mutant: Mutant, pack: Pack, trials: list[Trial]) -> bool:
    """Whether some example notices the mutant; one that no longer compiles is noticed too."""
    judge = Judge(pack)
    original = pack.rules[mutant.rule]
    pack.rules[mutant.rule] = Rule(mutant.stored, pack)
    try:
        return any(not _as_expected(judge, mutant.rule, trial) for trial in trials)
    except CompileError:
        return True
    finally:
        pack.rules[mutant.rule] = original


class Guards(NamedTuple):
    """What a stored condition or amount reads unguarded, and what is certainly set when it is true, or false."""

    needs: frozenset[str] = frozenset()
    if_true: frozenset[str] = frozenset()
    if_false: frozenset[str] = frozenset()


def is_refused(mutant: Mutant, pack: Pack) -> bool:
    """Whether the pack check would refuse the mutant: it reads a number that may be unset."""
    for part in mutant.stored["parts"]:
        when = _guards(part["when"], mutant.stored, pack) if part["when"] is not None else Guards()
        require = _guards(part["require"], mutant.stored, pack)
        if when.needs or require.needs - when.if_true:
            return True
    return False


def _guards(tree: Any, stored: dict[str, Any], pack: Pack) -> Guards:
    head = tree[0]
    if head == "value":
        definition = pack.catalogue.get(_first_member(tree[1], stored).removeprefix("measured:"))
        unguarded = definition is not None and (not definition.is_fact or tree[1].startswith("measured:"))
        return Guards(frozenset((tree[1],)) if unguarded else frozenset())
    if head == "state":
        return Guards(if_true=frozenset((tree[1],)) if tree[2] == "set" else frozenset())
    if head in ("let", "condition"):
        inner = stored["lets"][tree[1]] if head == "let" else pack.conditions[tree[1]]
        return _guards(inner, stored, pack)
    if head == "not":
        inner = _guards(tree[1], stored, pack)
        return Guards(inner.needs, inner.if_false, inner.if_true)
    if head in ("and", "or"):
        return _joined([_guards(part, stored, pack) for part in tree[1:]], head == "or")
    if head == "if":
        condition, a, b = (_guards(part, stored, pack) for part in tree[1:4])
        return Guards(condition.needs | (a.needs - condition.if_true) | (b.needs - condition.if_false))
    if head in ("number", "threshold", "quantity", "in", "member_in", "lowest", "highest"):
        return Guards()
    inner = [_guards(part, stored, pack) for part in tree[1:] if isinstance(part, list) and part and isinstance(part[0], str)]
    return Guards(frozenset().union(*(g.needs for g in inner)))


def _joined(parts: list[Guards], either: bool) -> Guards:
    """Conjunction left to right; a disjunction is the denial of the conjunction of denials."""
    turned = [Guards(g.needs, g.if_false, g.if_true) for g in parts] if either else parts
    needs: frozenset[str] = frozenset()
    certain: frozenset[str] = frozenset()
    for guard in turned:
        needs |= guard.needs - certain
        certain |= guard.if_true
    if_false = frozenset.intersection(*(g.if_false for g in turned)) if turned else frozenset()
    return Guards(needs, if_false, certain) if either else Guards(needs, certain, if_false)


def _first_member(id: str, stored: dict[str, Any]) -> str:
    for variable, (_, members) in stored["families"].items():
        id = id.replace("{" + variable + "}", members[0])
    return id


def _as_expected(judge: Judge, rule: str, trial: Trial) -> bool:
    cases = judge.rule_cases(rule, trial.setup, trial.environments)
    if not cases:
        return trial.expect == NOT_APPLICABLE
    worst = max(cases, key=_badness)
    if worst.outcome != trial.expect:
        return False
    return trial.level is None or worst.outcome != RISKY or _level(worst) == trial.level


def _badness(case: Case) -> tuple[int, int]:
    order = {NOT_APPLICABLE: 0, CLEAR: 1, UNDECIDED: 2, RISKY: 3}
    return order[case.outcome], SEVERITY[_level(case)] if case.outcome == RISKY else 0


def _level(case: Case) -> str:
    return case.compiled.parts[case.decision.part].level


def survivors_of(pack: Pack, texts: dict[str, Any], prefix: str = "") -> tuple[int, int, list[Mutant]]:
    """How many mutants judge at all, how many the pack check refuses, and those that no example notices."""
    count, refused, survivors = 0, 0, []
    for id in [id for id in pack.rules if id.startswith(prefix)]:
        trials = trials_of(pack, texts["rules"][id]["example"])
        for mutant in mutants_of(pack.rules[id]):
            if is_refused(mutant, pack):
                refused += 1
                continue
            count += 1
            if not is_caught(mutant, pack, trials):
                survivors.append(mutant)
    return count, refused, survivors


def main() -> None:
    """Print the score, a topic a line, and the survivors."""
    arguments = [a for a in sys.argv[1:] if not a.startswith("-")]
    pack, texts = shipped_pack(), shipped_texts()
    total, left = 0, 0
    for topic in sorted({id.split("/")[0] for id in pack.rules}):
        prefix = arguments[0] if arguments else topic + "/"
        if not prefix.startswith(topic + "/"):
            continue
        count, refused, survivors = survivors_of(pack, texts, prefix)
        total, left = total + count, left + len(survivors)
        print(f"{topic:<12} {count:5} mutants, {count - len(survivors):5} caught, {refused:4} refused before judging")
        for mutant in survivors:
            print(f"    {mutant.rule}: {mutant.change}")
    print(f"score {100 * (total - left) / max(1, total):.2f} % of {total}")


if __name__ == "__main__":
    main()
