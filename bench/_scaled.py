"""A board many times over: the circuit and layout of a folder repeated on a grid, as one design.

Refs are numbered on (C7 becomes C1007 in the first copy), nets get the copy's sheet in front of their
names, and ground stays one net, so that it grows with the board as on a real one.
"""

from __future__ import annotations

import re
from pathlib import Path

from counterpoise.readers import sexpr
from counterpoise.readers._source import Source

PITCH_MM = (40.0, 60.0)
GROUND = "GND"

_REPEATED = ("footprint", "segment", "arc", "via", "zone")
_NUMBER = r"(-?[\d.]+)"
_PLACES = re.compile(rf"\((at|start|mid|end|center|xy) {_NUMBER} {_NUMBER}")
_FIRST_AT = re.compile(rf"\(at {_NUMBER} {_NUMBER}")
_POINTS = re.compile(rf"\((xy) {_NUMBER} {_NUMBER}")
_REF = re.compile(r"\b([A-Z]{1,3})(\d{1,3})\b")


def write(source: Path, target: Path, copies: int) -> int:
    """Write the design of ``source`` ``copies`` times over into ``target``; gives its bytes."""
    target.mkdir(parents=True, exist_ok=True)
    files = {
        "board.toml": _manifest(_only(source, "board.toml"), copies),
        "all.net": _netlist(_only(source, "*.net"), copies),
        "all.kicad_pcb": _layout(_only(source, "*.kicad_pcb"), copies),
        "bom.csv": _bom(_only(source, "bom.csv"), copies),
        "placement.csv": _placement(_only(source, "placement.csv"), copies),
    }
    for name, text in files.items():
        (target / name).write_text(text, "utf-8")
    return sum(len(text.encode()) for text in files.values())


def _only(folder: Path, pattern: str) -> str:
    (path,) = folder.glob(pattern)
    return path.read_text("utf-8-sig")


def _ref(ref: str, copy: int) -> str:
    found = _REF.fullmatch(ref)
    return f"{found[1]}{int(found[2]) + 1000 * copy}" if found and copy else ref


def _net(name: str, copy: int) -> str:
    return f"/copy{copy}/{name}" if copy and name not in ("", GROUND) else name


