"""The layout against the placement file and against the netlist, and the height of what stands on it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from statistics import median

from counterpoise.catalog.rules import Rule
from counterpoise.checks._layout import layout_of, mm, place
from counterpoise.checks._layout_values import values_differ
from counterpoise.geometry.bodies import pads_box
from counterpoise.geometry.pads import turn
from counterpoise.model.bom import Placement
from counterpoise.model.circuit import Circuit
from counterpoise.model.facts import Need
from counterpoise.model.layout import BACK, FRONT, XY, Footprint
from counterpoise.model.verdicts import Fail, Limit, Measured, Pass, Severity, Unknown, Verdict
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known
from counterpoise.roles.refdes import natural

BOARD = "the board"
_EVEN_ROLES = (
    "resistor",
    "capacitor",
    "inductor",
    "ferrite",
    "fuse",
    "crystal",
    "resonator",
    "link",
)


# -- placement file ------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Sense:
    """How a file writes one side: x as drawn (1) or mirrored (-1), its offset, and angles as
    ``sign * angle + shift``."""

    x_sign: int
    offset: XY
    sign: int
    shift: int


Pair = tuple[Placement, Footprint]


def centroid(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Solve offset, mirror and sense of rotation for each side, then compare part by part."""
    pairs = _pairs(board)
    if not pairs:
        what = "placement rows for parts on the layout"
        yield Unknown(BOARD, (Need(what, 'board.toml: [board] centroid = "…"'),))
        return
    found: list[Verdict] = []
    right = [pair for pair in pairs if pair[0].side == pair[1].side]
    for row, footprint in pairs:
        if row.side != footprint.side:
            words = {"file": row.side, "layout": footprint.side}
            spot = place(footprint.at, footprint.side)
            found.append(Fail((row.ref,), "side", words, place=spot))
    front = [pair for pair in right if pair[1].side == FRONT]
    back = [pair for pair in right if pair[1].side == BACK]
    sense = _solve(front, None)
    found += _outliers(board, rule, front, sense)
    found += _outliers(board, rule, back, _solve(back, sense))
    yield from found or [Pass(BOARD)]


def _pairs(board: Board) -> list[Pair]:
    layout = layout_of(board)
    counts = Counter(f.ref for f in layout.footprints)
    found = []
    for row in board.design.placements or ():
        footprint = layout.footprint(row.ref)
        if footprint is not None and counts[row.ref] == 1:
            found.append((row, footprint))
    return sorted(found, key=lambda pair: natural(pair[0].ref))


def _offset(pairs: Iterable[Pair], x_sign: int) -> XY:
    pairs = list(pairs)
    x = median(row.x_mm - x_sign * f.at[0] for row, f in pairs)
    return x, median(row.y_mm + f.at[1] for row, f in pairs)


def _misses(pairs: list[Pair], x_sign: int, offset: XY) -> list[float]:
    return [_miss(row, f, x_sign, offset) for row, f in pairs]


def _miss(row: Placement, footprint: Footprint, x_sign: int, offset: XY) -> float:
    """Distance from where the row puts the part to its origin or the middle of its pads."""
    spots = [footprint.at]
    box = pads_box(footprint)
    if box is not None:
        x, y = turn(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), footprint.angle)
        spots.append((footprint.at[0] + x, footprint.at[1] + y))
    gaps = (
        abs(row.x_mm - x_sign * x - offset[0]) + abs(row.y_mm + y - offset[1]) for x, y in spots
    )
    return min(gaps)


def _solve(pairs: list[Pair], front: Sense | None) -> Sense | None:
    """The reading that fits most parts of one side; a tie goes to the plainer one.

    With a single part the front's reading is all there is to go by.
    """
    if not pairs:
        return None
    if len(pairs) < 2 and front is not None:
        return front
    fits = []
    for x_sign in (1, -1):
        offset = _offset(pairs, x_sign)
        close = sum(miss < 0.1 for miss in _misses(pairs, x_sign, offset))
        fits.append((-close, -x_sign, x_sign, offset))
    _, _, x_sign, offset = min(fits)
    turns = []
    for sign in (1, -1):
        for shift in (0, 90, 180, 270):
            agree = sum(_same(row.angle, sign * f.angle + shift, 1) for row, f in pairs)
            turns.append((-agree, sign < 0, shift, sign))
    _, _, shift, sign = min(turns)
    return Sense(x_sign, offset, sign, shift)


