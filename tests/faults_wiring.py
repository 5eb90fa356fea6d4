"""More single faults of wiring, values and paper, put in by roles, pins and nets on any board.

``MORE`` holds them as ``faults.KINDS`` does; those here also swap, tie, move and scale, where the other
file mostly leaves out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from counterpoise.model.bom import BomLine
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.design import Design
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from faults import Fault, Kind, fault, rebuilt, rewired, with_part

MORE: dict[str, Kind] = {}


def kind(function: Kind) -> Kind:
    MORE[function.__name__] = function
    return function


def ground(board: Board) -> str:
    """The ground net with the most pins."""
    return max(sorted(board.grounds), key=lambda n: len(board.circuit.pins_on(n)))


def farads(board: Board, part: Part) -> float:
    value = board.value(part)
    return 0.0 if isinstance(value, Need) else value.value.middle


def swapped(board: Board, one: Pin, two: Pin) -> Design:
    """Two pins with each other's nets."""
    return rewired(board, {(one.ref, one.number): two.net, (two.ref, two.number): one.net})


def revalued(board: Board, values: dict[str, str]) -> Design:
    parts = [replace(p, value=values.get(p.ref, p.value)) for p in board.circuit.parts]
    return rebuilt(board.design, parts)


def without(board: Board, gone: Iterable[str]) -> Design:
    refs = set(gone)
    return rebuilt(board.design, [p for p in board.circuit.parts if p.ref not in refs])


def joined(board: Board, one: str, two: str) -> Design:
    """One net put onto another everywhere."""
    moves: dict[tuple[str, str], str | None] = {
        (p.ref, p.number): two for p in board.circuit.pins_on(one)
    }
    return rewired(board, moves)


def two_pinned(board: Board, role: str) -> Iterator[tuple[Part, Pin, Pin]]:
    for part in board.parts_as(role):
        if len(part.pins) == 2 and len(part.nets) == 2:
            yield part, part.pins[0], part.pins[1]


# -- parts with a direction ----------------------------------------------------------------------
@kind
def light_swapped(board: Board) -> Iterator[Fault]:
    """Also lights between two signals: any with a way to ground or supply."""
    for part, one, two in two_pinned(board, "led"):
        if board.pins_for(part, "anode") and board.pins_for(part, "cathode"):
            made = swapped(board, one, two)
            yield fault(board, "light_swapped", part.ref, made, "led-reversed", part.ref)


@kind
def electrolytic_swapped(board: Board) -> Iterator[Fault]:
    for part, one, two in two_pinned(board, "capacitor"):
        if board.pins_for(part, "plus") and any(board.is_ground(n) for n in part.nets):
            made = swapped(board, one, two)
            yield fault(
                board, "electrolytic_swapped", part.ref, made, "polar-cap-reversed", part.ref
            )


@kind
def supply_diode_swapped(board: Board) -> Iterator[Fault]:
    """A diode from a cell or a USB socket into the board."""
    for part, one, two in two_pinned(board, "diode"):
        anode = board.nets_for(part, "anode")
        sources = {n for p in board.parts_as("cell") for n in board.nets_for(p, "plus")}
        sources |= {n for p in board.parts_as("usb-connector") for n in board.nets_for(p, "vbus")}
        if anode and anode[0] in sources:
            made = swapped(board, one, two)
            yield fault(board, "supply_diode_swapped", part.ref, made, "diode-reversed", part.ref)


@kind
def matrix_diode_swapped(board: Board) -> Iterator[Fault]:
    found = [
        p
        for p, *_ in two_pinned(board, "diode")
        if board.on_net(p.nets[0], "push-switch") or board.on_net(p.nets[1], "push-switch")
    ]
    for part in found if len(found) >= 4 else []:
        made = swapped(board, *part.pins)
        rules = "matrix-diode-direction"
        yield fault(board, "matrix_diode_swapped", part.ref, made, rules, part.ref)


