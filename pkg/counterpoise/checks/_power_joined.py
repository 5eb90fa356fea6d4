"""Two sources on one net: cells, USB supplies, outputs of regulators and converters.

Part of the rule rail-shorted. Chargers' cell and system pins, power paths and diodes join sources on
purpose; none of them counts as a source here.
"""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.checks._usb_ports import cc_pins, port_of
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Severity, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.paths import SOURCES, node
from counterpoise.roles.rails import Rail
from counterpoise.roles.wording import amount, span

_USB_LEAST = 4.4
"""Volts; the least that a host may offer at a full-power port (USB 2.0, 7.2.2)."""

_TAKING = (*SOURCES, "charger", "power-path")


def _sources(board: Board) -> dict[str, list[tuple[Part, str]]]:
    """Sources by node: USB supplies, cells' positive ends, outputs of regulators and converters."""
    found: dict[str, list[tuple[Part, str]]] = {}
    kinds = (
        (("usb-connector",), ("vbus",), "usb"),
        (("cell",), ("plus",), "cell"),
        (SOURCES, ("output",), "output"),
    )
    for roles, functions, kind in kinds:
        for part in board.parts_as(*roles):
            for net in _behind_fuse(board, board.nets_for(part, *functions), kind):
                key = min(node(board, net))
                if not board.is_ground(key) and (part, kind) not in found.setdefault(key, []):
                    found[key].append((part, kind))
    return found


def _behind_fuse(board: Board, nets: tuple[str, ...], kind: str) -> list[str]:
    """The nets, for what comes from outside with those behind a fuse."""
    if kind == "output":
        return [*nets]
    live = [net for net in nets if not board.is_ground(net)]
    return sorted({n for net in live for n in board.reach(net, "fuse")} | {*nets})


def joined_sources(board: Board) -> Iterator[Verdict]:
    """What is to be said of each two sources on one node."""
    told: set[tuple[str, str]] = set()
    for net, sources in sorted(_sources(board).items()):
        for i, (a, kind_a) in enumerate(sources):
            for b, kind_b in sources[i + 1 :]:
                if a.ref != b.ref and (a.ref, b.ref) not in told:
                    found = [*_clash(board, net, (a, kind_a), (b, kind_b))]
                    told |= {(a.ref, b.ref)} if found else set()
                    yield from found


def _clash(
    board: Board, net: str, one: tuple[Part, str], other: tuple[Part, str]
) -> Iterator[Verdict]:
    (a, kind_a), (b, kind_b) = one, other
    if kind_a == kind_b and kind_a != "output":
        return
    firm = board.role(a.ref).firm and board.role(b.ref).firm
    if {kind_a, kind_b} == {"usb", "cell"}:
        words = {"net": net, "other": a.ref}
        yield Fail((b.ref, a.ref), "usb-cell", words, (net,), firm=firm)
    elif kind_a != "output" and _is_idle(board, net, b):
        return  # its own input is there: that is told of it by itself
    elif kind_a == "usb":
        yield from _on_usb(board, net, b, a, firm)
    elif kind_a == "cell":
        yield _on_cell(board, net, b, a, firm)
    else:
        yield from _outputs(board, net, a, b, firm)


def _is_idle(board: Board, net: str, part: Part) -> bool:
    inputs = set(board.nets_for(part, "supply"))
    linear = board.role(part.ref).name in ("regulator", "buck")
    return linear and bool(inputs) and inputs <= node(board, net)


def _outputs(board: Board, net: str, a: Part, b: Part, firm: bool) -> Iterator[Verdict]:
    outputs = [board.known(part, "output") for part in (a, b)]
    missing = tuple(x for x in outputs if isinstance(x, Need))
    if missing:
        yield Unknown(a.ref, missing)
        return
    one, two = (x for x in outputs if isinstance(x, Known))
    if one.value.low <= two.value.high and two.value.low <= one.value.high:
        return
    volts = f"{span(two.value, 'V')} and {span(one.value, 'V')}"
    words = {"net": net, "other": a.ref, "volts": volts}
    sure = firm and one.firm and two.firm
    yield Fail((b.ref, a.ref), "sources", words, (net,), firm=sure)


# -- on a cell -----------------------------------------------------------------------------------
def _on_cell(board: Board, net: str, source: Part, cell: Part, firm: bool) -> Fail:
    """An output straight on a cell: a finding whatever its voltage."""
    output = board.known(source, "output")
    volts = f" ({span(output.value, 'V')})" if isinstance(output, Known) else ""
    words = {"net": net, "other": cell.ref, "volts": volts}
    # Some converters are made to charge a cell; a card or the manifest knows which part is none.
    told = _told(board, source) or (isinstance(output, Known) and output.firm)
    doubt = "" if told else f"unless {source.ref} is made to charge it"
    refs = (source.ref, cell.ref)
    return Fail(refs, "on-cell", words, (net,), firm=firm and told, doubt=doubt)


def _told(board: Board, part: Part) -> bool:
    return any(e.source in ("card", "manifest") for e in board.role(part.ref).evidence)


# -- on a USB supply -----------------------------------------------------------------------------
def _on_usb(board: Board, net: str, source: Part, socket: Part, firm: bool) -> Iterator[Verdict]:
    """An output joined to a USB supply: less than the cable's volts clashes; about as much feeds a
    host's socket, but drives one back that takes power."""
    output = board.known(source, "output")
    most = output.value.high if isinstance(output, Known) else _most(board, source)
    sure = output.firm if isinstance(output, Known) else True
    refs = (source.ref, socket.ref)
    words = {"net": net, "other": socket.ref}
    if most is not None and most < _USB_LEAST:
        made = span(output.value, "V") if isinstance(output, Known) else _at_most(most)
        words["volts"] = f"{made} and 5 V"
        yield Fail(refs, "sources", words, (net,), firm=firm and sure)
    elif not port_of(board, socket).host and _takes(board, net, source, socket):
        words["volts"] = f" ({span(output.value, 'V')})" if isinstance(output, Known) else ""
        yield Fail(refs, "on-usb", words, (net,), severity=Severity.CAUTION, firm=firm)
    elif isinstance(output, Need):
        yield Unknown(source.ref, (output,))


def _at_most(volts: float) -> str:
    return f"at most {amount(volts, 'V')}"


def _most(board: Board, source: Part) -> float | None:
    """The most that a part which only steps down can give: what it is fed with, where that is sure."""
    if board.role(source.ref).name not in ("regulator", "buck"):
        return None
    rails = [board.volts(net) for net in board.nets_for(source, "supply")]
    known = [rail.volts.high for rail in rails if isinstance(rail, Rail) and rail.firm]
    return max(known) if rails and len(known) == len(rails) else None


def _takes(board: Board, net: str, source: Part, socket: Part) -> bool:
    """Whether the socket takes power: pull-downs on its CC contacts, or a part that its supply feeds."""
    if any(board.to_ground(pin.net, "resistor") for pin in cc_pins(board, socket)):
        return True
    return any(
        part.ref != source.ref and one in board.nets_for(part, "supply")
        for one in sorted(node(board, net))
        for part in board.on_net(one, *_TAKING)
    )
