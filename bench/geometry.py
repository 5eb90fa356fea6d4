"""All rules on the layout: the largest real board, and how the cost grows with the number of parts.

Run: python bench/geometry.py [BOARD_FILE]
"""

from __future__ import annotations

import gc
import math
import os
import subprocess
import sys
import time
from pathlib import Path

from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import function_of, judge
from counterpoise.model.circuit import Circuit, Part, Pin
from counterpoise.model.design import Design
from counterpoise.model.layout import (
    Drawing,
    Footprint,
    Layout,
    Line,
    Pad,
    Polygon,
    Track,
    Via,
    Zone,
)
from counterpoise.roles.board import Board

PITCH = 4.0
RULES = [
    (rule, function_of(rule))
    for rule in all_rules().values()
    if rule.domain in ("fabrication", "placement")
]


def synthetic(parts: int) -> Design:
    """A square board of resistors in rows, each joined to the next, over a slit ground pour."""
    side = math.ceil(math.sqrt(parts))
    size = (side + 1) * PITCH
    footprints, tracks, vias, circuit = [], [], [], []
    for i in range(parts):
        x, y = (i % side + 1) * PITCH, (i // side + 1) * PITCH
        ref, nets = f"R{i + 1}", (f"N{i}", f"N{i + 1}")
        pads = tuple(
            Pad(str(k + 1), (x + dx, y), (1.0, 1.0), "rect", layers=("F.Cu",), net=nets[k])
            for k, dx in enumerate((-0.8, 0.8))
        )
        box = ((x - 1.5, y - 0.8), (x + 1.5, y - 0.8), (x + 1.5, y + 0.8), (x - 1.5, y + 0.8))
        courtyard = Drawing(Polygon(box), "F.CrtYd", 0.05, owner=ref)
        footprints.append(Footprint(ref, (x, y), name="R", pads=pads, drawings=(courtyard,)))
        tracks.append(Track(Line((x + 0.8, y), (x + PITCH - 1.6, y)), 0.2, "F.Cu", nets[1]))
        vias.append(Via((x + 0.8, y + 1.4), 0.5, 0.3, ("F.Cu", "B.Cu"), nets[1]))
        pins = tuple(Pin(ref, str(k + 1), net) for k, net in enumerate(nets))
        circuit.append(Part(ref, "10k", "R", pins=pins))
    edge = Polygon(((0, 0), (size, 0), (size, size), (0, size)))
    layout = Layout(
        footprints=tuple(footprints),
        drawings=(Drawing(edge, "Edge.Cuts"),),
        tracks=tuple(tracks),
        vias=tuple(vias),
        zones=(Zone((edge,), ("B.Cu",), "GND", fills=(("B.Cu", _pour(size, vias)),)),),
        thickness_mm=1.6,
    )
    return Design("synthetic", circuit=Circuit(tuple(circuit)), layout=layout)


def _pour(size: float, vias: list[Via]) -> Polygon:
    """A comb that keeps clear of every via: as many corners as a real pour has."""
    points = [(0.5, 0.5), (size - 0.5, 0.5), (size - 0.5, size - 0.5)]
    rows = sorted({via.at[1] for via in vias}, reverse=True)
    for y in rows:
        right = max(via.at[0] for via in vias if via.at[1] == y) + 1
        points += [(size - 0.7, y + 0.5), (right, y + 0.5), (1.0, y + 0.5)]
        points += [(1.0, y - 0.5), (right, y - 0.5), (size - 0.7, y - 0.5)]
    points += [(size - 0.5, 0.6), (0.6, 0.6)]
    return Polygon(tuple(points))


def seconds(design: Design) -> float:
    """Time for all rules on the layout, roles counted."""
    gc.collect()
    start = time.perf_counter()
    judge(Board(design), RULES)
    return time.perf_counter() - start


def whole_process(name: str) -> str:
    """Wall and processor time of ``counterpoise check`` with these rules alone, start-up included;
    the best of three, since a busy machine only ever adds."""
    only = [word for rule, _ in RULES for word in ("--only", rule.slug)]
    command = [sys.executable, "-m", "counterpoise", "check", name, *only]
    taken = []
    for _ in range(3):
        wall, before = time.perf_counter(), os.times()
        subprocess.run(command, stdout=subprocess.DEVNULL, check=False)
        after = os.times()
        used = sum(after[2:4]) - sum(before[2:4])
        taken.append((time.perf_counter() - wall, used))
    wall, used = min(taken)
    return f"whole process {wall:.2f} s, processor {used:.2f} s"


def main() -> None:
    """Print the figures."""
    seconds(synthetic(10))
    times = {count: min(seconds(synthetic(count)) for _ in range(2)) for count in (1000, 10000)}
    for count, taken in times.items():
        print(f"{count:6d} parts  {taken:6.2f} s  {taken / count * 1e6:6.1f} us a part")
    print(f"growth exponent {math.log10(times[10000] / times[1000]):.2f}")
    for name in sys.argv[1:]:
        from counterpoise.readers._source import Source
        from counterpoise.readers.board import read

        start = time.perf_counter()
        reading = read(Source.of(Path(name)))
        read_in = time.perf_counter() - start
        design = Design("real", circuit=reading.circuit, layout=reading.layout)
        print(f"{Path(name).name}: read {read_in:.2f} s, rules {seconds(design):.2f} s")
        print(f"{Path(name).name}: {whole_process(name)}")


if __name__ == "__main__":
    main()
