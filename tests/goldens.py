"""Whole reports kept as files in tests/golden; a person reads their diffs."""

from __future__ import annotations

from pathlib import Path

from syrupy.extensions.single_file import SingleFileSnapshotExtension, WriteMode
from syrupy.location import PyTestLocation


class Text(SingleFileSnapshotExtension):
    """The text as it is, in a file named after the test."""

    _write_mode = WriteMode.TEXT
    file_extension = "txt"

    @classmethod
    def dirname(cls, *, test_location: PyTestLocation) -> str:
        path = Path(test_location.filepath).resolve()
        tests = Path(__file__).resolve().parent
        return str(tests / "golden" / path.stem)  # syrupy wants the test's name in it


class Json(Text):
    """The same for JSON."""

    file_extension = "json"
