"""Single faults put into a sound board by roles, pins and nets, whoever drew it.

Each kind yields (what was done, the design with the fault, the rules that promise to find it, the refs
of which one must be blamed). Nothing here asks for a ref by name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from counterpoise.model.bom import Bom
from counterpoise.model.circuit import Circuit, Part
from counterpoise.model.design import Design
from counterpoise.roles.board import Board


@dataclass(frozen=True)
class Fault:
    """One fault: its kind, what was done, the faulty design, who must find it and whom to blame."""

    kind: str
    what: str
    design: Design
    rules: frozenset[str]
    blame: frozenset[str]


Kind = Callable[[Board], Iterator[Fault]]
KINDS: dict[str, Kind] = {}


def kind(function: Kind) -> Kind:
    KINDS[function.__name__] = function
    return function


def rebuilt(design: Design, parts: list[Part]) -> Design:
    """The design with another circuit; the netlist too, so that both files agree."""
    circuit = Circuit(tuple(parts))
    return replace(design, circuit=circuit, netlist=circuit)


def with_part(board: Board, ref: str, changed: Part | None) -> Design:
    """One part replaced, or left out."""
    parts = [changed if p.ref == ref else p for p in board.circuit.parts]
    return rebuilt(board.design, [p for p in parts if p is not None])


def rewired(board: Board, moves: dict[tuple[str, str], str | None]) -> Design:
    """Pins (ref, number) put on other nets."""
    parts = [
        replace(
            part,
            pins=tuple(replace(p, net=moves.get((p.ref, p.number), p.net)) for p in part.pins),
        )
        for part in board.circuit.parts
    ]
    return rebuilt(board.design, parts)


def fault(board: Board, name: str, what: str, design: Design, rules: str, *blame: str) -> Fault:
    return Fault(name, what, design, frozenset(rules.split()), frozenset(blame))


def _ground(board: Board) -> str:
    return sorted(board.grounds, key=lambda n: -len(board.circuit.pins_on(n)))[0]


# -- supply and cell ---------------------------------------------------------------------------
@kind
def cell_turned(board: Board) -> Iterator[Fault]:
    for cell in board.parts_as("cell"):
        plus, minus = board.pins_for(cell, "plus"), board.pins_for(cell, "minus")
        if len(plus) == len(minus) == 1:
            moves = {
                (cell.ref, plus[0].number): minus[0].net,
                (cell.ref, minus[0].number): plus[0].net,
            }
            yield fault(
                board, "cell_turned", cell.ref, rewired(board, moves), "cell-polarity", cell.ref
            )


@kind
def charger_left_out(board: Board) -> Iterator[Fault]:
    for charger in board.parts_as("charger"):
        made = with_part(board, charger.ref, None)
        cells = [c.ref for c in board.parts_as("cell")]
        yield fault(board, "charger_left_out", charger.ref, made, "cell-needs-charger", *cells)


@kind
def dry_cell_on_a_charger(board: Board) -> Iterator[Fault]:
    if board.parts_as("charger") and board.manifest.cell.chemistry == "li-po":
        cell = replace(board.manifest.cell, chemistry="alkaline")
        made = replace(board.design, manifest=replace(board.manifest, cell=cell))
        cells = [c.ref for c in board.parts_as("cell")]
        yield fault(
            board, "dry_cell_on_a_charger", "alkaline", made, "primary-cell-charged", *cells
        )


def _set_resistors(board: Board) -> Iterator[tuple[Part, Part]]:
    for charger in board.parts_as("charger"):
        for net in board.nets_for(charger, "set"):
            for resistor in board.to_ground(net, "resistor"):
                yield charger, resistor


@kind
def set_resistor_left_out(board: Board) -> Iterator[Fault]:
    for charger, resistor in _set_resistors(board):
        made = with_part(board, resistor.ref, None)
        yield fault(
            board, "set_resistor_left_out", resistor.ref, made, "charge-set-resistor", charger.ref
        )


@kind
def set_resistor_not_fitted(board: Board) -> Iterator[Fault]:
    for charger, resistor in _set_resistors(board):
        made = with_part(board, resistor.ref, replace(resistor, fitted=False))
        yield fault(
            board, "set_resistor_not_fitted", resistor.ref, made, "charge-set-resistor", charger.ref
        )


@kind
def set_pin_grounded(board: Board) -> Iterator[Fault]:
    for charger, resistor in _set_resistors(board):
        (pin,) = board.pins_for(charger, "set")
        made = rewired(board, {(charger.ref, pin.number): _ground(board)})
        yield fault(
            board, "set_pin_grounded", resistor.ref, made, "charge-set-resistor", charger.ref
        )


@kind
def set_resistor_ten_times_less(board: Board) -> Iterator[Fault]:
    for charger, resistor in _set_resistors(board):
        made = with_part(board, resistor.ref, replace(resistor, value="1k"))
        yield fault(
            board,
            "set_resistor_ten_times_less",
            resistor.ref,
            made,
            "charge-rate charge-set-resistor",
            charger.ref,
            resistor.ref,
        )


@kind
def supply_pin_open(board: Board) -> Iterator[Fault]:
    for part in board.parts_as("radio", "controller", "regulator"):
        pins = [p for p in board.pins_for(part, "supply") if p.net and not board.is_ground(p.net)]
        if len(pins) == 1:
            made = rewired(board, {(part.ref, pins[0].number): None})
            yield fault(board, "supply_pin_open", pins[0].label, made, "supply-pin-open", part.ref)


@kind
def output_on_ground(board: Board) -> Iterator[Fault]:
    for part in board.parts_as("regulator"):
        for pin in board.pins_for(part, "output"):
            made = rewired(board, {(part.ref, pin.number): _ground(board)})
            yield fault(board, "output_on_ground", pin.label, made, "rail-shorted", part.ref)


@kind
def capacitors_left_out(board: Board) -> Iterator[Fault]:
    """All capacitors of a chip's only supply net."""
    for part in board.parts_as("regulator", "radio"):
        nets = {n for n in board.nets_for(part, "supply", "output") if not board.is_ground(n)}
        gone = {c.ref for n in nets for c in board.to_ground(n, "capacitor")}
        if gone:
            made = rebuilt(board.design, [p for p in board.circuit.parts if p.ref not in gone])
            yield fault(
                board,
                "capacitors_left_out",
                part.ref,
                made,
                "decoupling-present card-needs",
                part.ref,
            )


