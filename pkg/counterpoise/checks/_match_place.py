"""Where an antenna could be tuned, and whether the radio's supply pins have their capacitors."""

from __future__ import annotations

import math
import re

from counterpoise.catalog.rules import Rule
from counterpoise.checks._feed import MATCHING, ends, feed_pins, walk
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.facts import manifest_line
from counterpoise.roles.wording import listed

_RF_SUPPLY = re.compile(r"(?:^|[^A-Z])(?:RF|PA|LNA|VCO|SYNTH|3P3)|RF(?:$|[^A-Z])|VDDRF|VDDPA", re.I)


def judge_place(board: Board, antenna: Part) -> Verdict:
    """The verdict of ``antenna-match-pads`` for one antenna."""
    starts = [
        pin.net
        for pin in feed_pins(board, antenna)
        if pin.net is not None and not ends(board, pin.net)
    ]
    walks = [walk(board, antenna, net) for net in starts]
    heard = [w for w in walks if w.heard]
    if not heard:
        if any(w.others for w in walks):
            what = f"which pin of the radio feeds {antenna.ref}"
            ref = next(pin.ref for w in walks for pin in w.others)
            need = Need(what, manifest_line(ref, 'role = "radio"') + ", and name its pin RF")
            return Unknown(antenna.ref, (need,))
        return Skip(f"{antenna.ref} is not fed, which is another rule's finding")
    found = heard[0]
    places = any(
        board.role(pin.ref).name in MATCHING
        for net in found.nets
        for pin in board.circuit.pins_on(net)
    )
    if places or found.series:
        return Pass(antenna.ref)
    words = {"pin": found.heard[0].label, "net": found.nets[0]}
    return Fail((antenna.ref,), "none", words, found.nets)


def judge_guard(board: Board, rule: Rule, radio: Part) -> Verdict:
    """The verdict of ``radio-supply-guard`` for one radio."""
    if board.role(radio.ref).name == "radio-module":
        return Skip(f"{radio.ref} is a module: its RF supply lies inside")
    pins = _guarded(board, radio)
    if not pins:
        need = Need(
            f"which pins of {radio.ref} feed its RF part",
            "the symbol: name them VDD_RF, VDD_PA or the like, or give the part a card",
        )
        return Unknown(radio.ref, (need,))
    bare = [pin for pin in pins if not board.to_ground(pin.net, "capacitor")]
    if bare:
        words = {"pins": listed(pin.label for pin in bare)}
        return Fail((radio.ref,), "bare", words, tuple(str(pin.net) for pin in bare))
    if board.layout is not None:
        return _far(board, rule, radio, pins)
    return Pass(radio.ref)


def _guarded(board: Board, radio: Part) -> tuple[Pin, ...]:
    named = board.pins_for(radio, "rf-supply")
    further = [
        pin
        for pin in board.pins_for(radio, "supply", "bypass", "inner-supply")
        if _RF_SUPPLY.search(pin.name)
    ]
    found = {pin.number: pin for pin in (*named, *further) if pin.net is not None}
    return tuple(pin for pin in found.values() if not board.is_ground(pin.net))


def _far(board: Board, rule: Rule, radio: Part, pins: tuple[Pin, ...]) -> Verdict:
    limit = rule.limit("distance").high
    worst: tuple[float, Pin] | None = None
    for pin in pins:
        apart = _nearest(board, radio, pin)
        if apart is not None and apart > limit and (worst is None or apart > worst[0]):
            worst = (apart, pin)
    if worst is None:
        return Pass(radio.ref)
    words = {"pins": worst[1].label, "apart": f"{worst[0]:.1f} mm", "most": f"{limit:g} mm"}
    return Fail(
        (radio.ref,),
        "far",
        words,
        (str(worst[1].net),),
        measured=Measured(round(worst[0], 2), "mm"),
        limit=Limit(None, limit, "mm"),
    )


def _nearest(board: Board, radio: Part, pin: Pin) -> float | None:
    """Distance in mm between the pin's pad and the nearest pad of a capacitor on its net."""
    layout = board.layout
    home = layout.footprint(radio.ref) if layout else None
    if layout is None or home is None:
        return None
    own = [pad.at for pad in home.pads if pad.number == pin.number]
    others = [
        pad.at
        for capacitor in board.to_ground(pin.net, "capacitor")
        if (footprint := layout.footprint(capacitor.ref)) is not None
        for pad in footprint.pads
        if pad.net == pin.net
    ]
    if not own or not others:
        return None
    return min(math.dist(a, b) for a in own for b in others)
