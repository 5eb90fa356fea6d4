"""The first board.toml of a folder: the files found, and every further line ready but commented out.

In the text a comment that starts with "# " is prose; one that starts with "#" and no blank is a line
that becomes valid when the "#" is taken away.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from counterpoise.cli import _work
from counterpoise.cli._ready import Line, quoted, ready_lines
from counterpoise.model.facts import Need
from counterpoise.readers import detect
from counterpoise.readers._source import InputError, Source
from counterpoise.readers.load import find_files
from counterpoise.reports._plain import plain
from counterpoise.roles.board import Board
from counterpoise.roles.facts import key_of
from counterpoise.roles.refdes import natural

_KEYS = {"netlist": "netlist", "layout": "layout", "bom": "bom", "placement": "centroid"}
_CALLED = {
    "netlist": "the netlist",
    "layout": "the board file",
    "bom": "the BOM",
    "placement": "the placement file",
}

_BOARD = (
    Line("thickness", '"1.0 mm"', "of the finished board"),
    Line("copper", '"35 um"', "of one outer layer, finished"),
    Line("front", '"top"', "the edge under the fingers, as drawn: top, bottom, left, right"),
    Line("fab", '"prototype-2-layer"', "what the board house can make"),
    Line("stray", '"2 pF to 3 pF"', "between a crystal's two lines"),
    Line("radio", '"bluetooth-le"', "the radio standard that is used"),
)
_CELL = (
    Line("chemistry", '"li-po"', "on the cell's wrap or sheet"),
    Line("capacity", '"180 mAh"', "rated"),
    Line("mass", '"4.1 g"', "weighed, or from the sheet"),
    Line("protected", "true", "a protection board under the wrap"),
    Line("charge_limit", '"1C"', "the most that the sheet allows"),
    Line("charge_voltage", '"4.2 V"'),
    Line("end_voltage", '"3.3 V"', "empty: the lowest it may be discharged to"),
    Line("peak_limit", '"150 mA"', "the strongest pulse that the sheet allows"),
    Line("resistance", '"250 mohm"', "inside the cell"),
    Line("removable", "false", "whether the user changes it"),
    Line("size", '"4 x 20 x 30 mm"'),
)
_LIMITS = (
    Line("mass", '"9 g"', "all that is carried: board, parts, cell, extras"),
    Line("area", '"19 cm^2"', "of the outline less its holes"),
    Line("endurance", '"6 h"', "run time"),
    Line("charge_time", '"4 h"'),
    Line("height", '"8 mm"', "of the tallest part and the board"),
)
_MODES = (
    ("hold", '"6.2 mA"', "0.7", '"14 mA"'),
    ("sleep", '"20 uA"', "0.3", '"14 mA"'),
)
_HEAD = """\
# board.toml: what no drawing shows of this board. Every key may be left out.
# A comment without a blank after its "#" is a line ready to use: take the "#" away and correct it.
"""
_CLOSING = """\
# What is weighed but is not on the board; one table for each.
#[[extra]]
#name = "printed shell"
#mass = "5.5 g"

# A finding that does not matter here, and why; "counterpoise rules" lists the rules.
#[[waivers]]
#rule = "switch-facing"
#subject = "SW1"
#reason = "turned on purpose"
"""


def draft(folder: Path) -> tuple[str, list[str]]:
    """The text of a first manifest for a folder, and what there is to say about the files.

    Raises:
        InputError: the folder cannot be read or holds no design file, or one cannot be used.
        CatalogError: a card of the user's own is faulty.
    """
    taken, said = _picked(folder)
    board = _understood(folder, taken)
    needs = _needs(board) if board is not None else []
    lines = list(ready_lines(needs))
    own = {ref for ref in _refs(board) if ref == ref.strip()}
    stated = [line for line in lines if line.table != "parts" or line.ref in own]
    pieces = [
        _HEAD,
        _section("board", "The files, and how the board is made.", _BOARD, stated, _files(taken)),
        _section("cell", "The cell; what its sheet or wrap says.", _CELL, stated, _cell_ref(board)),
        _section("limits", "What must not be passed.", _LIMITS, stated, []),
        _modes(),
        _parts(stated, {need.where: need.what for need in needs}),
        *_elsewhere(needs, lines),
        _CLOSING,
    ]
    if stated:
        said.append(f"{_count(len(stated), 'fact')} would let more be judged; each has its line.")
    return "\n".join(pieces), said


def _elsewhere(needs: Iterable[Need], lines: Iterable[Line]) -> Iterator[str]:
    """Needs that no line of this file can meet as it stands: another file, a drawing, a choice."""
    ready = {line.where for line in lines}
    ready |= {need.where for need in needs if need.where.startswith("board.toml: [modes.")}
    left = [need for need in needs if need.where not in ready]
    if left:
        told = sorted({f"#   {plain(need.what)}: {plain(need.where)}" for need in left})
        yield "\n".join(("# Also wanted, stated as told here.", *told, ""))


def _count(number: int, word: str) -> str:
    return f"{number} {word}" + ("" if number == 1 else "s")


def _picked(folder: Path) -> tuple[dict[str, list[str]], list[str]]:
    """The files to name by kind, and a line about each file found."""
    found: dict[str, list[str]] = {}
    said: list[str] = []
    for name, kind, note in find_files(folder):
        if kind == "manifest":
            continue
        if note or not _nameable(name):
            said.append(f"{name}: left out as {note or 'its name cannot be written in a manifest'}")
        else:
            found.setdefault(kind, []).append(name)
    if not found:
        shown = folder.resolve().name or "this folder"
        raise InputError(shown, None, "holds no netlist, board, BOM or placement file")
    stems = {kind: {Path(n).stem for n in found.get(kind, ())} for kind in ("netlist", "layout")}
    shared = stems["netlist"] & stems["layout"]
    taken: dict[str, list[str]] = {}
    for kind in _KEYS:
        names = sorted(found.get(kind, ()), key=lambda n: (Path(n).stem not in shared, n))
        if names:
            taken[kind] = _both_sides(folder, names) if kind == "placement" else names[:1]
            said += [f"{name}: taken as {_CALLED[kind]}" for name in taken[kind]]
            left = [name for name in names if name not in taken[kind]]
            said += [f"{name}: could be {_CALLED[kind]} too; not taken" for name in left]
    return taken, said


def _nameable(name: str) -> bool:
    """Whether the manifest's reader gives the same name back."""
    return name.isprintable() and name == name.strip() and "\\" not in name and "," not in name