# -- USB ---------------------------------------------------------------------------------------
def _cc(board: Board) -> Iterator[tuple[Part, list[tuple[str, Part]]]]:
    for socket in board.parts_as("usb-connector"):
        nets = board.nets_for(socket, "cc")
        found = [(n, r) for n in nets for r in board.to_ground(n, "resistor")]
        if len(found) == 2:
            yield socket, found


@kind
def cc_resistor_left_out(board: Board) -> Iterator[Fault]:
    for socket, found in _cc(board):
        for _, resistor in found:
            made = with_part(board, resistor.ref, None)
            yield fault(
                board, "cc_resistor_left_out", resistor.ref, made, "usb-cc-pulldowns", socket.ref
            )


@kind
def cc_resistor_of_another_value(board: Board) -> Iterator[Fault]:
    for socket, found in _cc(board):
        for _, resistor in found:
            for value in ("51k", "510R", "10k"):
                made = with_part(board, resistor.ref, replace(resistor, value=value))
                what = f"{resistor.ref} {value}"
                yield fault(
                    board,
                    "cc_resistor_of_another_value",
                    what,
                    made,
                    "usb-cc-pulldowns",
                    socket.ref,
                )


@kind
def cc_shared(board: Board) -> Iterator[Fault]:
    for socket, ((one, _), (two, resistor)) in _cc(board):
        moves: dict[tuple[str, str], str | None] = {
            (p.ref, p.number): one for p in board.circuit.pins_on(two) if p.ref == socket.ref
        }
        made = rewired(board, moves)
        kept = (
            Circuit(tuple(p for p in made.circuit.parts if p.ref != resistor.ref))
            if made.circuit
            else None
        )
        made = replace(made, circuit=kept, netlist=kept)
        yield fault(board, "cc_shared", resistor.ref, made, "usb-cc-pulldowns", socket.ref)


