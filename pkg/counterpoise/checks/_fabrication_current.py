"""Track width against the current its net carries."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._layout import layout_of, mm, place, side_of
from counterpoise.checks._usb_supply import is_source, vbus_nets
from counterpoise.estimates.supply_path import SupplyPath, supply_path
from counterpoise.estimates.track import capacity_a, width_mm
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.layout import Track
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.charging import charge_current
from counterpoise.roles.paths import node
from counterpoise.values.ranges import Range

_COPPER_MM = 0.035


def currents(board: Board) -> dict[str, Range]:
    """Amperes by net, where manifest, cards and set resistors tell them.

    The load's rail carries the peak of the modes; each converter's input and the cell what that
    makes of it; a charger's input and output its charge current; a USB socket's supply both.
    """
    found: dict[str, Range] = {}
    peak = max((m.peak_a or m.current_a for m in board.manifest.modes), default=0.0)
    _of_load(board, found, peak)
    charges = {c.ref: _charge(board, c) for c in board.parts_as("charger")}
    for charger in board.parts_as("charger"):
        for net in board.nets_for(charger, "supply", "cell"):
            _raise(found, board, net, charges[charger.ref])
    for socket in board.parts_as("usb-connector"):
        nets = vbus_nets(board, socket)
        amps = [charges[c.ref] for c in board.parts_as("charger") if _fed(board, c, nets)]
        if amps and not is_source(board, socket):
            total = sum((a for a in amps if a is not None), Range.of(peak))
            for net in nets:
                _raise(found, board, net, total)
    return {net: amps for net, amps in sorted(found.items()) if not board.is_ground(net)}


def _fed(board: Board, charger: Part, nets: frozenset[str]) -> bool:
    return bool(nets & set(board.nets_for(charger, "supply")))


def _charge(board: Board, charger: Part) -> Range | None:
    current = charge_current(board, charger)
    return None if isinstance(current, Need) else current.amperes


def _charging(board: Board, net: str, amps: Range) -> Iterator[str]:
    """The chargers whose charge current makes most of what the net carries."""
    for charger in board.parts_as("charger"):
        charge = _charge(board, charger)
        own = {n for net in board.nets_for(charger, "supply", "cell") for n in node(board, net)}
        for socket in board.parts_as("usb-connector"):
            nets = vbus_nets(board, socket)
            own |= nets if _fed(board, charger, nets) else set()
        if charge is not None and net in own and charge.high >= amps.high / 2:
            yield charger.ref


def _raise(found: dict[str, Range], board: Board, net: str, amps: Range | None) -> None:
    """Keep the larger current for a net and for what plain links join it to."""
    if amps is None or amps.high <= 0:
        return
    for each in board.same_node(net) | {net}:
        before = found.get(each, amps)
        found[each] = Range(max(before.low, amps.low), max(before.high, amps.high))


def _of_load(board: Board, found: dict[str, Range], peak: float) -> None:
    path = supply_path(board)
    if path.net is not None:
        _raise(found, board, path.net, Range.of(peak))
    for k, stage in enumerate(path.stages):
        made = SupplyPath(path.net, path.stages[:k]).from_cell(peak, stage.out_v)
        _raise(found, board, stage.net, Range(made.low, made.high))
    cell = board.cell
    for net in board.nets_for(cell, "plus") if cell is not None else ():
        rail = board.volts(net)
        least = None if isinstance(rail, Need) else rail.volts.low
        drawn = path.from_cell(peak, least) if least else None
        _raise(found, board, net, Range(drawn.low, drawn.high) if drawn else Range.of(peak))


def track_current(board: Board, rule: Rule) -> Iterator[Verdict]:
    """The narrowest track of each such net; nets with a poured area are carried by it."""
    layout = layout_of(board)
    known = currents(board)
    if not known:
        what = "the currents of the supply nets"
        where = 'board.toml: [modes.NAME] current = "6 mA", peak = "20 mA" and [cell] ref = "BT1"'
        yield Unknown("the board", (Need(what, where),))
        return
    poured = {z.net for z in layout.zones if z.fills}
    by_net: dict[str, list[Track]] = {}
    for track in layout.tracks:
        if track.net in known:
            by_net.setdefault(track.net, []).append(track)
    for net, amps in known.items():
        if net in by_net:
            yield Pass(net) if net in poured else _judge(board, rule, net, amps, by_net[net])


def _judge(board: Board, rule: Rule, net: str, amps: Range, tracks: list[Track]) -> Verdict:
    outer = set(layout_of(board).copper_layers[:1] + layout_of(board).copper_layers[-1:])
    copper = board.manifest.board.copper_mm or _COPPER_MM
    inner = board.manifest.board.inner_copper_mm or copper
    rise = rule.limit("rise").high

    def carries(track: Track) -> float:
        out = track.layer in outer
        return capacity_a(track.width, copper if out else inner, rise, out)

    worst = min(tracks, key=lambda t: (carries(t), t.shape.start))
    if carries(worst) >= amps.high:
        return Pass(net)
    if carries(worst) >= amps.low:
        where = 'board.toml: [modes.NAME] peak = "20 mA", or charge_current of the charger'
        return Unknown(net, (Need(f"the current on net {net} more closely", where),))
    out = worst.layer in outer
    needed = width_mm(amps.high, copper if out else inner, rise, out)
    words = {
        "net": net,
        "measured": mm(worst.width),
        "current": f"{amps.high * 1000:.0f} mA",
        "limit": mm(needed),
        "rise": f"{rise:g} K",
    }
    return Fail(
        (net, *_charging(board, net, amps)),
        "narrow",
        words,
        nets=(net,),
        place=place(worst.shape.start, side_of(worst.layer)),
        measured=Measured(round(worst.width, 4), "mm"),
        limit=Limit(round(needed, 4), None, "mm"),
    )
