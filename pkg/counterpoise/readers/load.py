"""A whole board from its files: a manifest, a folder, or one netlist or board file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from counterpoise.catalog.fab import profile_names
from counterpoise.catalog.toml import nearest
from counterpoise.model.bom import Placement
from counterpoise.model.design import Design, SourceFile
from counterpoise.model.manifest import Manifest
from counterpoise.readers import detect
from counterpoise.readers._find import MANIFEST, find_files, kind_of
from counterpoise.readers._manifest_lines import key_lines
from counterpoise.readers._merge import joined, layout_as_fitted, with_fitted
from counterpoise.readers._reading import Reading
from counterpoise.readers._source import InputError, Source
from counterpoise.readers.manifest import read as read_manifest

__all__ = ["find_files", "load"]

_KEYS = {"netlist": "netlist", "layout": "layout", "bom": "bom", "placement": "centroid"}
"""By kind of file: the key of [board] and the option that name it."""

_PLURALS = {
    "netlist": "netlists",
    "layout": "board files",
    "bom": "BOMs",
    "placement": "placement files",
}
_CIRCUIT = ("netlist", "layout")


def load(
    path: Path,
    *,
    netlist: Path | None = None,
    layout: Path | None = None,
    bom: Path | None = None,
    centroid: Path | None = None,
) -> Design:
    """The board at a path: a manifest, a folder that holds one or design files, or a design file.

    Files given by name win over those that the manifest names. With neither, the folder's own
    design files are taken, told by what they hold.

    Raises:
        InputError: a file is absent, cannot be used, is of another kind than asked for, or a folder
            holds several of one kind and nothing says which.
    """
    given = {"netlist": netlist, "layout": layout, "bom": bom, "placement": centroid}
    work = _Work(path if path.is_dir() else path.parent)
    for kind, file in given.items():
        if file is not None:
            work.add(kind, Source.of(file, work.shown(file)))
    if path.is_dir():
        _folder(work, path)
    elif path.suffix.casefold() == ".toml":
        _manifest(work, path)
    else:
        _single(work, path)
    return _assembled(work, path)


@dataclass
class _Work:
    """What has been read so far."""

    folder: Path
    manifest: Manifest = field(default_factory=Manifest)
    readings: dict[str, Reading] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    files: list[SourceFile] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def shown(self, file: Path) -> str:
        """A file's name for people: relative to the board's folder, bare when it lies elsewhere."""
        try:
            return file.resolve().relative_to(self.folder.resolve()).as_posix()
        except ValueError:
            return file.name

    def add(self, kind: str, source: Source) -> None:
        """Read a file that must be of a kind."""
        self.take(source, detect.read_as(source, kind))

    def take(self, source: Source, reading: Reading) -> None:
        """Keep what was read; placement files of two sides go together."""
        before = self.readings.get(reading.kind)
        if before is not None:
            reading = _both_sides(source, before, reading)
        self.readings[reading.kind] = reading
        self.names.setdefault(reading.kind, source.name)
        self.files.append(SourceFile(source.name, reading.kind, source.sha256))


def _both_sides(source: Source, before: Reading, more: Reading) -> Reading:
    first, second = before.placements or (), more.placements or ()
    twice = sorted({p.ref for p in first} & {p.ref for p in second})
    if twice:
        raise source.error(
            None, f"places {twice[0]} again; name one file in {MANIFEST}: [board] centroid"
        )
    return replace(before, placements=first + second, notes=before.notes + more.notes)


def _folder(work: _Work, path: Path) -> None:
    if (path / MANIFEST).is_file():
        _manifest(work, path / MANIFEST)
        return
    if not _found(work, path, have=()) and not work.readings:
        name = path.name or "this folder"
        raise InputError(name, None, f"holds no {MANIFEST}, netlist, board, BOM or placement file")


def _found(work: _Work, folder: Path, have: Iterable[str]) -> bool:
    """Take the design files that the folder holds, one of each kind that is not given yet."""
    by_kind: dict[str, list[str]] = {}
    for name, kind, note in find_files(folder):
        if note:
            work.notes.append(f"{name}: left out as {note}")
        elif kind != "manifest":
            by_kind.setdefault(kind, []).append(name)
    for kind in _KEYS:
        names = by_kind.get(kind, [])
        if kind in work.readings or kind in have:
            continue
        if len(names) > 1 and kind != "placement":
            listed = ", ".join(names)
            where = f'{MANIFEST}: [board] {_KEYS[kind]} = "{names[0]}"'
            said = f"several {_PLURALS[kind]} ({listed}); say which in {where}"
            raise InputError(folder.name or "this folder", None, said)
        for name in names:
            source = Source.of(folder / name, name)
            if kind == "placement" and _repeats(work, source):
                work.notes.append(f"{name}: left out, another file places the same parts")
            else:
                work.add(kind, source)
    return bool(by_kind)


def _repeats(work: _Work, source: Source) -> bool:
    """Whether a placement file only repeats what was read: tools often export one in two forms."""
    known = work.readings.get("placement")
    if known is None:
        return False
    more = detect.read_as(source, "placement").placements or ()
    return {(p.ref, p.side) for p in more} <= {(p.ref, p.side) for p in known.placements or ()}


def _manifest(work: _Work, path: Path) -> None:
    source = Source.of(path)
    work.manifest = read_manifest(source)
    work.files.append(SourceFile(source.name, "manifest", source.sha256))
    board = work.manifest.board
    _known_profile(source, path.parent, board.fab)
    named = {
        "netlist": board.netlist,
        "layout": board.layout,
        "bom": board.bom,
        "placement": board.centroid,
    }
    if not any(named.values()) and not work.readings:
        _found(work, path.parent, have=())
        return
    lines = key_lines(source.utf8)
    for kind, name in named.items():
        if name is not None and kind not in work.readings:
            line = lines.get(("board", _KEYS[kind]))
            for each in _names(path.parent, kind, name):
                work.add(kind, _named(work, source, line, kind, each))


def _known_profile(source: Source, folder: Path, name: str | None) -> None:
    if name is None:
        return
    known = profile_names(folder)
    if name not in known:
        line = key_lines(source.utf8).get(("board", "fab"))
        said = f'there is no profile "{name}"{nearest(name, known)}; expected '
        said += ", ".join(f'"{each}"' for each in known)
        raise source.error(line, f"[board] fab: {said}, or a file fab/NAME.toml of your own")


def _names(folder: Path, kind: str, text: str) -> list[str]:
    """The placement of two sides may be named together: "top.csv, bottom.csv"."""
    if kind != "placement" or "," not in text or (folder / text).is_file():
        return [text]
    return [name for piece in text.split(",") if (name := piece.strip())]


def _named(work: _Work, source: Source, line: int | None, kind: str, name: str) -> Source:
    key = _KEYS[kind]
    if Path(name).is_absolute() or name[1:3] == ":/":
        raise source.error(line, f"[board] {key}: expected a name relative to this file's folder")
    try:
        return Source.of(work.folder / name, Path(name).as_posix())
    except InputError as error:
        raise source.error(line, f'[board] {key}: "{name}": {error.expected}') from error


def _single(work: _Work, path: Path) -> None:
    """A netlist or board file by itself: what lies beside it is named, not read."""
    source = Source.of(path)
    reading = detect.read(source)
    if reading.kind not in _CIRCUIT:
        option = "--" + _KEYS[reading.kind]
        kind = {"bom": "BOM"}.get(reading.kind, reading.kind)
        said = f"expected a manifest, netlist or board; give a {kind} file with {option}"
        raise source.error(None, said)
    if reading.kind in work.readings:
        said = f"two {_PLURALS[reading.kind]} given; leave one out"
        raise source.error(None, said)
    work.take(source, reading)
    work.notes.extend(_beside(work, path))


def _beside(work: _Work, path: Path) -> list[str]:
    notes = []
    if (path.parent / MANIFEST).is_file():
        notes.append(f"{MANIFEST} lies beside {path.name} and was not read; give it, or its folder")
    for other in sorted(path.parent.glob("*")):
        same = other.stem == path.stem and other.name != path.name and other.is_file()
        kind = kind_of(other) if same else None
        if kind in _CIRCUIT and kind not in work.readings:
            option = f"--{_KEYS[kind]} {other.name}"
            notes.append(f"{other.name} lies beside {path.name} and was not read; give {option}")
    return notes


def _assembled(work: _Work, path: Path) -> Design:
    readings, manifest = work.readings, work.manifest
    netlist = readings["netlist"].circuit if "netlist" in readings else None
    drawn = readings["layout"].circuit if "layout" in readings else None
    layout = readings["layout"].layout if "layout" in readings else None
    bom = readings["bom"].bom if "bom" in readings else None
    circuit = with_fitted(joined(netlist, drawn), drawn, bom, manifest)
    notes = [note for kind in _KEYS if kind in readings for note in readings[kind].notes]
    known = {part.ref for each in (circuit, drawn) if each for part in each.parts}
    placements: tuple[Placement, ...] | None = None
    if "placement" in readings:
        placements = readings["placement"].placements
    return Design(
        name=_name(work, path),
        circuit=circuit,
        netlist=netlist,
        drawn=drawn,
        layout=layout_as_fitted(layout, circuit),
        bom=bom,
        placements=placements,
        manifest=manifest,
        files=tuple(sorted(work.files, key=lambda f: (f.path, f.kind))),
        notes=(*work.notes, *notes, *(_strangers(manifest, known) if circuit else ())),
    )


def _strangers(manifest: Manifest, known: set[str]) -> Iterable[str]:
    """Parts that the manifest speaks of and the board does not have: most often a slip."""
    for ref, facts in manifest.parts.items():
        if ref not in known:
            where = f"{facts.origin.file}:{facts.origin.line}" if facts.origin else MANIFEST
            yield f"{where}: [parts.{ref}] names no part of this board"
    cell = manifest.cell.ref
    if cell is not None and cell not in known:
        yield f'{MANIFEST}: [cell] ref = "{cell}" names no part of this board'


def _name(work: _Work, path: Path) -> str:
    if work.manifest.board.name:
        return work.manifest.board.name
    named: Mapping[str, str] = work.names
    first = next((named[kind] for kind in (*_CIRCUIT[::-1], "bom") if kind in named), None)
    stated = next((file.path for file in work.files if file.kind == "manifest"), None)
    return Path(first or stated or path.name).stem
