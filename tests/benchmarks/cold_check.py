"""Cold start: one `cfglint check` of a 1,500-line dump as a whole process, beside yamllint on the same text as YAML.

Run: python -m tests.benchmarks.cold_check [REPEATS]
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.benchmarks.material import CRAFT, MAP, as_yaml, long_dump, measured


def main() -> None:
    """Print medians and ratios."""
    repeat = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    with tempfile.TemporaryDirectory() as folder:
        dump, yaml = Path(folder) / "craft.dump", Path(folder) / "craft.yaml"
        dump.write_text(long_dump(1500), encoding="utf-8")
        yaml.write_text(as_yaml(long_dump(1500)), encoding="utf-8")
        python = sys.executable
        check = [python, "-m", "cfglint", "check", str(dump), "--map", str(MAP), "--craft", str(CRAFT)]
        floor, _ = measured([python, "-c", "pass"], repeat)
        bare, _ = measured([python, "-I", "-S", "-c", "pass"], repeat)
        lint, _ = measured([python, "-m", "yamllint", "-f", "parsable", str(yaml)], repeat)
        ours, peak = measured(check, repeat)
        help_, _ = measured([python, "-m", "cfglint", "--help"], repeat)
    print(f"interpreter alone         {floor:.4f} s   (without site packages {bare:.4f} s)")
    print(f"yamllint, 1,500 lines     {lint:.4f} s")
    print(f"cfglint check             {ours:.4f} s   ratio to yamllint {ours / lint:.3f}   peak {peak:.0f} MiB")
    print(f"cfglint --help            {help_:.4f} s   ratio to check {help_ / ours:.3f}")


if __name__ == "__main__":
    main()
