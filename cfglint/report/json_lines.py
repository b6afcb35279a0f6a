"""A fleet as JSON lines: one whole report document a line and file, so that each line stands alone under the shipped schema.

This is the JSON report cut into files; a run without a file is one document that says so.
"""

from __future__ import annotations

import json

from cfglint.report.context import Context
from cfglint.report.finding import RunReport
from cfglint.report.json_report import run_document


def render_json_lines(run: RunReport, context: Context) -> str:
    """One line for each file, in the order of the run; `status` is that of the file."""
    parts = [run._replace(files=(file,)) for file in run.files] or [run]
    return "".join(json.dumps(run_document(part), ensure_ascii=True, separators=(",", ":")) + "\n" for part in parts)
