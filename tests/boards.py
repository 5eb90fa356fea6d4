"""Small boards for tests, written so that a person can read them.

``circuit`` takes one part a line::

    U1 "MCP73831T-2ACI/OT" SOT-23-5 : 1/STAT=CHG 2/VSS=GND 3/VBAT=VBAT 4/VDD=VBUS 5/PROG=PROG
    R1 10k R_0402 : PROG GND
    C9 100n - : +3V3 GND @dnp

reference, value ("-" for none), footprint ("-" or left out for none), a colon between blanks, then
the pins: ``number/NAME/kind=net`` (name and kind may be left out) or just nets, numbered from 1; "~"
is no net. Words with @ state the rest: ``@dnp``, ``@unbought``, ``@symbol=…``, ``@sheet=…``,
``@desc=…`` and any further field (``@MPN=…``).
"""

from __future__ import annotations

import shlex
from dataclasses import replace
from types import MappingProxyType

from counterpoise.catalog.cards import all_cards
from counterpoise.model.bom import Bom, BomLine
from counterpoise.model.circuit import Circuit, Part, Pin, PinKind
from counterpoise.model.design import Design
from counterpoise.model.layout import Layout
from counterpoise.model.manifest import Manifest
from counterpoise.roles.board import Board

KINDS = {
    "in": PinKind.INPUT,
    "out": PinKind.OUTPUT,
    "io": PinKind.BIDIRECTIONAL,
    "pwr": PinKind.POWER_IN,
    "src": PinKind.POWER_OUT,
    "oc": PinKind.OPEN_COLLECTOR,
    "nc": PinKind.NO_CONNECT,
    "pas": PinKind.PASSIVE,
}


def part(line: str) -> Part:
    """One part from one line."""
    head, _, tail = line.partition(" : ")
    ref, *rest = shlex.split(head)
    value, footprint = [*rest, "-", "-"][:2]
    pins: list[Pin] = []
    options: dict[str, str] = {}
    for word in shlex.split(tail):
        if word.startswith("@"):
            key, _, text = word[1:].partition("=")
            options[key] = text
            continue
        left, equals, net = word.partition("=")
        if not equals:
            left, net = str(len(pins) + 1), word
        number, _, more = left.partition("/")
        name, _, kind = more.partition("/")
        joined = None if net == "~" else net
        pins.append(Pin(ref, number, joined, name, KINDS.get(kind, PinKind.UNKNOWN), kind == "nc"))
    known = ("symbol", "sheet", "desc", "dnp", "unbought")
    return Part(
        ref=ref,
        value="" if value == "-" else value,
        footprint="" if footprint == "-" else footprint,
        symbol=options.get("symbol", ""),
        sheet=options.get("sheet", ""),
        description=options.get("desc", ""),
        fields=MappingProxyType({k: v for k, v in options.items() if k not in known}),
        pins=tuple(pins),
        fitted="dnp" not in options,
        bought="unbought" not in options,
    )


def circuit(text: str) -> Circuit:
    """Parts from lines; blank lines and # lines are left out."""
    lines = (line.strip() for line in text.splitlines())
    return Circuit(tuple(part(line) for line in lines if line and not line.startswith("#")))


def manifest(text: str) -> Manifest:
    """A manifest from TOML text."""
    from counterpoise.readers.manifest import parse

    return parse(text)


def bom(*rows: tuple[str, ...]) -> Bom:
    """BOM lines from (refs, value[, footprint[, words…]]) rows.

    Words: ``qty=3``, ``code=RC0402FR-0710KL``, ``fitted=yes``, ``fitted=no``.
    """
    lines = []
    columns = {"reference", "value"}
    for row in rows:
        refs, value, footprint = (*row, "")[:3]
        words = dict(word.split("=", 1) for word in row[3:])
        fitted = {"yes": True, "no": False}.get(words.get("fitted", ""))
        columns |= {{"qty": "quantity", "code": "order_code"}.get(word, word) for word in words}
        lines.append(
            BomLine(
                refs=tuple(refs.replace(",", " ").split()),
                value=value,
                footprint=footprint,
                quantity=int(words["qty"]) if "qty" in words else None,
                order_code=words.get("code", ""),
                fitted=fitted,
            )
        )
    return Bom(tuple(lines), frozenset(columns))


def make_board(
    text: str = "",
    facts: str = "",
    *,
    layout: Layout | None = None,
    bill: Bom | None = None,
    **more: object,
) -> Board:
    """A board from circuit text and manifest text, with the shipped cards."""
    made = circuit(text)
    design = Design(
        name="test",
        circuit=made,
        netlist=made,
        layout=layout,
        bom=bill,
        manifest=manifest(facts) if facts else Manifest(),
    )
    return Board(replace(design, **more), all_cards())  # type: ignore[arg-type]
