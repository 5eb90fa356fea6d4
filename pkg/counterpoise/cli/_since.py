"""Reading an earlier report, so that only what is new fails."""

from __future__ import annotations

import json
from pathlib import Path

from counterpoise.readers._source import InputError, Source


def known_before(path: Path) -> frozenset[str]:
    """The fingerprints of an earlier JSON report's findings.

    Raises:
        InputError: it is not a report that ``check --format json`` wrote.
    """
    source = Source.of(path)
    try:
        tree = json.loads(source.utf8)
    except (ValueError, RecursionError) as error:  # a ValueError also for too many digits
        line = error.lineno if isinstance(error, json.JSONDecodeError) else None
        raise source.error(line, "expected a JSON report of counterpoise check") from error
    reports = tree.get("reports", [tree]) if isinstance(tree, dict) else []
    try:
        if not reports or any(r["schema"] != "counterpoise/report/1" for r in reports):
            raise InputError(source.name, None, 'expected the schema "counterpoise/report/1"')
        return frozenset(str(f["fingerprint"]) for r in reports for f in r["findings"])
    except (KeyError, TypeError) as error:
        raise source.error(None, 'expected the schema "counterpoise/report/1"') from error