# -- supplies ------------------------------------------------------------------------------------
@kind
def rail_on_ground(board: Board) -> Iterator[Fault]:
    """A regulator's or charger's output net joined to ground."""
    for part in board.parts_as("regulator", "charger"):
        for net in board.nets_for(part, "output", "cell"):
            made = joined(board, net, ground(board))
            rules = "rail-shorted cell-polarity"
            yield fault(board, "rail_on_ground", net, made, rules, part.ref, *_cells(board))


def _cells(board: Board) -> list[str]:
    return [p.ref for p in board.parts_as("cell")]


@kind
def cell_lead_open(board: Board) -> Iterator[Fault]:
    for part in board.parts_as("cell"):
        for pin in board.pins_for(part, "plus", "minus"):
            made = rewired(board, {(part.ref, pin.number): None})
            yield fault(board, "cell_lead_open", pin.label, made, "cell-polarity", part.ref)


@kind
def ground_pin_open(board: Board) -> Iterator[Fault]:
    for part in board.parts_as("regulator", "charger", "radio", "controller"):
        pins = board.pins_for(part, "ground")
        if pins:
            made = rewired(board, {(p.ref, p.number): None for p in pins})
            yield fault(board, "ground_pin_open", part.ref, made, "supply-pin-open", part.ref)


@kind
def all_capacitors_of_a_chip_unfitted(board: Board) -> Iterator[Fault]:
    for part in board.parts_as(
        "radio", "controller", "regulator", "charger", "boost", "buck-boost"
    ):
        nets = [n for n in board.nets_for(part, "supply", "rf-supply") if not board.is_ground(n)]
        gone = {c.ref for n in nets for c in board.to_ground(n, "capacitor")}
        if gone:
            parts = [replace(p, fitted=False) if p.ref in gone else p for p in board.circuit.parts]
            made = rebuilt(board.design, parts)
            rules = "decoupling-present card-needs"
            yield fault(board, "all_capacitors_of_a_chip_unfitted", part.ref, made, rules, part.ref)


@kind
def supply_pin_on_ground(board: Board) -> Iterator[Fault]:
    for part in board.parts_as("radio", "controller", "regulator"):
        pins = [p for p in board.pins_for(part, "supply") if p.net and not board.is_ground(p.net)]
        if len(pins) == 1:
            made = rewired(board, {(part.ref, pins[0].number): ground(board)})
            yield fault(board, "supply_pin_on_ground", part.ref, made, "supply-pin-open", part.ref)


@kind
def set_resistor_scaled(board: Board) -> Iterator[Fault]:
    """Ten times less: too fast or outside the sheet; a hundred times more: outside it."""
    for part in board.parts_as("charger"):
        for net in board.nets_for(part, "set"):
            for resistor in board.to_ground(net, "resistor"):
                ohms = board.value(resistor)
                if isinstance(ohms, Need):
                    continue
                for factor in (0.1, 1000):
                    value = f"{ohms.value.middle * factor:.0f}"
                    made = revalued(board, {resistor.ref: value})
                    rules = "charge-rate charge-set-resistor"
                    what = f"{resistor.ref} {value}"
                    yield fault(board, "set_resistor_scaled", what, made, rules, part.ref)


@kind
def feedback_scaled(board: Board) -> Iterator[Fault]:
    for part in board.parts_as("regulator", "boost", "buck", "buck-boost"):
        for net in board.nets_for(part, "feedback"):
            for resistor in board.to_ground(net, "resistor"):
                ohms = board.value(resistor)
                if not isinstance(ohms, Need):
                    made = revalued(board, {resistor.ref: f"{ohms.value.middle / 10:.0f}"})
                    rules = "converter-feedback supply-range"
                    yield fault(board, "feedback_scaled", resistor.ref, made, rules, part.ref)


# -- USB -----------------------------------------------------------------------------------------
def _pulldowns(board: Board) -> Iterator[tuple[Part, Part, str]]:
    for socket in board.parts_as("usb-connector"):
        for net in board.nets_for(socket, "cc"):
            for resistor in board.to_ground(net, "resistor"):
                yield socket, resistor, net


