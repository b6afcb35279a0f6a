"""Builds the shipped pack into the wheel, so that an installed cfglint judges without lark or pydantic being loaded."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class PackHook(BuildHookInterface):  # type: ignore[type-arg,misc,unused-ignore]
    """Runs before a wheel is packed. A pack with a problem stops the build."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Write the two JSON files; an editable install reads `rules/` itself."""
        if version == "editable":
            return
        root = Path(self.root)
        sys.path.insert(0, str(root))
        from cfglint.pack.build import build_pack

        built = build_pack(root / "rules")
        if built.problems:
            raise RuntimeError("; ".join(f"{p.file}:{p.line}: {p.message}" for p in built.problems[:10]))
        _write(root / "cfglint/pack/shipped.json", built.pack)
        _write(root / "cfglint/pack/shipped_texts.json", built.texts)

    def finalize(self, version: str, build_data: dict[str, Any], artifact_path: str) -> None:
        """Leave no built file in the source tree: there, `rules/` itself is the truth."""
        for name in ("shipped.json", "shipped_texts.json"):
            (Path(self.root) / "cfglint/pack" / name).unlink(missing_ok=True)


def _write(path: Path, value: Any) -> None:
    path.write_text(json.dumps(value, separators=(",", ":")), encoding="utf-8")
