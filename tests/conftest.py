"""Fixtures that many tests share: the shipped pack, its texts, a judge, and goldens that can be rewritten."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from cfglint.judge.judge import Judge
from cfglint.pack.load import shipped_pack, shipped_texts
from cfglint.pack.rule import Pack

ROOT = Path(__file__).parent.parent


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--bless", action="store_true", help="rewrite the golden files; review the diff like code")


@pytest.fixture(scope="session")
def pack() -> Pack:
    return shipped_pack()


@pytest.fixture(scope="session")
def texts() -> dict[str, Any]:
    return shipped_texts()


@pytest.fixture(scope="session")
def judge(pack: Pack) -> Judge:
    return Judge(pack)


@pytest.fixture
def bless(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--bless"))
