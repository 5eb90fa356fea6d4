"""Track width against the current its net carries."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._layout import layout_of, mm, place, side_of
from counterpoise.estimates.track import capacity_a, width_mm
from counterpoise.model.facts import Need
from counterpoise.model.layout import Track
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known

_COPPER_MM = 0.035


def currents(board: Board) -> dict[str, float]:
    """Amperes by net where the manifest or a card tell them: the cell's net carries the peak of the
    modes, a charger's input and output its charging current."""
    found: dict[str, float] = {}
    peak = max((m.peak_a or m.current_a for m in board.manifest.modes), default=0.0)
    cell = board.cell
    if cell is not None and peak > 0:
        for net in board.nets_for(cell, "plus"):
            found[net] = peak
    for charger in board.parts_as("charger"):
        known = board.known(charger, "charge_current")
        if isinstance(known, Known):
            for net in board.nets_for(charger, "supply", "cell"):
                found[net] = max(found.get(net, 0.0), known.value.high)
    return {net: amps for net, amps in sorted(found.items()) if not board.is_ground(net)}


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


def _judge(board: Board, rule: Rule, net: str, amps: float, tracks: list[Track]) -> Verdict:
    outer = set(layout_of(board).copper_layers[:1] + layout_of(board).copper_layers[-1:])
    copper = board.manifest.board.copper_mm or _COPPER_MM
    inner = board.manifest.board.inner_copper_mm or copper
    rise = rule.limit("rise").high

    def carries(track: Track) -> float:
        out = track.layer in outer
        return capacity_a(track.width, copper if out else inner, rise, out)

    worst = min(tracks, key=lambda t: (carries(t), t.shape.start))
    if carries(worst) >= amps:
        return Pass(net)
    out = worst.layer in outer
    needed = width_mm(amps, copper if out else inner, rise, out)
    words = {
        "net": net,
        "measured": mm(worst.width),
        "current": f"{amps * 1000:.0f} mA",
        "limit": mm(needed),
        "rise": f"{rise:g} K",
    }
    return Fail(
        (net,),
        "narrow",
        words,
        nets=(net,),
        place=place(worst.shape.start, side_of(worst.layer)),
        measured=Measured(round(worst.width, 4), "mm"),
        limit=Limit(round(needed, 4), None, "mm"),
    )
