"""Whether each antenna is fed."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._feed import (
    ANTENNAS,
    RADIOS,
    RF_FUNCTIONS,
    Walk,
    feed_known,
    feed_pins,
    may_be_rf,
    radios_with_rf,
    supplied,
    unfitted_bridges,
    walk,
)
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Severity, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.facts import manifest_line
from counterpoise.roles.wording import listed, refs


def judge_antennas(board: Board, rule: Rule) -> Iterator[Verdict]:
    """The verdicts of ``antenna-fed``: one an antenna, and one a radio that has none at all."""
    antennas = board.parts_as(*ANTENNAS)
    verdicts = [(antenna, judge_antenna(board, antenna)) for antenna in antennas]
    fed = any(isinstance(verdict, Pass) for _, verdict in verdicts)
    for antenna, verdict in verdicts:
        if isinstance(verdict, Fail) and verdict.case == "unfitted" and fed:
            yield Skip(f"{antenna.ref} is an alternative whose link is not fitted")
        else:
            yield verdict
    if not antennas:
        yield from _without_antenna(board)


def _without_antenna(board: Board) -> Iterator[Verdict]:
    for radio in board.parts_as(*RADIOS):
        if board.flag(radio, "antenna_inside"):
            yield Skip(f"{radio.ref} has its antenna inside")
            continue
        if board.role(radio.ref).name == "radio" or board.nets_for(radio, *RF_FUNCTIONS):
            what = f"which part is the antenna of {radio.ref}, or that it is drawn in copper alone"
            yield Unknown(radio.ref, (Need(what, manifest_line("AE1", 'role = "antenna"')),))
        else:
            yield Skip(f"{radio.ref} is a module that leads no RF pin out")


def judge_antenna(board: Board, antenna: Part) -> Verdict:
    """The verdict for one antenna or antenna connector."""
    role = board.role(antenna.ref)
    firm = role.firm
    doubt = "" if firm else role.because
    pins = feed_pins(board, antenna)
    live = [pin for pin in pins if pin.net is not None]
    if not live:
        return _no_feed(board, antenna, firm, doubt)
    starts = [str(pin.net) for pin in live if not board.is_ground(pin.net)]
    if not starts:
        net = str(live[0].net)
        words = {"pin": live[0].label, "net": net}
        known = feed_known(board, antenna)
        return Fail((antenna.ref,), "grounded", words, (net,), firm=firm and known)
    railed = [net for net in starts if supplied(board, net)]
    if len(railed) == len(starts):
        return Fail((antenna.ref,), "railed", {"net": railed[0]}, tuple(railed), firm=firm)
    walks = [walk(board, antenna, net) for net in starts if net not in railed]
    if any(w.heard for w in walks):
        return Pass(antenna.ref)
    return _unheard(board, antenna, walks, firm, doubt)


def _no_feed(board: Board, antenna: Part, firm: bool, doubt: str) -> Verdict:
    wired = [p for p in antenna.pins if p.net is not None]
    if wired and all(board.is_ground(p.net) for p in wired):
        words = {"pin": wired[0].label, "net": str(wired[0].net)}
        case = "grounded" if len(wired) == len(antenna.pins) else "open"
        return Fail((antenna.ref,), case, words, firm=firm, doubt=doubt)
    joined = any(len(board.circuit.pins_on(p.net)) > 1 for p in wired)
    if antenna.pins and (not joined or feed_known(board, antenna)):
        return Fail((antenna.ref,), "open", {}, firm=firm, doubt=doubt)
    need = Need(f"the net that feeds {antenna.ref}", "the netlist: name the pin FEED in the symbol")
    return Unknown(antenna.ref, (need,))


def _unheard(board: Board, antenna: Part, walks: list[Walk], firm: bool, doubt: str) -> Verdict:
    nets = tuple(net for w in walks for net in w.nets)
    others = [pin for w in walks for pin in w.others]
    candidates = [pin for pin in others if may_be_rf(board, pin)]
    if candidates:
        pin = candidates[0]
        need = Need(
            f"whether {pin.label} is a radio's RF pin",
            manifest_line(pin.ref, 'role = "radio"') + ", and name the pin RF in its symbol",
        )
        return Unknown(antenna.ref, (need,))
    radios = radios_with_rf(board)
    words = {
        "net": listed(f'"{w.nets[0]}"' for w in walks),
        "radio": refs(radios) or "a radio",
        "reached": listed(pin.label for pin in others) or "nothing",
    }
    bridges = unfitted_bridges(board, nets)
    if bridges:
        words["bridge"] = refs(bridges)
        subjects = (antenna.ref, *(part.ref for part in bridges))
        return Fail(subjects, "unfitted", words, nets, firm=firm, doubt=doubt)
    if others:
        # It ends at pins that are known to be something else.
        return Fail((antenna.ref,), "elsewhere", words, nets, firm=firm, doubt=doubt)
    severity = Severity.CAUTION if board.role(antenna.ref).name == "antenna-connector" else None
    return Fail((antenna.ref,), "nowhere", words, nets, severity=severity, firm=firm, doubt=doubt)