@kind
def cc_pulled_up(board: Board) -> Iterator[Fault]:
    for socket, resistor, _ in _pulldowns(board):
        vbus = board.nets_for(socket, "vbus")
        pin = next(p for p in resistor.pins if board.is_ground(p.net))
        made = rewired(board, {(resistor.ref, pin.number): vbus[0]})
        yield fault(board, "cc_pulled_up", resistor.ref, made, "usb-cc-pulldowns", socket.ref)


@kind
def cc_resistor_unfitted(board: Board) -> Iterator[Fault]:
    for socket, resistor, _ in _pulldowns(board):
        made = with_part(board, resistor.ref, replace(resistor, fitted=False))
        yield fault(
            board, "cc_resistor_unfitted", resistor.ref, made, "usb-cc-pulldowns", socket.ref
        )


@kind
def cc_resistor_on_the_other_contact(board: Board) -> Iterator[Fault]:
    """Both resistors on one CC contact."""
    found = list(_pulldowns(board))
    for (socket, resistor, net), (_, _, other) in zip(found, found[::-1], strict=True):
        if net != other and len(found) == 2:
            pin = next(p for p in resistor.pins if p.net == net)
            made = rewired(board, {(resistor.ref, pin.number): other})
            rules = "usb-cc-pulldowns"
            what = resistor.ref
            yield fault(board, "cc_resistor_on_the_other_contact", what, made, rules, socket.ref)


@kind
def data_lines_crossed(board: Board) -> Iterator[Fault]:
    """D+ and D- exchanged at the chip."""
    for chip in board.parts_as("radio", "controller", "radio-module"):
        plus, minus = board.pins_for(chip, "usb-positive"), board.pins_for(chip, "usb-negative")
        if len(plus) == len(minus) == 1 and plus[0].net and minus[0].net:
            made = swapped(board, plus[0], minus[0])
            blame = [p.ref for p in board.parts_as("usb-connector")]
            rules = "usb-data-joined"
            yield fault(board, "data_lines_crossed", chip.ref, made, rules, chip.ref, *blame)


# -- clock ---------------------------------------------------------------------------------------
def _caps_of(board: Board, crystal: Part) -> list[Part]:
    return [
        cap
        for net in crystal.nets
        if not board.is_ground(net)
        for cap in board.to_ground(net, "capacitor")
    ]


@kind
def load_capacitor_on_a_wrong_net(board: Board) -> Iterator[Fault]:
    """One load capacitor ends on its sibling's net."""
    for crystal in board.parts_as("crystal"):
        caps = _caps_of(board, crystal)
        if len(caps) == 2:
            here = next(p for p in caps[0].pins if not board.is_ground(p.net))
            there = next(p for p in caps[1].pins if not board.is_ground(p.net))
            made = rewired(board, {(here.ref, here.number): there.net})
            rules = "crystal-caps-missing crystal-load crystal-caps-unequal"
            what = f"{caps[0].ref} beside {caps[1].ref}"
            yield fault(board, "load_capacitor_on_a_wrong_net", what, made, rules, crystal.ref)


@kind
def one_load_capacitor_left_out(board: Board) -> Iterator[Fault]:
    for crystal in board.parts_as("crystal"):
        caps = _caps_of(board, crystal)
        for cap in caps if len(caps) == 2 else []:
            made = without(board, [cap.ref])
            rules = "crystal-caps-missing crystal-load crystal-caps-unequal"
            yield fault(board, "one_load_capacitor_left_out", cap.ref, made, rules, crystal.ref)


@kind
def one_load_capacitor_doubled(board: Board) -> Iterator[Fault]:
    for crystal in board.parts_as("crystal"):
        for cap in _caps_of(board, crystal):
            value = f"{farads(board, cap) * 2e12:g}p"
            made = revalued(board, {cap.ref: value})
            rules = "crystal-load crystal-caps-unequal"
            what = f"{cap.ref} {value}"
            yield fault(board, "one_load_capacitor_doubled", what, made, rules, crystal.ref)


