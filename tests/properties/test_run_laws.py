"""Laws 5, 6, 7 and 9 on whole runs: order and writing change no verdict, nothing raises, a shown change turns the verdict."""

from __future__ import annotations

import contextlib
import io
import random
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cfglint.cli.main import main
from cfglint.judge.decide import decide
from cfglint.judge.environment import Environments
from cfglint.judge.examples import example_setup
from cfglint.judge.judge import Judge, shown_environment
from cfglint.judge.remedy import Remedies
from cfglint.judge.setup_judgement import judge_setup
from cfglint.judge.verdict import CLEAR, NOT_APPLICABLE, RISKY
from cfglint.pack.rule import Pack
from cfglint.setup.craft_file import load_facts
from cfglint.setup.interpret import Beside, interpret
from cfglint.setup.name_map import load_name_map
from cfglint.setup.write_back import exact_value, grid_of
from cfglint.text.dump import LineKind, read
from tests.conftest import ROOT

CRAFT = {"thimble": "oxlip", "sickle": "pennywort"}


def outcomes(judge: Judge, data: bytes, craft: str) -> dict[tuple[str, str, tuple[str, ...]], tuple[str, str]]:
    """Every verdict of a dump, without its places."""
    pack = judge.pack
    name_map = load_name_map(str(ROOT / f"examples/{CRAFT[craft]}.map.toml"), pack.catalogue, pack.key)
    facts = load_facts(str(ROOT / f"examples/{craft}/craft.toml"), pack.catalogue, pack.key)
    setup = interpret(read(data, "x", given=name_map.layout), name_map, pack.catalogue, Beside(facts))
    return {(v.rule, v.phase, v.members): (v.outcome, v.level) for v in judge_setup(judge, setup).verdicts}


def shuffled(text: str, seed: int, layout: Any) -> str:
    """The lines of each section in another order; rows keep theirs, since a further row is a further range."""
    dump = read(text.encode(), given=layout)
    groups: dict[str, list[str]] = {}
    for line in dump.lines:
        groups.setdefault(line.section, [])
        if line.kind == LineKind.ENTRY:
            groups[line.section].append(text[line.start : line.end])
    chooser = random.Random(seed)
    for lines in groups.values():
        chooser.shuffle(lines)
    made = []
    for line in dump.lines:
        made.append(groups[line.section].pop() if line.kind == LineKind.ENTRY else text[line.start : line.end])
    return "".join(made)


@pytest.mark.parametrize("craft", sorted(CRAFT))
def test_the_order_of_lines_changes_no_verdict(craft: str, judge: Judge) -> None:
    text = (ROOT / f"examples/{craft}/{craft}.dump").read_text(encoding="utf-8")
    before = outcomes(judge, text.encode(), craft)
    pack = judge.pack
    layout = load_name_map(str(ROOT / f"examples/{CRAFT[craft]}.map.toml"), pack.catalogue, pack.key).layout
    for seed in range(3):
        assert outcomes(judge, shuffled(text, seed, layout).encode(), craft) == before


@pytest.mark.parametrize("craft", sorted(CRAFT))
def test_line_endings_and_encoding_change_no_verdict(craft: str, judge: Judge) -> None:
    text = (ROOT / f"examples/{craft}/{craft}.dump").read_text(encoding="utf-8")
    before = outcomes(judge, text.encode(), craft)
    assert outcomes(judge, text.replace("\n", "\r\n").encode(), craft) == before
    assert outcomes(judge, text.replace("\n", "\r").encode(), craft) == before
    assert outcomes(judge, text.encode("utf-8-sig"), craft) == before
    assert outcomes(judge, b"\xff\xfe" + text.encode("utf-16-le"), craft) == before


def test_the_same_value_in_another_unit_changes_no_verdict(judge: Judge, pack: Pack, texts: dict[str, Any]) -> None:
    other = {" m": (" cm", 100), " s": (" ms", 1000), " V": (" mV", 1000), " kg": (" g", 1000), " Ah": (" mAh", 1000)}
    changed = 0
    for id in list(pack.rules)[::4]:
        for example in texts["rules"][id]["example"][:4]:
            rewritten = dict(example["settings"])
            for name, text in rewritten.items():
                for unit, (finer, factor) in other.items():
                    number = text.removesuffix(unit)
                    if text.endswith(unit) and number.isdigit():
                        rewritten[name] = f"{int(number) * factor}{finer}"
                        changed += 1
            one, two = (example_setup(pack, {**example, "settings": s}) for s in (example["settings"], rewritten))
            assert _plain(judge, id, one) == _plain(judge, id, two)
    assert changed > 50


