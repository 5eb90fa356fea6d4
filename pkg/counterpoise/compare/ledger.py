"""The ledgers of a revision: parts, mass, findings."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable

from counterpoise.catalog.vocabulary import ROLES
from counterpoise.compare.kinds import VALUED, plain, value_key
from counterpoise.compare.pairing import Pairing
from counterpoise.compare.result import Changed, PartsLedger
from counterpoise.compare.view import Piece, View
from counterpoise.model.circuit import Part
from counterpoise.model.report import Mass, MassItem
from counterpoise.model.verdicts import Finding
from counterpoise.roles.board import Board
from counterpoise.roles.refdes import natural
from counterpoise.values.ranges import Estimate
from counterpoise.values.sizes import chip_size


def parts_ledger(pairing: Pairing) -> PartsLedger:
    """Which part became which; what came, what went, what changed in value or package."""
    old, new = pairing.old, pairing.new
    pairs = [(old.pieces[a], new.pieces[b]) for a, b in sorted(pairing.parts.items())]
    links, gone, come = _links(pairing)
    pairs += links
    fitted = [(a, b) for a, b in pairs if a.fitted or b.fitted]
    changed = [Changed(a.ref, b.ref, what) for a, b in fitted if (what := _change(old, a, new, b))]
    removed = [p for i, p in enumerate(old.pieces) if i not in pairing.parts and p.fitted] + gone
    added = [p for i, p in enumerate(new.pieces) if i not in pairing.parts_back and p.fitted]
    added += come
    return PartsLedger(
        matched=tuple(sorted(((a.ref, b.ref) for a, b in fitted), key=lambda x: natural(x[0]))),
        added=_refs(added),
        removed=_refs(removed),
        changed=tuple(sorted(changed, key=lambda c: natural(c.old))),
        words={p.ref: _words(new, p) for p in added},
        old_words={p.ref: _words(old, p) for p in removed},
        old_unfitted=_refs(p for p in old.pieces if not p.fitted),
        new_unfitted=_refs(p for p in new.pieces if not p.fitted),
    )


def _refs(pieces: Iterable[Piece]) -> tuple[str, ...]:
    return tuple(sorted((piece.ref for piece in pieces), key=natural))


def _links(
    pairing: Pairing,
) -> tuple[list[tuple[Piece, Piece]], list[Piece], list[Piece]]:
    """Links, which are wires to the comparison, paired by the node they lie in."""
    waiting: dict[object, list[Piece]] = defaultdict(list)
    for piece in pairing.new.links:
        net = piece.contacts[0].net if piece.contacts else ""
        waiting[pairing.nets_back.get(net), piece.kind].append(piece)
    pairs, gone = [], []
    for piece in pairing.old.links:
        net = piece.contacts[0].net if piece.contacts else ""
        found = waiting.get((net, piece.kind))
        if found:
            pairs.append((piece, found.pop(0)))
        else:
            gone.append(piece)
    return pairs, gone, [piece for left in waiting.values() for piece in left]


def _part(view: View, piece: Piece) -> Part:
    return view.board.circuit.part(piece.ref) or Part(piece.ref)


def _value(view: View, piece: Piece) -> str:
    return view.board.value_text(_part(view, piece)).strip()


def _words(view: View, piece: Piece) -> str:
    value = _value(view, piece)
    role = ROLES.get(piece.role, "") if piece.role != "unknown" else ""
    return value or role


def _change(old: View, a: Piece, new: View, b: Piece) -> str:
    said = []
    if a.fitted != b.fitted:
        said.append("no longer fitted" if a.fitted else "fitted now")
    before, after = _value(old, a), _value(new, b)
    if _value_key(a, before) != _value_key(b, after) and before and after:
        said.append(f"value {before}, now {after}")
    size, now = _part(old, a).footprint, _part(new, b).footprint
    if size and now and (chip_size(size) or plain(size)) != (chip_size(now) or plain(now)):
        code, code_now = chip_size(size), chip_size(now)
        told = (code, code_now) if code and code_now and code != code_now else (size, now)
        said.append(f"package {told[0]}, now {told[1]}")
    return "; ".join(said)


def _value_key(piece: Piece, text: str) -> str:
    return value_key(text, piece.role) if piece.role in VALUED else plain(text)


# -- mass ---------------------------------------------------------------------------------------------
def mass_change(old: Mass, new: Mass, renamed: dict[str, str]) -> Estimate:
    """New mass less old, in grams.

    What is uncertain on both boards in the same way (items with the same ``shared`` name; a part that
    stayed the same part) is off by as much on both, so that only the difference of the two deviations
    counts. What remains is independent and adds in quadrature.

    Args:
        old: the old ledger.
        new: the new ledger.
        renamed: old ref to new ref, of parts that stayed.
    """
    below: dict[object, float] = defaultdict(float)
    above: dict[object, float] = defaultdict(float)
    for sign, items in ((-1, old.items), (1, new.items)):
        for place, item in enumerate(items):
            key = _group(item, place, sign, renamed)
            below[key] -= sign * (item.mass.likely - item.mass.low)
            above[key] += sign * (item.mass.high - item.mass.likely)
    down = math.sqrt(math.fsum(min(below[k], above[k], 0.0) ** 2 for k in below))
    up = math.sqrt(math.fsum(max(below[k], above[k], 0.0) ** 2 for k in below))
    likely = new.total.likely - old.total.likely
    return Estimate(likely - down, likely, likely + up)


def _group(item: MassItem, place: int, sign: int, renamed: dict[str, str]) -> object:
    if item.shared:
        return ("shared", item.shared)
    ref = renamed.get(item.ref, "") if sign < 0 else item.ref
    if ref and (sign > 0 or item.ref in renamed):
        return ("part", ref, item.name, item.basis)
    if not item.ref:
        return ("item", item.name, item.basis, item.mass)
    return (sign, place)


# -- findings -----------------------------------------------------------------------------------------
def findings_change(
    old: Iterable[Finding], new: Iterable[Finding], pairing: Pairing
) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
    """Findings that are gone, and findings that are new: the same rule on the paired parts (or nets)
    is the same finding, whatever its parts are called now."""
    refs = {pairing.old.pieces[a].ref: pairing.new.pieces[b].ref for a, b in pairing.parts.items()}
    own = {piece.ref: piece.ref for piece in pairing.new.pieces}
    left: dict[object, list[Finding]] = defaultdict(list)
    for finding in new:
        left[_key(finding, own, {net: net for net in pairing.new.node}, pairing.new)].append(
            finding
        )
    fixed = []
    for finding in old:
        found = left.get(_key(finding, refs, pairing.nets, pairing.old))
        if found:
            found.pop(0)
        else:
            fixed.append(finding)
    fresh = [finding for group in left.values() for finding in group]
    fresh.sort(key=lambda f: (f.severity.value != "stop", f.rule, f.subjects))
    return tuple(fixed), tuple(fresh)


def _key(
    finding: Finding, refs: dict[str, str], nets: dict[str, str], view: View
) -> tuple[object, ...]:
    subjects = frozenset(refs.get(ref, ("gone", ref)) for ref in finding.subjects)
    if subjects:
        return finding.rule, subjects
    named = (view.node.get(net, net) for net in finding.nets)
    return finding.rule, frozenset(nets.get(net) or net for net in named)


# -- figures ------------------------------------------------------------------------------------------
def bom_lines(board: Board) -> int:
    """Lines of the bill of materials: as the BOM has them, else the fitted parts that are bought,
    grouped by value and footprint."""
    if board.design.bom is not None:
        return sum(1 for line in board.design.bom.lines if line.refs and line.fitted is not False)
    bought = (part for part in board.parts if part.bought)
    return len({(plain(board.value_text(p)), p.footprint, p.symbol) for p in bought})


def fitted_count(board: Board) -> int:
    """Fitted parts that are bought."""
    return sum(1 for part in board.parts if part.bought)