@kind
def load_capacitors_doubled(board: Board) -> Iterator[Fault]:
    for crystal in board.parts_as("crystal"):
        caps = _caps_of(board, crystal)
        values = {c.ref: f"{farads(board, c) * 2e12:g}p" for c in caps}
        if caps and not isinstance(board.known(crystal, "load"), Need):
            made = revalued(board, values)
            what = str(values)
            yield fault(board, "load_capacitors_doubled", what, made, "crystal-load", crystal.ref)


# -- radio ---------------------------------------------------------------------------------------
@kind
def feed_part_left_out(board: Board) -> Iterator[Fault]:
    """A part in series between radio and antenna."""
    for antenna in board.parts_as("antenna"):
        for net in board.nets_for(antenna, "feed"):
            series = [
                p
                for p in board.on_net(net, "capacitor", "inductor", "resistor", "link")
                if not any(board.is_ground(n) for n in p.nets)
            ]
            if len(series) == 1:
                made = without(board, [series[0].ref])
                rules = "antenna-fed"
                yield fault(board, "feed_part_left_out", series[0].ref, made, rules, antenna.ref)


@kind
def feed_on_a_rail(board: Board) -> Iterator[Fault]:
    for antenna in board.parts_as("antenna"):
        feed = board.pins_for(antenna, "feed")
        rails = [n for c in board.parts_as("radio") for n in board.nets_for(c, "supply")]
        if len(feed) == 1 and rails:
            made = rewired(board, {(antenna.ref, feed[0].number): rails[0]})
            yield fault(board, "feed_on_a_rail", rails[0], made, "antenna-fed", antenna.ref)


# -- controls ------------------------------------------------------------------------------------
@kind
def throw_of_one_sibling(board: Board) -> Iterator[Fault]:
    for part in board.parts_as("change-over-switch"):
        opened, closed = board.pins_for(part, "open"), board.pins_for(part, "closed")
        if len(opened) == len(closed) == 1 and opened[0].net != closed[0].net:
            made = swapped(board, opened[0], closed[0])
            others = [s.ref for s in board.parts_as("change-over-switch")]
            yield fault(board, "throw_of_one_sibling", part.ref, made, "switch-throw", *others)


@kind
def key_line_open(board: Board) -> Iterator[Fault]:
    """The switch's live side on no net."""
    for part in board.parts_as("push-switch", "change-over-switch"):
        live = [p for p in part.pins if p.net and not board.is_ground(p.net)]
        if live and any(board.is_ground(n) for n in part.nets):
            made = rewired(board, {(p.ref, p.number): None for p in live})
            yield fault(board, "key_line_open", part.ref, made, "switch-no-return", part.ref)


@kind
def joined_pair_as_contact(board: Board) -> Iterator[Fault]:
    """A four-pad tact switch of which both pads of one joined pair are used."""
    for part in board.parts_as("push-switch"):
        live = [p for p in part.pins if p.net and not board.is_ground(p.net)]
        gone = [p for p in part.pins if board.is_ground(p.net)]
        if len(live) == len(gone) == 2 and board.text(part, "joined_pads"):
            moves: dict[tuple[str, str], str | None] = {(part.ref, p.number): None for p in gone}
            moves[part.ref, live[1].number] = gone[0].net
            made = rewired(board, moves)
            rules = "switch-always-closed"
            yield fault(board, "joined_pair_as_contact", part.ref, made, rules, part.ref)


@kind
def knob_common_on_a_phase(board: Board) -> Iterator[Fault]:
    for knob in board.parts_as("encoder"):
        a, c = board.pins_for(knob, "phase-a"), board.pins_for(knob, "common")
        if len(a) == len(c) == 1:
            made = swapped(board, a[0], c[0])
            yield fault(board, "knob_common_on_a_phase", knob.ref, made, "encoder-wiring", knob.ref)


