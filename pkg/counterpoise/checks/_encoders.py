"""Rotary encoders: two phases that close to one common contact."""

from __future__ import annotations

from counterpoise.checks._contacts import leads_on, node
from counterpoise.checks._parts import pins_firm
from counterpoise.checks._pulls import level
from counterpoise.model.circuit import Part, Pin
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.facts import manifest_line


def judge_encoder(board: Board, encoder: Part) -> Verdict:
    """The verdict of ``encoder-wiring`` for one encoder."""
    a = board.pins_for(encoder, "phase-a")
    b = board.pins_for(encoder, "phase-b")
    common = board.pins_for(encoder, "common")
    if not a or not b or not common:
        need = Need(
            f"which pins of {encoder.ref} are phase A, phase B and common",
            "the symbol: name them A, B and C; or "
            + manifest_line(encoder.ref, 'terminals = { common = "C" }'),
        )
        return Unknown(encoder.ref, (need,))
    role, pins = board.role(encoder.ref), pins_firm(board, (*a, *b, *common))
    doubt = "" if role.firm else role.because
    doubt = doubt or ("" if pins else "its pins are taken from usual numbering or from memory")
    fault = _fault(board, encoder, a[0], b[0], common[0])
    if fault is None:
        return Pass(encoder.ref)
    case, words = fault
    return Fail((encoder.ref,), case, words, encoder.nets, firm=role.firm and pins, doubt=doubt)


def _fault(
    board: Board, encoder: Part, a: Pin, b: Pin, common: Pin
) -> tuple[str, dict[str, str]] | None:
    if not _leads(board, encoder, common.net):
        return "common-open", {"pin": common.label}
    if a.net is not None and b.net in node(board, a.net):
        return "joined", {"pin": a.label, "other": b.label, "net": a.net}
    for phase in (a, b):
        if phase.net is None or not _leads(board, encoder, phase.net):
            return "phase-open", {"pin": phase.label}
        words = {"pin": phase.label, "other": common.label, "net": phase.net}
        if common.net in node(board, phase.net):
            return "on-common", words
        if level(board, phase.net):
            return "exchanged", words
    return None


def _leads(board: Board, encoder: Part, net: str | None) -> bool:
    return net is not None and leads_on(board, encoder, node(board, net))