def _same(a: float, b: float, period: int) -> bool:
    full = 360 / period
    return abs((a - b + full / 2) % full - full / 2) < 0.5


def _outliers(
    board: Board, rule: Rule, pairs: list[Pair], sense: Sense | None
) -> Iterator[Verdict]:
    if sense is None or len(pairs) < 2:
        return
    most = rule.limit("distance").high
    for row, footprint in pairs:
        spot = place(footprint.at, footprint.side)
        miss = _miss(row, footprint, sense.x_sign, sense.offset)
        expected = (sense.sign * footprint.angle + sense.shift) % 360
        period = 2 if board.role(row.ref).name in _EVEN_ROLES else 1
        if miss > most:
            size = Measured(round(miss, 2), "mm")
            words = {"measured": mm(miss)}
            yield Fail((row.ref,), "position", words, place=spot, measured=size)
        elif not _same(row.angle, expected, period):
            words = {"file": f"{row.angle:g}°", "layout": f"{expected:g}°"}
            size = Measured(round(row.angle - expected, 1) % 360, "°")
            yield Fail((row.ref,), "rotation", words, place=spot, measured=size)


# -- netlist -------------------------------------------------------------------------------------
def differs(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare which pins the netlist joins with which pads the layout joins; names do not count."""
    listed, drawn = board.design.netlist, board.design.drawn
    if listed is None or not listed.knows_wiring:
        need = Need("the netlist file beside the board", 'board.toml: [board] netlist = "…"')
        yield Unknown(BOARD, (need,))
        return
    if drawn is None or not drawn.knows_wiring:
        yield Unknown(BOARD, (Need("the board file", 'board.toml: [board] layout = "…"'),))
        return
    found = [
        *_missing(board, listed, drawn),
        *_moved(board, listed, drawn),
        *values_differ(board, listed, drawn),
    ]
    yield from found or [Pass(BOARD)]


def _once(circuit: Circuit) -> frozenset[str]:
    counts = Counter(part.ref for part in circuit.parts)
    return frozenset(ref for ref, count in counts.items() if count == 1)


def _missing(board: Board, listed: Circuit, drawn: Circuit) -> Iterator[Verdict]:
    layout = layout_of(board)
    for part in sorted(listed.parts, key=lambda p: natural(p.ref)):
        if part.pins and drawn.part(part.ref) is None and layout.footprint(part.ref) is None:
            yield Fail((part.ref,), "absent", {})
    for part in sorted(drawn.parts, key=lambda p: natural(p.ref)):
        joined = {pin.number for pin in part.pins if pin.net is not None}
        footprint = layout.footprint(part.ref)
        own = footprint is not None and (footprint.board_only or not footprint.bought)
        if part.ref and len(joined) > 1 and listed.part(part.ref) is None and not own:
            spot = place(footprint.at, footprint.side) if footprint else None
            yield Fail((part.ref,), "extra", {}, place=spot)


def _wiring(circuit: Circuit, refs: frozenset[str]) -> dict[tuple[str, str], str]:
    """Net by pin, lone pins left out: a net with one pin joins nothing."""
    nets: dict[tuple[str, str], str] = {}
    for part in circuit.parts:
        if part.ref in refs:
            for pin in part.pins:
                if pin.net is not None:
                    nets[(part.ref, pin.number)] = pin.net
    sizes = Counter(nets.values())
    return {pin: net for pin, net in nets.items() if sizes[net] > 1}


def _moved(board: Board, listed: Circuit, drawn: Circuit) -> Iterator[Verdict]:
    refs = _once(listed) & _once(drawn)
    wanted, made = _wiring(listed, refs), _wiring(drawn, refs)
    known = {(p.ref, pin.number) for p in drawn.parts if p.ref in refs for pin in p.pins}
    pins = sorted((wanted.keys() | made.keys()) & known, key=lambda k: (natural(k[0]), k[1]))
    names = _names(wanted, made)
    for ref, number in pins:
        want, have = wanted.get((ref, number)), made.get((ref, number))
        if want is None and have is not None and have not in names.values():
            continue
        if (names.get(want) if want is not None else None) == have:
            continue
        footprint = layout_of(board).footprint(ref)
        pads = [p for p in footprint.pads if p.number == number] if footprint else []
        spot = place(pads[0].at, footprint.side) if footprint and pads else None
        words = {
            "pin": f"{ref}.{number}",
            "want": want or "no net",
            "have": have or "no net",
        }
        nets = tuple(n for n in (want, have) if n)
        yield Fail((ref,), "net", words, nets=nets, place=spot)


def _names(
    wanted: Mapping[tuple[str, str], str], made: Mapping[tuple[str, str], str]
) -> dict[str, str]:
    """For each net of the netlist the layout's net that most of its pins lie on, each used once."""
    votes: dict[str, Counter[str]] = defaultdict(Counter)
    for pin, net in wanted.items():
        if pin in made:
            votes[net][made[pin]] += 1
    ranked = sorted(
        (
            (count, net == other, net, other)
            for net, c in votes.items()
            for other, count in c.items()
        ),
        key=lambda v: (-v[0], not v[1], v[2], v[3]),
    )
    names: dict[str, str] = {}
    taken: set[str] = set()
    for _, _, net, other in ranked:
        if net not in names and other not in taken:
            names[net] = other
            taken.add(other)
    return names


# -- height --------------------------------------------------------------------------------------
_TALL = (
    "cell", "connector", "usb-connector", "antenna-connector", "push-switch", "change-over-switch",
    "slide-switch", "encoder", "potentiometer", "radio-module", "motor",
)  # fmt: skip


def height(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Board thickness and the tallest known part on each side against the limit."""
    most = board.manifest.limits.height_mm
    if most is None:
        return
    thickness = board.manifest.board.thickness_mm or layout_of(board).thickness_mm
    if thickness is None:
        need = Need("the thickness of the board", 'board.toml: [board] thickness = "1.0 mm"')
        yield Unknown(BOARD, (need,))
        return
    tallest: dict[str, tuple[float, str, bool]] = {}
    needs: list[Need] = []
    for part in board.parts:
        footprint = layout_of(board).footprint(part.ref)
        if footprint is None or board.flag(part, "leaves_board"):
            continue
        known = board.known(part, "height")
        if isinstance(known, Known):
            top = (known.value.high, part.ref, known.firm)
            tallest[footprint.side] = max(tallest.get(footprint.side, top), top)
        elif board.role(part.ref).name in _TALL:
            needs.append(known)
    stack = thickness + sum(top[0] for top in tallest.values())
    if stack > most + 1e-9:
        yield _too_high(stack, most, tallest)
    elif needs or not tallest:
        first = Need("the heights of its parts", 'board.toml: [parts.J1] height = "3.2 mm"')
        yield Unknown(BOARD, tuple(needs[:3]) or (first,))
    else:
        yield Pass(BOARD)


def _too_high(stack: float, most: float, tallest: dict[str, tuple[float, str, bool]]) -> Fail:
    tops = [tallest[side] for side in sorted(tallest)]
    words = {
        "measured": mm(stack),
        "limit": mm(most),
        "parts": " and ".join(f"{ref} ({mm(high)})" for high, ref, _ in tops) or "the board",
    }
    firm = all(sure for *_, sure in tops)
    return Fail(
        tuple(ref for _, ref, _ in tops),
        "over",
        words,
        measured=Measured(round(stack, 3), "mm"),
        limit=Limit(None, most, "mm"),
        severity=None if firm else Severity.CAUTION,
        firm=firm,
    )
