"""`cfglint rules`: list the rules, or check a pack with all its examples."""

from __future__ import annotations

import argparse
import json
import sys
from typing import Any

from cfglint.pack.rule import Rule


def check_pack(arguments: argparse.Namespace) -> int:
    """Validate any pack and run its examples. 0 sound, 1 something is wrong, 2 no pack."""
    from cfglint.judge.examples import run_examples
    from cfglint.pack.load import folder_pack, rules_folder, shipped_pack, shipped_texts

    if arguments.path is None or arguments.path.rstrip("/") == str(rules_folder()) or arguments.path == "rules":
        pack, texts = shipped_pack(), shipped_texts()
    else:
        pack, texts = folder_pack(arguments.path)
    only = arguments.only
    failures = [f for f in run_examples(pack, texts) if not only or f.rule.startswith(only)]
    for failure in failures:
        sys.stdout.write(f"{failure.rule}: {failure.example or 'examples'}: {failure.message}\n")
    count = sum(len(texts["rules"][id]["example"]) for id in pack.rules)
    sys.stdout.write(f"{len(pack.rules)} rules, {count} examples, {len(failures)} failures\n")
    return 1 if failures else 0


def list_rules(arguments: argparse.Namespace) -> int:
    """List rules, filtered by topic, airframe and level."""
    from cfglint.pack.load import shipped_pack

    rows = [row for rule in shipped_pack().rules.values() if (row := _row(rule, arguments)) is not None]
    if arguments.format == "json":
        sys.stdout.write(json.dumps(rows, indent=2) + "\n")
    else:
        for row in rows:
            sys.stdout.write(f"{row['id']:<46} {'/'.join(row['levels']):<16} {row['title']}\n")
    return 0


def _row(rule: Rule, arguments: argparse.Namespace) -> dict[str, Any] | None:
    stored = rule.stored
    levels = sorted(
        {level for part in stored["parts"] for level in part["level"].values()}, key=("error", "warning", "note").index
    )
    if arguments.topic and stored["id"].split("/")[0] != arguments.topic:
        return None
    if arguments.airframe and arguments.airframe not in stored["airframes"]:
        return None
    if arguments.level and arguments.level not in levels:
        return None
    return {
        "id": stored["id"],
        "title": stored["title"],
        "levels": levels,
        "airframes": stored["airframes"],
        "status": stored["status"],
    }


def write_pages(arguments: argparse.Namespace) -> int:
    """Write a page for each rule into a folder, as Markdown, each file whole or not at all."""
    import os

    from cfglint.pack.load import shipped_texts
    from cfglint.report.rule_pages import rule_pages
    from cfglint.text.problem import refuse

    if arguments.path is None:
        raise refuse("rules pages", "no folder is named", "write: cfglint rules pages FOLDER")
    count = 0
    for name, text in rule_pages(shipped_texts()):
        path = os.path.join(arguments.path, *name.split("/"))
        try:
            os.makedirs(os.path.dirname(path), exist_ok=True)
            with open(path + ".part", "w", encoding="utf-8", newline="\n") as file:
                file.write(text)
            os.replace(path + ".part", path)
        except OSError as error:
            raise refuse(path, f"can't be written: {(error.strerror or str(error)).lower()}") from None
        count += 1
    sys.stdout.write(f"{count} pages in {arguments.path}\n")
    return 0