# -- clock and radio ---------------------------------------------------------------------------
def _load_caps(board: Board) -> Iterator[tuple[Part, Part]]:
    for crystal in board.parts_as("crystal"):
        for net in crystal.nets:
            if not board.is_ground(net):
                for cap in board.to_ground(net, "capacitor"):
                    yield crystal, cap


@kind
def load_capacitors_of_another_value(board: Board) -> Iterator[Fault]:
    for crystal in board.parts_as("crystal"):
        caps = {c.ref for x, c in _load_caps(board) if x.ref == crystal.ref}
        for value in ("150p", "47p", "1p"):
            parts = [replace(p, value=value) if p.ref in caps else p for p in board.circuit.parts]
            made = rebuilt(board.design, parts)
            yield fault(
                board, "load_capacitors_of_another_value", value, made, "crystal-load", crystal.ref
            )


@kind
def load_capacitors_left_out(board: Board) -> Iterator[Fault]:
    for crystal in board.parts_as("crystal"):
        caps = {c.ref for x, c in _load_caps(board) if x.ref == crystal.ref}
        if caps:
            made = rebuilt(board.design, [p for p in board.circuit.parts if p.ref not in caps])
            yield fault(
                board,
                "load_capacitors_left_out",
                crystal.ref,
                made,
                "crystal-caps-missing",
                crystal.ref,
            )


@kind
def crystal_quarter_turn(board: Board) -> Iterator[Fault]:
    """Pads 1 2 3 4 on the nets of 2 3 4 1."""
    for crystal in board.parts_as("crystal"):
        if len(crystal.pins) == 4:
            nets = [p.net for p in crystal.pins]
            moves = {(crystal.ref, p.number): nets[(i + 1) % 4] for i, p in enumerate(crystal.pins)}
            yield fault(
                board,
                "crystal_quarter_turn",
                crystal.ref,
                rewired(board, moves),
                "crystal-pads",
                crystal.ref,
            )


@kind
def antenna_cut_off(board: Board) -> Iterator[Fault]:
    for antenna in board.parts_as("antenna"):
        feed = board.pins_for(antenna, "feed")
        if len(feed) == 1:
            for net in (None, _ground(board)):
                made = rewired(board, {(antenna.ref, feed[0].number): net})
                yield fault(board, "antenna_cut_off", str(net), made, "antenna-fed", antenna.ref)


# -- switches, knobs, lights -------------------------------------------------------------------
@kind
def switch_shorted(board: Board) -> Iterator[Fault]:
    for switch in board.parts_as("push-switch", "change-over-switch"):
        live = [n for n in switch.nets if not board.is_ground(n)]
        moves: dict[tuple[str, str], str | None] = {
            (switch.ref, p.number): _ground(board) for p in switch.pins if p.net in live
        }
        if live:
            yield fault(
                board,
                "switch_shorted",
                switch.ref,
                rewired(board, moves),
                "switch-always-closed rail-shorted",
                switch.ref,
            )


@kind
def switch_without_return(board: Board) -> Iterator[Fault]:
    for switch in board.parts_as("push-switch", "change-over-switch"):
        moves: dict[tuple[str, str], str | None] = {
            (switch.ref, p.number): None for p in switch.pins if board.is_ground(p.net)
        }
        if moves:
            made = rewired(board, moves)
            yield fault(
                board, "switch_without_return", switch.ref, made, "switch-no-return", switch.ref
            )


@kind
def throw_changed(board: Board) -> Iterator[Fault]:
    """The wire of the open contact on the closed one."""
    for switch in board.parts_as("change-over-switch"):
        opened, closed = board.pins_for(switch, "open"), board.pins_for(switch, "closed")
        if len(opened) == len(closed) == 1 and opened[0].net and not closed[0].net:
            moves = {
                (switch.ref, opened[0].number): None,
                (switch.ref, closed[0].number): opened[0].net,
            }
            made = rewired(board, moves)
            others = [s.ref for s in board.parts_as("change-over-switch")]
            yield fault(board, "throw_changed", switch.ref, made, "switch-throw", *others)


@kind
def knob_without_common(board: Board) -> Iterator[Fault]:
    for knob in board.parts_as("encoder"):
        common = [p for p in board.pins_for(knob, "common") if p.net]
        if common:
            made = rewired(board, {(knob.ref, p.number): None for p in common})
            yield fault(board, "knob_without_common", knob.ref, made, "encoder-wiring", knob.ref)


