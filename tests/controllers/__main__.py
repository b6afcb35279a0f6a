"""`python -m tests.controllers`: how well drafts do on the ten invented controllers, those kept from tuning apart."""

from __future__ import annotations

import sys
from collections.abc import Iterable

from tests.controllers.measure import HELD_OUT, TUNED_ON, Score, drafting, measured, reliability


def main(arguments: list[str]) -> int:
    shared = drafting()
    if "--tuned-only" not in arguments:
        _report(
            "kept away until a first look (see README.md)",
            [measured(name, shared) for name in HELD_OUT],
            "--wrong" in arguments,
        )
    _report("tuned on", [measured(name, shared) for name in TUNED_ON], "--wrong" in arguments)
    return 0


def _report(title: str, scores: list[Score], with_wrong: bool) -> None:
    heads = f"{'keys':>5} {'named':>6} {'proposed':>9} {'precision':>10} {'recall':>7} {'units':>6} {'time':>7}"
    print(f"\n{title}\n{'controller':<12} {heads}")
    for score in scores:
        print(_row(score.controller, [score]))
    print(_row("together", scores))
    print(f"{'stated chance':<16}{'guesses':>8}{'mean':>8}{'right':>8}   (name and unit)")
    for low, high, count, mean, right in reliability(o for s in scores for o in s.outcomes):
        print(f"{low:>6.2f}..{high:<6.2f}  {count:>8}{mean:>8.3f}{right:>8.3f}")
    if with_wrong:
        _wrong(scores)


def _row(name: str, scores: list[Score]) -> str:
    proposed, right, meaningful = (sum(getattr(s, field) for s in scores) for field in ("proposed", "right_names", "meaningful"))
    units, keys, seconds = (sum(getattr(s, field) for s in scores) for field in ("right_units", "keys", "seconds"))
    shares = f"{right / proposed:>10.3f} {right / meaningful:>7.3f} {units / right:>6.3f}"
    return f"{name:<12} {keys:>5} {meaningful:>6} {proposed:>9} {shares} {seconds:>6.2f}s"


def _wrong(scores: Iterable[Score]) -> None:
    for score in scores:
        for o in score.outcomes:
            if o.is_proposed and not (o.name_is_right and o.unit_is_right):
                print(f"  wrong: {o.controller} {o.key} -> {o.guess.setting} in {o.guess.unit} ({o.guess.chance:.2f})")
        print(f"  missed: {score.controller} {', '.join(score.missed)}")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