def _plain(judge: Judge, rule: str, setup: Any) -> list[str]:
    return [case.outcome for case in judge.rule_cases(rule, setup, Environments(setup))]


def test_one_step_less_than_the_shown_change_is_not_enough(pack: Pack, texts: dict[str, Any], judge: Judge) -> None:
    """Law 9: the value shown clears; the neighbour towards the old value does not certainly."""
    tried = 0
    for id in list(pack.rules)[::3]:
        for example in [e for e in texts["rules"][id]["example"] if e["expect"] == RISKY][:2]:
            setup = example_setup(pack, example)
            environments = Environments(setup)
            for case in [c for c in judge.rule_cases(id, setup, environments) if c.outcome == RISKY][:1]:
                remedy = Remedies(judge, setup, environments, [case]).remedy(case)
                change = remedy.change if remedy else None
                setting = setup.settings[change.setting] if change else None
                grid = grid_of(pack.catalogue[change.setting], setting) if change and setting else None
                if (
                    change is None
                    or setting is None
                    or grid is None
                    or change.steps < 2
                    or setting.value.low != setting.value.high
                ):
                    continue
                old = grid.nearest(setting.value.low)
                new = old + change.steps if grid.raw(old + change.steps) == change.raw else old - change.steps
                neighbour = new - 1 if new > old else new + 1
                environment = shown_environment(case, environments).with_values(
                    {change.setting: exact_value(grid.base(neighbour))}
                )
                outcome = decide(case.compiled, environment).outcome
                assert outcome not in (CLEAR, NOT_APPLICABLE), (id, example["name"], change.raw)
                tried += 1
    assert tried > 10


TEXTS = st.binary(max_size=400) | st.text(max_size=300).map(lambda t: t.encode("utf-8", "surrogatepass"))
SETTINGS = st.lists(
    st.tuples(
        st.sampled_from(
            ["loiter.radius", "link_loss.action", "hover.throttle", "battery.cells", "switch.return.from", "no.such"]
        ),
        st.text(max_size=20),
    ),
    max_size=8,
).map(lambda pairs: "\n".join(f"{key} = {value}" for key, value in pairs).encode("utf-8", "surrogatepass"))
QUIET = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))


def silently(arguments: list[str]) -> int:
    out = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True)
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        return main(arguments)


@QUIET
@given(data=TEXTS | SETTINGS)
def test_no_dump_raises(data: bytes, tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.mktemp("f") / "x.dump"
    path.write_bytes(data)
    assert silently(["check", str(path), "--airframe", "tailed"]) in (0, 1, 2)


@QUIET
@given(data=TEXTS, name=st.sampled_from(["craft.toml", "map.toml"]))
def test_no_toml_raises(data: bytes, name: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("f")
    (folder / "x.dump").write_text("loiter.radius = 6 m\n")
    (folder / name).write_bytes(data)
    more = ["--map", str(folder / "map.toml")] if name == "map.toml" else []
    assert silently(["check", str(folder / "x.dump"), "--airframe", "tailed", *more]) in (0, 1, 2)


MUTATIONS = st.lists(st.tuples(st.integers(0, 5000), st.binary(min_size=1, max_size=3)), min_size=1, max_size=6)


@pytest.mark.fuzz
@settings(max_examples=5000, deadline=None, suppress_health_check=list(HealthCheck))
@given(changes=MUTATIONS, source=st.sampled_from(["thimble/thimble.dump", "oxlip.map.toml", "thimble/craft.toml"]))
def test_damaged_examples_never_raise(
    changes: list[tuple[int, bytes]], source: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder: Path = tmp_path_factory.mktemp("f")
    for name in ("thimble/thimble.dump", "oxlip.map.toml", "thimble/craft.toml"):
        data = bytearray((ROOT / "examples" / name).read_bytes())
        for place, piece in changes if name == source else ():
            at = place % len(data)
            data[at : at + len(piece)] = piece
        (folder / name.rpartition("/")[2]).write_bytes(bytes(data))
    arguments = [
        "check",
        str(folder / "thimble.dump"),
        "--map",
        str(folder / "oxlip.map.toml"),
        "--craft",
        str(folder / "craft.toml"),
    ]
    assert silently(arguments) in (0, 1, 2)
