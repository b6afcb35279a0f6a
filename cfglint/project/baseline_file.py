"""The list of known findings as pydantic models. Never on the path of a cached run."""

from __future__ import annotations

import json
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from cfglint.project.configuration_file import Level
from cfglint.text.problem import refuse


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid")


class AwayModel(_Strict):
    """How far a value was from the one that clears the finding, in steps of the dump's own resolution."""

    setting: str
    steps: int = Field(ge=1)
    clear_at: str


class KnownModel(_Strict):
    """One known finding: which rule, on which dump, with which values."""

    dump: str
    rule: str
    level: Level
    phase: str = ""
    members: list[str] = []
    values: dict[str, str] = Field(min_length=1)
    away: AwayModel | None = None


class BaselineModel(_Strict):
    """The whole list."""

    format: Literal["cfglint-baseline"]
    version: Literal[1]
    findings: list[KnownModel]


def check_baseline(data: bytes, path: str) -> dict[str, Any]:
    """The checked document of a list. Raises Refused with line and column, or with the entry that is wrong."""
    remedy = "write it with: cfglint baseline write"
    try:
        document = json.loads(data.decode("utf-8"))
        return BaselineModel.model_validate(document).model_dump(mode="json")
    except UnicodeDecodeError:
        raise refuse(path, "not UTF-8 text", remedy) from None
    except json.JSONDecodeError as error:
        raise refuse(path, f"not valid JSON: {error.msg.lower()}", remedy, error.lineno, error.colno) from None
    except RecursionError:
        raise refuse(path, "nested too deeply", remedy) from None
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        raise refuse(path, f"{where or 'the file'}: {first['msg'].lower()}", remedy) from None
