"""The BOM beside the circuit: which line buys which part, and what needs no line."""

from __future__ import annotations

import re
from collections.abc import Iterator

from counterpoise.model.bom import Bom, BomLine
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.values.partvalue import read_value, unfitted_text

READ_AS = {
    "resistor": "resistor",
    "capacitor": "capacitor",
    "inductor": "inductor",
    "ferrite": "ferrite",
    "crystal": "crystal",
    "resonator": "resonator",
    "fuse": "fuse",
    "link": "resistor",
}
"""Roles whose value text states a figure, and how it is read."""

_COPPER = re.compile(
    r"solder_?jumper|net_?tie|jumper_?pad|\btrace\b|mouse|castell|logo|fiducial", re.I
)


def bill(board: Board) -> Bom:
    """The BOM; the engine has seen that there is one."""
    found = board.design.bom
    return found if found is not None else Bom()


def column_need(name: str) -> Need:
    """The need for a column of the BOM."""
    words = name.replace("_", " ")
    return Need(f"a column of the BOM with the {words}", f'the BOM: add a column "{words}"')


def key(ref: str) -> str:
    """A ref as it is compared: without blanks, upper case."""
    return ref.strip().upper()


def lines_by_ref(board: Board) -> dict[str, list[BomLine]]:
    """The lines that name a ref, by its key, in file order."""

    def work() -> dict[str, list[BomLine]]:
        found: dict[str, list[BomLine]] = {}
        for line in bill(board).lines:
            for ref in line.refs:
                lines = found.setdefault(key(ref), [])
                if line not in lines:
                    lines.append(line)
        return found

    return board.once("bom lines by ref", work)


def is_fitted(board: Board, part: Part) -> bool:
    """Whether the circuit fits the part: its mark, the manifest, and a value such as "DNP"."""
    stated = board.manifest.parts.get(part.ref)
    if stated is not None and stated.fitted is not None:
        return stated.fitted
    return part.fitted and not unfitted_text(part.value)


def line_fitted(line: BomLine) -> bool | None:
    """Whether the line buys its parts to be fitted; None when it says nothing."""
    if line.fitted is not None:
        return line.fitted
    if unfitted_text(line.value) or line.quantity == 0:
        return False
    return None


def needs_no_line(board: Board, part: Part) -> bool:
    """Fiducials, holes, logos, test points, solder jumpers, copper antennas: nothing is bought."""
    role = board.role(part.ref).name
    if not part.ref.strip() or (not re.search(r"\d", part.ref) and not part.nets):
        return True
    if role in ("mechanical", "test-point"):
        return True
    text = f"{part.footprint} {part.symbol}"
    if role == "link" and "header" not in part.footprint.casefold():
        resistor = read_value(part.value, "resistor")
        if resistor is None or resistor.nominal > 0:
            return True
    if board.text(part, "antenna_kind") in ("trace", "copper", "pcb"):
        return True
    return bool(_COPPER.search(text))


def bought_parts(board: Board) -> Iterator[Part]:
    """Fitted parts that somebody has to buy, one a ref, in natural order."""
    seen: set[str] = set()
    for part in board.parts:
        if part.ref in seen or not part.bought or not is_fitted(board, part):
            continue
        if needs_no_line(board, part):
            continue
        seen.add(part.ref)
        yield part


def shown(text: str) -> str:
    """A text as a message quotes it."""
    return f'"{text}"' if text.strip() else "no value"