@kind
def chain_link_broken(board: Board) -> Iterator[Fault]:
    for led in board.parts_as("addressable-led"):
        for pin in board.pins_for(led, "data-in"):
            made = rewired(board, {(led.ref, pin.number): None})
            blame = [p.ref for p in board.parts_as("addressable-led")]
            yield fault(board, "chain_link_broken", led.ref, made, "led-chain", *blame)


@kind
def light_resistor_shorted(board: Board) -> Iterator[Fault]:
    """The light's resistor replaced by a wire."""
    for led, *_ in two_pinned(board, "led"):
        for net in led.nets:
            series = board.on_net(net, "resistor")
            if len(series) == 1 and len(board.circuit.pins_on(net)) == 2:
                other = board.across(series[0], net)
                if other is None or series[0].ref == led.ref:
                    continue
                moves: dict[tuple[str, str], str | None] = {
                    (p.ref, p.number): other for p in led.pins if p.net == net
                }
                made = rewired(board, moves)
                parts = made.circuit.parts if made.circuit else ()
                made = rebuilt(made, [p for p in parts if p.ref != series[0].ref])
                rules = "led-current"
                yield fault(board, "light_resistor_shorted", led.ref, made, rules, led.ref)


# -- paper ---------------------------------------------------------------------------------------
def _lines(board: Board) -> list[BomLine]:
    return list(board.design.bom.lines) if board.design.bom else []


def _with_line(board: Board, at: int, line: BomLine) -> Design:
    bom = board.design.bom
    assert bom is not None
    lines = [*bom.lines]
    lines[at] = line
    return replace(board.design, bom=replace(bom, lines=tuple(lines)))


def _passive(board: Board, line: BomLine) -> bool:
    roles = {board.role(ref).name for ref in line.refs}
    return bool(roles) and roles <= {"resistor", "capacitor"}


@kind
def bom_size_changed(board: Board) -> Iterator[Fault]:
    for at, line in enumerate(_lines(board)):
        if _passive(board, line) and "0402" in line.footprint:
            changed = line.footprint.replace("0402", "0805").replace("1005", "2012")
            made = _with_line(board, at, replace(line, footprint=changed))
            rules = "bom-package-differs"
            yield fault(board, "bom_size_changed", str(line.refs), made, rules, *line.refs)


@kind
def bom_ref_in_two_lines(board: Board) -> Iterator[Fault]:
    lines = _lines(board)
    for at, line in enumerate(lines[1:], 1):
        if lines[0].refs and line.refs:
            ref = lines[0].refs[0]
            made = _with_line(board, at, replace(line, refs=(*line.refs, ref)))
            yield fault(board, "bom_ref_in_two_lines", ref, made, "bom-duplicate", ref)


@kind
def bom_ref_forgotten(board: Board) -> Iterator[Fault]:
    for at, line in enumerate(_lines(board)):
        if len(line.refs) > 1:
            made = _with_line(board, at, replace(line, refs=line.refs[:-1]))
            ref = line.refs[-1]
            yield fault(board, "bom_ref_forgotten", ref, made, "bom-missing", ref)


@kind
def bom_unfitted_in_one(board: Board) -> Iterator[Fault]:
    for at, line in enumerate(_lines(board)):
        if line.refs:
            made = _with_line(board, at, replace(line, fitted=False))
            rules = "bom-fitted-conflict bom-missing"
            yield fault(board, "bom_unfitted_in_one", str(line.refs), made, rules, *line.refs)


@kind
def value_ten_times(board: Board) -> Iterator[Fault]:
    """In the circuit, not in the BOM."""
    listed = {ref for line in _lines(board) for ref in line.refs if line.value}
    for part in board.parts_as("resistor", "capacitor"):
        value = board.value(part)
        if part.ref in listed and not isinstance(value, Need) and value.value.middle > 0:
            unit = "F" if board.role(part.ref).name == "capacitor" else "R"
            text = f"{value.value.middle * (1e12 if unit == 'F' else 1) * 10:.1f}"
            made = revalued(board, {part.ref: text + ("p" if unit == "F" else "R")})
            yield fault(board, "value_ten_times", part.ref, made, "bom-value-differs", part.ref)
