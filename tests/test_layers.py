"""The house is a straight line: a lower room never imports a higher one, and heavy libraries stay off the hot path."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent
ORDER = [
    "text",
    "quantity",
    "physics",
    "store",
    "formula",
    "setup",
    "draft",
    "pack",
    "judge",
    "flights",
    "report",
    "project",
    "cli",
]
LOWEST = {"text", "quantity", "physics", "store"}


def rooms_imported(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        names += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        found |= {name.split(".")[1] for name in names if name.startswith("cfglint.")}
    return found


def test_no_room_imports_a_higher_one() -> None:
    wrong = []
    for path in sorted((ROOT / "cfglint").rglob("*.py")):
        room = path.relative_to(ROOT / "cfglint").parts[0]
        if room not in ORDER:
            continue
        for other in rooms_imported(path) - {room}:
            if (other in LOWEST and room in LOWEST) or ORDER.index(other) > ORDER.index(room):
                wrong.append(f"{path.name} in {room} imports {other}")
    assert not wrong


def test_every_room_is_known() -> None:
    rooms = {p.name for p in (ROOT / "cfglint").iterdir() if p.is_dir() and (p / "__init__.py").exists()}
    assert rooms <= set(ORDER)


def test_reporters_never_import_each_other() -> None:
    reporters = {"terminal", "json_report", "explanation", "json_model"}
    for name in reporters:
        text = (ROOT / "cfglint/report" / f"{name}.py").read_text(encoding="utf-8")
        assert not [other for other in reporters - {name} if f"report.{other} " in text]


def test_rules_hold_no_python() -> None:
    assert not list((ROOT / "rules").rglob("*.py"))


def test_a_cached_check_loads_nothing_heavy(tmp_path: Path) -> None:
    dump = tmp_path / "craft.dump"
    dump.write_text("loiter.radius = 60 m\n")
    program = (
        "import sys; from cfglint.cli.main import main; main(['check', sys.argv[1], '--airframe', 'tailed']);"
        "print('LOADED', *sorted(m for m in sys.modules if '.' not in m))"
    )
    for _ in range(2):
        out = subprocess.run([sys.executable, "-c", program, str(dump)], capture_output=True, text=True, cwd=ROOT, check=True)
    loaded = set(out.stdout.split("LOADED")[1].split())
    heavy = {
        "lark",
        "pydantic",
        "rich",
        "jinja2",
        "tomllib",
        "dataclasses",
        "inspect",
        "fractions",
        "decimal",
        "pygeomag",
    }
    assert not loaded & heavy
