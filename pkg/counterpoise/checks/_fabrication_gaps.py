"""Gaps between copper of different nets."""

from __future__ import annotations

import math
from collections.abc import Iterator

from counterpoise.catalog.rules import Rule
from counterpoise.checks._fabrication_copper import MOST, Thing, told
from counterpoise.checks._fabrication_limits import bound
from counterpoise.checks._layout import copper_of, layout_of, place, side_of
from counterpoise.geometry.copper import Item
from counterpoise.geometry.gaps import Near, near_pairs
from counterpoise.model.layout import Footprint, Layout
from counterpoise.model.verdicts import Fail, Verdict
from counterpoise.roles.board import Board


def gaps(board: Board, rule: Rule) -> Iterator[Verdict]:
    """The narrowest gap of each two nets; copper of two nets that touches is a fault of its own."""
    limit = bound(board, rule, "gap")
    layout = layout_of(board)
    tied = frozenset(f.ref for f in layout.footprints if f.ref and _joins(board, f))
    layers = copper_of(board).layers
    near = [pair for layer in layers.values() for pair in near_pairs(layer, limit.least.high)]
    tied |= {p.first.ref for p in near if _overlapping_lands(p)}
    pairs = [pair for pair in near if not _meant(pair, tied)]
    touching = [p for p in pairs if p.distance <= 0]
    yield from _touching(touching, layout)
    yield from told(_things(pairs), limit, bool(layers))


def _joins(board: Board, footprint: Footprint) -> bool:
    """Net ties and jumpers join nets by their copper on purpose."""
    return bool(footprint.net_ties) or board.role(footprint.ref).name in ("link", "antenna")


def _overlapping_lands(pair: Near) -> bool:
    """Pads of one land pattern that touch, though their nets differ: bridged jumpers, ties."""
    a, b = pair.first, pair.second
    return bool(a.ref) and a.ref == b.ref and pair.distance <= 0


def _meant(pair: Near, tied: frozenset[str]) -> bool:
    a, b = pair.first, pair.second
    if a.ref in tied or b.ref in tied or "drawing" in (a.kind, b.kind):
        return True
    both_pads = a.kind == b.kind == "pad"
    one_place = a.ref == b.ref or math.dist(a.at, b.at) < 1e-3
    return both_pads and pair.distance <= 0 and one_place


def _things(pairs: list[Near]) -> Iterator[Thing]:
    for p in pairs:
        if p.distance > 0:
            nets = tuple(sorted(n for n in (p.first.net, p.second.net) if n))
            what = f"{_name(p.first)} and {_name(p.second)}"
            yield Thing(p.distance, nets, p.at, side_of(p.layer), nets, what)


def _name(item: Item) -> str:
    if item.kind == "pad":
        return f"pad {item.ref}.{item.pin}"
    kind = {"fill": "copper area"}.get(item.kind, item.kind)
    return f"{kind} {item.net}"


def _touching(pairs: list[Near], layout: Layout) -> Iterator[Verdict]:
    seen: set[tuple[str, ...]] = set()
    for p in pairs:
        nets = tuple(sorted(n for n in (p.first.net, p.second.net) if n))
        if nets in seen or len(seen) >= MOST:
            continue
        seen.add(nets)
        words = {"what": f"{_name(p.first)} and {_name(p.second)}", "layer": p.layer}
        refs = tuple(sorted({i.ref for i in (p.first, p.second) if i.ref}))
        yield Fail(refs or nets, "touch", words, nets=nets, place=place(p.at, side_of(p.layer)))