def _both_sides(folder: Path, names: list[str]) -> list[str]:
    """Placement files that do not place a part twice, the first by name kept."""
    taken: list[str] = []
    seen: set[str] = set()
    for name in names:
        placed = detect.read_as(Source.of(folder / name, name), "placement").placements or ()
        refs = {placement.ref for placement in placed}
        if not refs & seen:
            taken.append(name)
            seen |= refs
    return taken


def _understood(folder: Path, taken: dict[str, list[str]]) -> Board | None:
    """The board that the taken files make; None when neither netlist nor board file is there."""
    first = {kind: folder / names[0] for kind, names in taken.items()}
    path = first.get("layout") or first.get("netlist")
    if path is None:
        return None
    netlist = first.get("netlist") if "layout" in first else None
    files = _work.Files(netlist=netlist, bom=first.get("bom"), centroid=first.get("placement"))
    return _work.board_at(path, files)


def _needs(board: Board) -> list[Need]:
    report = _work.examine(board, _work.picked_rules((), ()))
    needs = [need for covered in report.coverage for need in covered.needs]
    if report.estimates.endurance is not None:
        needs += report.estimates.endurance.needs
    return list(dict.fromkeys(needs))


def _refs(board: Board | None) -> set[str]:
    return {part.ref for part in board.circuit.parts} if board is not None else set()


def _files(taken: dict[str, list[str]]) -> list[str]:
    named = taken.get("layout") or taken.get("netlist") or next(iter(taken.values()))
    lines = [f"name = {quoted(Path(named[0]).stem)}"]
    return lines + [f"{_KEYS[kind]} = {quoted(', '.join(names))}" for kind, names in taken.items()]


def _cell_ref(board: Board | None) -> list[str]:
    if board is None or board.cell is None:
        refs = [p.ref for p in board.parts_as("cell")] if board is not None else []
        said = f"; taken for one: {plain(', '.join(refs))}" if refs else ""
        return [
            f"# Which part is the main cell, or the connector that it plugs into{said}.",
            '#ref = "BT1"',
        ]
    ref = board.cell.ref
    mark = "" if ref == ref.strip() and board.role(ref).firm else "#"
    return [f"{mark}ref = {quoted(ref)}"]


def _section(
    table: str, title: str, known: Iterable[Line], more: Iterable[Line], stated: list[str]
) -> str:
    """One table: what is certain, then the lines that are ready, those of the needs included."""
    written = {line.partition(" = ")[0].lstrip("#") for line in stated}
    lines = {line.key: line for line in more if line.table == table}
    for line in known:
        lines[line.key] = line
    ready = [line for key, line in lines.items() if key not in written]
    order = [line.key for line in known]
    ready.sort(key=lambda line: order.index(line.key) if line.key in order else len(order))
    return "\n".join((f"# {title}", f"[{table}]", *stated, *_ready(ready), ""))


def _ready(lines: Iterable[Line]) -> Iterator[str]:
    """Lines to uncomment, their remarks under one another."""
    lines = list(lines)
    width = min(max((len(line.toml) for line in lines), default=0), 40)
    for line in lines:
        remark = f"  # {plain(line.remark)}" if line.remark else ""
        yield f"#{line.toml:{width}}{remark}".rstrip()


def _modes() -> str:
    lines = ["# What the board draws from its rail in each mode, and the share of time in it."]
    for name, current, share, peak in _MODES:
        lines += [
            f"#[modes.{name}]",
            f"#current = {current}",
            f"#share = {share}",
            f"#peak = {peak}",
        ]
    return "\n".join((*lines, ""))


def _parts(lines: Iterable[Line], what: dict[str, str]) -> str:
    by_ref: dict[str, dict[str, Line]] = {}
    for line in lines:
        if line.table == "parts":
            told = Line(line.key, line.value, line.remark or what[line.where])
            by_ref.setdefault(line.ref, {}).setdefault(line.key, told)
    text = [
        "# What rules want to know of single parts; the values shown are examples, not facts.",
        '# "counterpoise parts" shows what each part was taken for; role = "…" corrects it.',
    ]
    if not by_ref:
        text += ["#[parts.U1]", '#supply = "1.8 V to 3.6 V"']
    for ref in sorted(by_ref, key=natural):
        text += [
            f"#[parts.{ref if key_of(ref) == ref else quoted(ref)}]",
            *_ready(by_ref[ref].values()),
        ]
    return "\n".join((*text, ""))
