"""How fast boards are proven to be the same, beside colour refinement alone in the same run.

    python bench/compare.py [PARTS …]

Random boards: a tenth of the parts are chips of 8 to 64 pins, a fifth are like capacitors across the
supply, the rest two-pin parts; nets on a few hubs and many small ones. Each is compared with itself
under other names and in another order, and with one pin moved. "refinement" is networkx's
Weisfeiler-Lehman hash of both graphs (three rounds), which proves nothing; "own refinement" is the
first step of the proof alone. Best of three; the bars are those of the issue that asked for it.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable

import networkx as nx

from counterpoise.compare.clock import Clock
from counterpoise.compare.graph import Graph, Wires
from counterpoise.compare.prove import prove
from counterpoise.compare.refine import refine

SIZES = (500, 5_000, 20_000)
BARS_S = {500: 0.2, 5_000: 2.0, 20_000: 8.0}


def main() -> None:
    """Measure and print."""
    sizes = [int(word) for word in sys.argv[1:]] or list(SIZES)
    heads = ("parts", "same s", "bar s", "moved s", "own refinement s", "refinement s", "ratio")
    print("  ".join(f"{head:>16}" for head in heads))
    for size in sizes:
        old = board(size, random.Random(size))
        new = shuffled(old, random.Random(1))
        other = shuffled(moved(old), random.Random(2))
        same = best(lambda old=old, new=new: expect("same", old, new))
        different = best(lambda old=old, other=other: expect("different", old, other))
        own = best(lambda old=old, new=new: refined(old, new))
        hashed = best(lambda old=old, new=new: hashes(old, new), runs=1)
        bar = BARS_S.get(size)
        row = (same, bar or 0.0, different, own, hashed, same / hashed)
        print("  ".join([f"{size:>16}", *(f"{value:>16.3f}" for value in row)]))


def expect(verdict: str, old: Wires, new: Wires) -> None:
    """One proof; the verdict must be right."""
    found = prove(old, new, Clock(600)).verdict
    assert found == verdict, found


def refined(old: Wires, new: Wires) -> None:
    """Colour refinement of both together."""
    graph = Graph.of(old, new)
    refine(graph, dict(enumerate(graph.colour)), range(len(graph.side)), Clock(600))


def hashes(old: Wires, new: Wires) -> None:
    """The yardstick."""
    one, other = (
        nx.weisfeiler_lehman_graph_hash(graph_of(w), node_attr="kind", iterations=3)
        for w in (old, new)
    )
    assert one == other


def graph_of(wires: Wires) -> nx.Graph:
    """A circuit for networkx; pin classes are left out, it has no use for them here."""
    graph: nx.Graph = nx.Graph()
    for place, (kind, pins) in enumerate(wires):
        graph.add_node(("part", place), kind=str(kind))
        for _, net in pins:
            graph.add_node(("net", net), kind="")
            graph.add_edge(("part", place), ("net", net))
    return graph


def best(run: Callable[[], None], runs: int = 3) -> float:
    """Seconds of the fastest of a few runs."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return min(times)


def board(size: int, rng: random.Random) -> Wires:
    """A random circuit."""
    nets = [f"n{i}" for i in range(size)]
    parts = []
    for _ in range(size):
        draw = rng.random()
        if draw < 0.1:
            pins = rng.choice([8, 16, 32, 64])
            on = [
                rng.choice(nets) if rng.random() < 0.7 else rng.choice(nets[:3])
                for _ in range(pins)
            ]
            kind = f"chip {rng.randrange(40)} of {pins}"
            parts.append((kind, [(str(i), net) for i, net in enumerate(on)]))
        elif draw < 0.3:
            parts.append(("100 nF", [("end", nets[0]), ("end", nets[1])]))
        else:
            ends = [rng.choice(nets), rng.choice(nets[:5] + nets[: size // 2])]
            parts.append((rng.choice("abcdefgh"), [("end", net) for net in ends]))
    return parts


def shuffled(wires: Wires, rng: random.Random) -> Wires:
    """The same under other names and in another order."""
    parts = list(wires)
    rng.shuffle(parts)
    names: dict[object, str] = {}
    return [
        (kind, [(label, names.setdefault(net, f"w{len(names)}")) for label, net in pins])
        for kind, pins in parts
    ]


def moved(wires: Wires) -> Wires:
    """One pin on another net."""
    kind, pins = wires[5]
    label, net = pins[0]
    other = next(n for _, on in wires for _, n in on if n != net)
    return [*wires[:5], (kind, [(label, other), *pins[1:]]), *wires[6:]]


if __name__ == "__main__":
    main()