def _offset(copy: int, copies: int) -> tuple[float, float]:
    across = max(1, round(copies**0.5))
    return (copy % across * PITCH_MM[0], copy // across * PITCH_MM[1])


def _pieces(text: str) -> list[tuple[str, str]]:
    """The lists of the root as text, each with its head."""
    children = list(sexpr.children(Source("x", text.encode())))[:-1]
    ends = [child.offset for child in children[1:]] + [text.rindex(")")]
    return [
        (str(child[0]), text[child.offset : end].rstrip())
        for child, end in zip(children, ends, strict=True)
    ]


def _layout(text: str, copies: int) -> str:
    pieces = _pieces(text)
    nets = [piece for head, piece in pieces if head == "net"]
    drawn = [(h, p) for h, p in pieces if h in _REPEATED or h.startswith("gr_")]
    header = [p for h, p in pieces if h != "net" and (h, p) not in drawn]
    numbers = {m[1]: m[2] for p in nets if (m := re.search(r'\(net (\d+) "(.*)"\)', p))}
    edge = [p for _, p in drawn if '"Edge.Cuts"' in p.split("(uuid", 1)[0] and p.startswith("(gr_")]
    box = _box(edge)
    outer = {p for p in edge if _touches(p, box)}
    out = ["(kicad_pcb " + "\n".join(header)]
    for copy in range(copies):
        for number, name in numbers.items():
            if copy == 0 or name not in ("", GROUND):
                out.append(f'(net {_number(number, name, copy)} "{_net(name, copy)}")')
    out.append(_frame(box, copies))
    for copy in range(copies):
        move = _offset(copy, copies)
        out += [_renamed(_moved(h, p, move), numbers, copy) for h, p in drawn if p not in outer]
    return "\n".join(out) + "\n)\n"


def _box(edge: list[str]) -> tuple[float, float, float, float]:
    points = [(float(m[2]), float(m[3])) for piece in edge for m in _PLACES.finditer(piece)]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def _touches(piece: str, box: tuple[float, float, float, float]) -> bool:
    """Whether the stroke is part of the outer edge; cut-outs inside stay with their copy."""
    points = [(float(m[2]), float(m[3])) for m in _PLACES.finditer(piece)]
    return any(x in (box[0], box[2]) or y in (box[1], box[3]) for x, y in points)


def _frame(box: tuple[float, float, float, float], copies: int) -> str:
    """One outline around all the copies."""
    moves = [_offset(copy, copies) for copy in range(copies)]
    x, y = (max(m[i] for m in moves) for i in (0, 1))
    return (
        f"(gr_rect (start {box[0]} {box[1]}) (end {box[2] + x:.6g} {box[3] + y:.6g}) "
        '(stroke (width 0.05) (type solid)) (fill none) (layer "Edge.Cuts"))'
    )


def _number(number: str, name: str, copy: int) -> int:
    return int(number) + (1000 * copy if name not in ("", GROUND) else 0)


def _moved(head: str, piece: str, move: tuple[float, float]) -> str:
    def shift(match: re.Match[str]) -> str:
        x, y = float(match[2]) + move[0], float(match[3]) + move[1]
        return f"({match[1]} {x:.6g} {y:.6g}"

    if head != "footprint":
        return (_POINTS if head == "zone" else _PLACES).sub(shift, piece)
    at = _FIRST_AT.search(piece)
    assert at is not None
    new = f"(at {float(at[1]) + move[0]:.6g} {float(at[2]) + move[1]:.6g}"
    return piece[: at.start()] + new + piece[at.end() :]


def _renamed(piece: str, numbers: dict[str, str], copy: int) -> str:
    def net(match: re.Match[str]) -> str:
        name = numbers[match[1]]
        shown = f' "{_net(name, copy)}"' if match[2] else ""
        return f"(net {_number(match[1], name, copy)}{shown})"

    piece = re.sub(r'\(net (\d+)( "[^"]*")?\)', net, piece)
    piece = re.sub(r'\(net_name "([^"]*)"', lambda m: f'(net_name "{_net(m[1], copy)}"', piece)
    return re.sub(
        r'("Reference"|reference) "([^"]+)"', lambda m: f'{m[1]} "{_ref(m[2], copy)}"', piece
    )


def _netlist(text: str, copies: int) -> str:
    pieces = dict(_pieces(text))
    components = pieces["components"].removeprefix("(components").removesuffix(")")
    nets = re.findall(r'\(net \(code "\d+"\) \(name "([^"]*)"\)(.*?\)\))\)', pieces["nets"], re.S)
    nodes: dict[str, list[str]] = {}
    for copy in range(copies):
        for name, pins in nets:
            nodes.setdefault(_net(name, copy), []).append(_refs(pins, copy))
    shown = [
        f'(net (code "{code}") (name "{name}"){"".join(pins)})'
        for code, (name, pins) in enumerate(nodes.items(), 1)
    ]
    middle = "\n".join(_refs(components, copy) for copy in range(copies))
    return (
        f'(export (version "E")\n{pieces["design"]}\n(components{middle})\n'
        f"(nets\n{chr(10).join(shown)}))\n"
    )


def _refs(text: str, copy: int) -> str:
    return re.sub(r'\(ref "([^"]+)"\)', lambda m: f'(ref "{_ref(m[1], copy)}")', text)


def _manifest(text: str, copies: int) -> str:
    parts = re.findall(r"^\[parts\.(\w+)\](.*?)(?=^\[|\Z)", text, re.S | re.M)
    text = re.sub(r"^(netlist) = .*$", r'\1 = "all.net"', text, flags=re.M)
    text = re.sub(r"^(layout) = .*$", r'\1 = "all.kicad_pcb"', text, flags=re.M)
    more = [f"[parts.{_ref(ref, copy)}]{body}" for copy in range(1, copies) for ref, body in parts]
    return text + "\n" + "\n".join(more)


def _bom(text: str, copies: int) -> str:
    head, *rows = text.splitlines()
    out = [head]
    for row in rows:
        refs = re.match(r'("?)([^"]*?)\1,(\d+),', row)
        assert refs is not None
        many = [_ref(ref.strip(), copy) for copy in range(copies) for ref in refs[2].split(",")]
        out.append(f'"{",".join(many)}",{len(many)},{row[refs.end() :]}')
    return "\n".join(out) + "\n"


def _placement(text: str, copies: int) -> str:
    head, *rows = text.splitlines()
    out = [head]
    for copy in range(copies):
        dx, dy = _offset(copy, copies)
        for row in rows:
            ref, value, package, x, y, rest = row.split(",", 5)
            # The file counts y upwards, the board downwards.
            place = f"{float(x) + dx:.3f},{float(y) - dy:.3f}"
            out.append(f"{_ref(ref, copy)},{value},{package},{place},{rest}")
    return "\n".join(out) + "\n"
