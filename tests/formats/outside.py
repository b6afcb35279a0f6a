"""Validators from outside Python packages: found where they are, skipped with a reason where they are not."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import NoReturn

import pytest

from tests.conftest import ROOT


def multitool() -> str:
    """The SARIF validator of the npm package @microsoft/sarif-multitool-linux."""
    inside = ROOT / "node_modules/@microsoft/sarif-multitool-linux/Sarif.Multitool"
    named = os.environ.get("CFGLINT_SARIF_MULTITOOL") or shutil.which("Sarif.Multitool") or str(inside)
    if not os.access(named, os.X_OK):
        missing(
            "Sarif.Multitool is not here: npm install @microsoft/sarif-multitool-linux, or name it in CFGLINT_SARIF_MULTITOOL"
        )
    return named


def junit_schema() -> str:
    """The file junit-10.xsd, which the source distribution of pytest carries under testing/example_scripts."""
    folder = os.environ.get("CFGLINT_JUNIT_XSD", "")
    path = Path(folder) / "junit-10.xsd" if Path(folder).is_dir() else Path(folder)
    if not folder or not path.is_file():
        missing(
            "junit-10.xsd is not here: unpack it from the source distribution of pytest, and name its folder in CFGLINT_JUNIT_XSD"
        )
    return str(path)


def missing(reason: str) -> NoReturn:
    """Skip; where everything is to be there, fail."""
    if os.environ.get("CFGLINT_ALL_TOOLS"):
        pytest.fail(reason)
    pytest.skip(reason)