@kind
def knob_phases_joined(board: Board) -> Iterator[Fault]:
    for knob in board.parts_as("encoder"):
        a, b = board.pins_for(knob, "phase-a"), board.pins_for(knob, "phase-b")
        if len(a) == len(b) == 1:
            made = rewired(board, {(knob.ref, b[0].number): a[0].net})
            yield fault(board, "knob_phases_joined", knob.ref, made, "encoder-wiring", knob.ref)


@kind
def light_turned(board: Board) -> Iterator[Fault]:
    for led in board.parts_as("led"):
        rails = [n for n in led.nets if n in board.rails and not board.is_ground(n)]
        if len(led.pins) == 2 and rails:
            one, two = led.pins
            made = rewired(board, {(led.ref, one.number): two.net, (led.ref, two.number): one.net})
            yield fault(
                board, "light_turned", led.ref, made, "led-reversed diode-reversed", led.ref
            )


# -- paper -------------------------------------------------------------------------------------
@kind
def ref_twice(board: Board) -> Iterator[Fault]:
    for part in [p for p in board.parts_as("resistor", "capacitor") if p.bought][:3]:
        other = next(p for p in board.parts if p.ref != part.ref and p.bought)
        twin = replace(
            part, ref=other.ref, pins=tuple(replace(p, ref=other.ref) for p in part.pins)
        )
        made = rebuilt(
            board.design, [twin if p.ref == part.ref else p for p in board.circuit.parts]
        )
        yield fault(board, "ref_twice", other.ref, made, "duplicate-reference", other.ref)


def _bought(board: Board) -> Iterator[tuple[Bom, int]]:
    bom = board.design.bom
    for position, line in enumerate(bom.lines if bom else ()):
        if (
            bom
            and line.refs
            and all((p := board.circuit.part(r)) and p.bought and p.fitted for r in line.refs)
        ):
            yield bom, position


def _with_bom(board: Board, bom: Bom, lines: list[object]) -> Design:
    return replace(board.design, bom=replace(bom, lines=tuple(lines)))  # type: ignore[arg-type]


@kind
def bom_line_left_out(board: Board) -> Iterator[Fault]:
    for bom, position in _bought(board):
        left = [line for i, line in enumerate(bom.lines) if i != position]
        made = _with_bom(board, bom, list(left))
        refs = bom.lines[position].refs
        yield fault(board, "bom_line_left_out", str(refs), made, "bom-missing", *refs)


@kind
def bom_line_twice(board: Board) -> Iterator[Fault]:
    for bom, position in _bought(board):
        made = _with_bom(board, bom, [*bom.lines, bom.lines[position]])
        refs = bom.lines[position].refs
        yield fault(board, "bom_line_twice", str(refs), made, "bom-duplicate", *refs)


@kind
def bom_value_changed(board: Board) -> Iterator[Fault]:
    for bom, position in _bought(board):
        line = bom.lines[position]
        part = board.circuit.part(line.refs[0])
        if part and board.role(part.ref).name in ("resistor", "capacitor"):
            lines = list(bom.lines)
            lines[position] = replace(line, value="68k" if part.ref.startswith("R") else "68n")
            made = _with_bom(board, bom, list(lines))
            yield fault(
                board, "bom_value_changed", line.value, made, "bom-value-differs", *line.refs
            )


@kind
def bom_quantity_changed(board: Board) -> Iterator[Fault]:
    for bom, position in _bought(board):
        line = bom.lines[position]
        if line.quantity:
            lines = list(bom.lines)
            lines[position] = replace(line, quantity=line.quantity + 1)
            made = _with_bom(board, bom, list(lines))
            yield fault(
                board, "bom_quantity_changed", str(line.refs), made, "bom-quantity", *line.refs
            )


@kind
def bom_ref_of_nothing(board: Board) -> Iterator[Fault]:
    for bom, position in _bought(board):
        lines = list(bom.lines)
        lines[position] = replace(lines[position], refs=(*lines[position].refs, "X999"))
        made = _with_bom(board, bom, list(lines))
        yield fault(board, "bom_ref_of_nothing", "X999", made, "bom-extra", "X999")
        return
