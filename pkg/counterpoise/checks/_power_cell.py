"""Rules about the cell itself: charged or not, which way round, how it is guarded, how hard it is
pulled."""

from __future__ import annotations

import re
from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import Fail, Pass, Skip, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.cells import (
    COINS,
    LITHIUM,
    Chemistry,
    chemistry_of,
    is_holder,
    texts_of,
)
from counterpoise.roles.facts import key_of
from counterpoise.roles.paths import (
    ICS,
    cell_ends,
    chargers_of,
    nets_of,
    plus_nets,
    stated_cell,
    walk,
)
from counterpoise.roles.wording import listed, refs

_OUTSIDE = "board.toml: [cell] outside_charger = true (if it is charged off the board)"
_LOOSE = re.compile(r"JST|PH|ZH|SH|XH|GH|MOLEX|PICO|CONN|HEADER|HDR|TERMINAL|WIRE|SOLDER|PAD|DW0")


# -- cell-needs-charger --------------------------------------------------------------------------
def cell_needs_charger(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Look for a charger whose output reaches each rechargeable cell."""
    for cell in board.parts_as("cell"):
        if chargers_of(board, cell):
            yield Pass(cell.ref)
            continue
        if board.manifest.cell.outside_charger and stated_cell(board, cell):
            yield Pass(cell.ref)
            continue
        chemistry = chemistry_of(board, cell)
        if isinstance(chemistry, Need):
            yield Unknown(cell.ref, (chemistry,))
        elif chemistry.primary:
            yield Skip(f"{cell.ref} is not rechargeable ({chemistry.because})")
        else:
            yield _uncharged(board, cell, chemistry)


def _uncharged(board: Board, cell: Part, chemistry: Chemistry) -> Verdict:
    facts = board.manifest.cell
    strangers = _strangers(board, cell)
    if strangers:
        who = strangers[0].ref
        need = Need(
            f"whether {refs(strangers)} on the net of {cell.ref} charges it",
            f'board.toml: [parts.{key_of(who)}] role = "charger" (or what it is)',
        )
        return Unknown(cell.ref, (need,))
    if facts.removable and facts.outside_charger is None and stated_cell(board, cell):
        return Unknown(cell.ref, (Need(f"where {cell.ref} is charged", _OUTSIDE),))
    firm, doubt = chemistry.firm, "" if chemistry.firm else "by the name of its footprint"
    if not board.role(cell.ref).firm:
        firm, doubt = False, f"taken for a cell: {board.role(cell.ref).because}"
    elif firm and is_holder(cell) and facts.chemistry is None and facts.outside_charger is None:
        firm, doubt = False, "it sits in a holder and may be charged off the board"
    return Fail(
        (cell.ref,),
        "none",
        {"because": chemistry.because, "chemistry": chemistry.name},
        nets=plus_nets(board, cell),
        firm=firm,
        doubt=doubt,
    )


def _strangers(board: Board, cell: Part) -> tuple[Part, ...]:
    """Parts of unknown purpose and connectors on the cell's nets, which may hide a charger."""
    found: dict[str, Part] = {}
    for reached in walk(board, plus_nets(board, cell)).values():
        for part in board.on_net(reached.net, "chip", "unknown", "power-path", "connector"):
            if part.ref != cell.ref and len(part.pins) >= 3 and not _consumes(board, cell, part):
                found[part.ref] = part
    return tuple(found[ref] for ref in sorted(found))


def _consumes(board: Board, cell: Part, part: Part) -> bool:
    """Whether the part lives off the cell: its named supply pins are all there, and no connector
    that might bring another supply is on any of its nets."""
    near = set(walk(board, plus_nets(board, cell)))
    supply = [p for p in board.pins_for(part, "supply") if board.function_evidence(p) == "pins"]
    others = [p.net for p in board.pins_for(part, "vbus", "cell") if p.net not in near]
    fed = any(len(board.circuit.pins_on(net)) > 1 for net in others)
    if not supply or fed or not {p.net for p in supply} <= near:
        return False
    outside = ("connector", "usb-connector", "unknown")
    return not any(
        other.ref not in (cell.ref, part.ref)
        for net in part.nets
        if not board.is_ground(net)
        for other in board.on_net(net, *outside)
    )


# -- cell-polarity -------------------------------------------------------------------------------
def cell_polarity(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that no cell has its positive end on ground or its negative end on a charger or rail."""
    for cell in board.parts_as("cell"):
        if not any(cell_ends(board, cell)):
            need = Need(
                f"which pin of {cell.ref} is positive",
                f'board.toml: [parts.{key_of(cell.ref)}] polarity = "1 is plus"',
            )
            yield Unknown(cell.ref, (need,))
            continue
        yield _polarity(board, cell)


def _polarity(board: Board, cell: Part) -> Verdict:
    ends = cell_ends(board, cell)
    plus, minus = (nets_of(pins) for pins in ends)
    firm = board.role(cell.ref).firm
    loose = [pins[0] for pins in ends if pins and not nets_of(pins)]
    if loose and cell.nets:
        return Fail((cell.ref,), "open", {"pin": loose[0].label}, nets=cell.nets, firm=firm)
    grounded = [net for net in plus if board.is_ground(net)]
    if grounded and not all(board.is_ground(net) for net in minus):
        words = {"plus": listed(grounded), "minus": listed(minus) or "nothing"}
        return Fail((cell.ref,), "reversed", words, nets=(*plus, *minus), firm=firm)
    for net in minus:
        feeding = [c for c in board.on_net(net, "charger") if net in board.nets_for(c, "cell")]
        if feeding and net not in plus:
            words = {"charger": refs(feeding), "net": net}
            sure = firm and all(board.role(c.ref).firm for c in feeding)
            others = tuple(c.ref for c in feeding)
            return Fail((cell.ref, *others), "charged", words, nets=(net,), firm=sure)
    return _opposed(board, cell) or Pass(cell.ref)


def _opposed(board: Board, cell: Part) -> Fail | None:
    """Two cells in a row that meet with like ends, so that their voltages cancel: told of the first.

    Only a net that cells alone are on is judged: cells side by side meet in what they feed.
    """
    for end, word in enumerate(("positive", "negative")):
        for net in nets_of(cell_ends(board, cell)[end]):
            here = [p for p in board.on_net(net) if board.role(p.ref).name != "test-point"]
            cells = board.on_net(net, "cell")
            if here[0] != cell or len(here) != 2 or len(cells) != 2 or board.is_ground(net):
                continue
            ends = [tuple(nets_of(pins) for pins in cell_ends(board, p)) for p in here]
            if net in ends[1][end] and ends[0][1 - end] != ends[1][1 - end]:
                subjects = tuple(p.ref for p in here)
                firm = all(board.role(ref).firm for ref in subjects)
                words = {"end": word, "net": net, "other": subjects[1]}
                return Fail(subjects, "opposed", words, nets=(net,), firm=firm)
    return None


# -- cell-connector-polarity ---------------------------------------------------------------------
def cell_connector_polarity(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that a cell on a loose connector has its positive pin named on the sheet or stated."""
    for cell in board.parts_as("cell"):
        if is_holder(cell):
            yield Skip(f"{cell.ref} is a holder")
        elif not _LOOSE.search(f"{cell.footprint} {texts_of(cell)}".upper()):
            need = Need(
                f"how the cell {cell.ref} is joined to the board",
                f'board.toml: [parts.{key_of(cell.ref)}] body = "connector" (or polarity = "1 is plus")',
            )
            body = board.text(cell, "body")
            yield (
                Pass(cell.ref)
                if _says_polarity(board, cell)
                else (_loose(board, cell) if body else Unknown(cell.ref, (need,)))
            )
        else:
            yield Pass(cell.ref) if _says_polarity(board, cell) else _loose(board, cell)


def _says_polarity(board: Board, cell: Part) -> bool:
    if board.text(cell, "polarity"):
        return True
    return any(
        re.fullmatch(r"\+|PLUS|POS(?:ITIVE)?|V?BAT\+?|B\+", p.name.upper()) for p in cell.pins
    )


def _loose(board: Board, cell: Part) -> Fail:
    ends = [p for p in cell.pins if p.number.isdigit()] or list(cell.pins)
    pins = "; ".join(f"pin {p.number} on {p.net}" for p in ends if p.net)
    return Fail((cell.ref,), "unstated", {"pins": pins}, nets=cell.nets)


# -- cell-protection -----------------------------------------------------------------------------
def cell_protection(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that each lithium cell has its own protection (stated) or a protector on the board."""
    for cell in board.parts_as("cell"):
        chemistry = chemistry_of(board, cell)
        protectors = _protectors(board, cell)
        bypassed = [p for p in protectors if _is_bypassed(board, p)]
        if isinstance(chemistry, Need):
            yield Unknown(cell.ref, (chemistry,))
        elif chemistry.name not in LITHIUM:
            yield Skip(f"{cell.ref} is no rechargeable lithium cell")
        elif bypassed:
            yield Fail((bypassed[0].ref, cell.ref), "bypassed", {"cell": cell.ref})
        else:
            yield _protected(board, cell, bool(protectors))


def _protected(board: Board, cell: Part, guarded: bool) -> Verdict:
    stated = board.manifest.cell.protected if stated_cell(board, cell) else None
    if guarded or stated:
        return Pass(cell.ref)
    if stated is False:
        return Fail((cell.ref,), "none", nets=plus_nets(board, cell))
    need = Need(
        f"whether {cell.ref} has its own protection circuit",
        "board.toml: [cell] protected = true",
    )
    return Unknown(cell.ref, (need,))


def _protectors(board: Board, cell: Part) -> tuple[Part, ...]:
    """Protectors with a pin (straight or through a resistor) on one of the cell's nets."""
    found: dict[str, Part] = {}
    for net in cell.nets:
        near = {net} if board.is_ground(net) else {net} | board.reach(net, "resistor")
        for one in near:
            for part in board.on_net(one, "protector"):
                found[part.ref] = part
    return tuple(found[ref] for ref in sorted(found))


def _is_bypassed(board: Board, protector: Part) -> bool:
    """Whether the protector's cell side and system side are one net, so that it opens nothing."""
    inner = set(board.nets_for(protector, "cell-negative"))
    outer = set(board.nets_for(protector, "ground", "sense"))
    return bool(inner & outer) and board.card(protector.ref) is not None


# -- reverse-cell-guard --------------------------------------------------------------------------
def reverse_cell_guard(board: Board, rule: Rule) -> Iterator[Verdict]:
    """See that something blocks current when a person puts the cell in the wrong way round."""
    for cell in board.parts_as("cell"):
        removable = board.manifest.cell.removable if stated_cell(board, cell) else None
        chemistry = chemistry_of(board, cell)
        coin = not isinstance(chemistry, Need) and chemistry.name in COINS
        dry = not isinstance(chemistry, Need) and not coin
        if removable is None and is_holder(cell) and dry:
            removable = True
        if removable is None:
            need = Need(
                f"whether the user changes {cell.ref}", "board.toml: [cell] removable = true"
            )
            yield Unknown(cell.ref, (need,))
        elif not removable:
            yield Skip(f"{cell.ref} is not changed by the user")
        else:
            yield _guarded(board, cell)


def _guarded(board: Board, cell: Part) -> Verdict:
    """Whatever takes a supply on the cell's net with no diode or transistor between is exposed."""
    exposed: dict[str, Part] = {}
    for reached in walk(board, plus_nets(board, cell), transistors=False).values():
        for part in board.on_net(reached.net, *ICS, "addressable-led"):
            if board.role(part.ref).name != "power-path":
                exposed[part.ref] = part
    negative = set(cell.nets) - set(plus_nets(board, cell))
    if any(_in_return(board, net) for net in negative if not board.is_ground(net)):
        return Pass(cell.ref)
    if not exposed:
        return Pass(cell.ref)
    parts = [exposed[ref] for ref in sorted(exposed)]
    return Fail((cell.ref,), "exposed", {"parts": refs(parts)}, nets=plus_nets(board, cell))


def _in_return(board: Board, net: str) -> bool:
    """Whether a transistor, or a diode that lets current flow into the cell's negative end only,
    stands on that end's net."""
    diodes = board.on_net(net, "diode")
    return bool(board.on_net(net, "transistor")) or any(
        net in board.nets_for(diode, "cathode") for diode in diodes
    )
