"""The exact comparison, with networkx as an independent referee and published hard graphs."""

from __future__ import annotations

import random
from collections.abc import Sequence
from itertools import combinations, product
from typing import Any, TypeAlias

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from counterpoise.compare.clock import Clock
from counterpoise.compare.graph import Wires
from counterpoise.compare.prove import prove
from counterpoise.compare.verify import flaw

Plain: TypeAlias = "nx.Graph[Any]"


def graph_wires(graph: Plain) -> Wires:
    """A plain graph as a circuit: a net for each node, a resistor for each edge."""
    return [("R", [("end", a), ("end", b)]) for a, b in graph.edges]


def shuffled(wires: Wires, seed: int) -> Wires:
    rng = random.Random(seed)
    names: dict[object, str] = {}
    numbers = list(range(10_000))
    rng.shuffle(numbers)
    parts = list(wires)
    rng.shuffle(parts)
    out = []
    for kind, pins in parts:
        order = list(pins)
        rng.shuffle(order)
        out.append(
            (kind, [(label, names.setdefault(net, f"w{numbers.pop()}")) for label, net in order])
        )
    return out


def verdict(old: Wires, new: Wires, seconds: float = 20.0) -> str:
    proof = prove(old, new, Clock(seconds))
    if proof.verdict == "same":
        assert flaw(old, new, proof.parts, proof.nets) == ""
    return proof.verdict


@st.composite
def two_circuits(draw: st.DrawFn) -> tuple[Wires, Wires]:
    """Two small circuits of equal size that are often, but not always, the same."""
    nets = draw(st.integers(2, 6))
    net = st.integers(0, nets - 1)
    part = st.one_of(
        st.tuples(st.sampled_from(["R", "C"]), st.tuples(net, net)),
        st.tuples(st.just("Q"), st.tuples(net, net, net)),
    )
    parts = draw(st.lists(part, min_size=1, max_size=7))

    def wires(raw: Sequence[tuple[str, tuple[int, ...]]]) -> Wires:
        return [
            (kind, [(str(i) if kind == "Q" else "end", n) for i, n in enumerate(on)])
            for kind, on in raw
        ]

    other: list[tuple[str, tuple[int, ...]]] = list(parts)
    if draw(st.booleans()):
        place = draw(st.integers(0, len(parts) - 1))
        kind, on = other[place]
        other[place] = (kind, (*on[:-1], draw(net)))
    return wires(parts), shuffled(wires(other), draw(st.integers(0, 99)))


def labelled(wires: Wires) -> Plain:
    """The circuit as a networkx graph: pins are nodes of their own, so that labels are colours."""
    graph: Plain = nx.Graph()
    for place, (kind, pins) in enumerate(wires):
        graph.add_node(("part", place), colour=("part", kind))
        for index, (label, net) in enumerate(pins):
            graph.add_node(("net", net), colour=("net",))
            graph.add_node(("pin", place, index), colour=("pin", label))
            graph.add_edge(("part", place), ("pin", place, index))
            graph.add_edge(("pin", place, index), ("net", net))
    return graph


@given(two_circuits())
def test_agrees_with_an_independent_isomorphism_test(pair: tuple[Wires, Wires]) -> None:
    # The referee is networkx's VF2 (Cordella et al., IEEE TPAMI 26, 2004).
    old, new = pair
    expected = nx.is_isomorphic(
        labelled(old), labelled(new), node_match=lambda a, b: a["colour"] == b["colour"]
    )
    assert verdict(old, new) == ("same" if expected else "different")


@pytest.mark.parametrize("seed", range(30))
def test_regular_graphs_against_the_referee(seed: int) -> None:
    """Colour refinement alone tells no two 3-regular graphs of one size apart."""
    a, b = (nx.random_regular_graph(3, 12, seed=seed + k) for k in (0, 1000))
    expected = "same" if nx.is_isomorphic(a, b) else "different"
    assert verdict(graph_wires(a), graph_wires(b)) == expected
    assert verdict(graph_wires(a), shuffled(graph_wires(a), seed)) == "same"


# -- hard cases ---------------------------------------------------------------------------------
def rook() -> Plain:
    """The 4 x 4 rook's graph: strongly regular (16, 6, 2, 2)."""
    return nx.line_graph(nx.complete_bipartite_graph(4, 4))


def shrikhande() -> Plain:
    """The Shrikhande graph (Ann. Math. Stat. 30, 1959): the other one with these parameters."""
    graph: Plain = nx.Graph()
    for x, y in product(range(4), repeat=2):
        for dx, dy in ((0, 1), (1, 0), (1, 1)):
            graph.add_edge((x, y), ((x + dx) % 4, (y + dy) % 4))
    return graph


def cai_furer_immerman(base: Plain, twisted: bool) -> Plain:
    """The construction of Cai, Fürer and Immerman (Combinatorica 12, 1992) on a base graph: with and
    without a twist the two are not isomorphic, and low-dimensional refinement cannot tell."""
    graph: Plain = nx.Graph()
    twist = next(iter(base.edges)) if twisted else None
    for node in base:
        near = sorted(base[node])
        for size in range(0, len(near) + 1, 2):
            for chosen in combinations(near, size):
                for other in near:
                    graph.add_edge((node, chosen), (node, other, other in chosen))
    for a, b in base.edges:
        for bit in (False, True):
            graph.add_edge((a, b, bit), (b, a, bit != ((a, b) == twist)))
    return graph


def test_strongly_regular_graphs() -> None:
    a, b = graph_wires(rook()), graph_wires(shrikhande())
    assert verdict(a, b) == "different"
    assert verdict(a, shuffled(a, 1)) == "same"
    assert verdict(b, shuffled(b, 2)) == "same"


@pytest.mark.parametrize("base", [nx.complete_graph(5), nx.petersen_graph()], ids=["K5", "P"])
def test_cai_furer_immerman_in_little_time(base: Plain) -> None:
    """Right, or honestly unknown when the second is over; never a guess."""
    plain, twisted = (graph_wires(cai_furer_immerman(base, t)) for t in (False, True))
    assert verdict(plain, shuffled(plain, 3), seconds=1) in ("same", "unknown")
    assert verdict(plain, twisted, seconds=1) in ("different", "unknown")


def test_small_cfi_is_answered() -> None:
    plain, twisted = (
        graph_wires(cai_furer_immerman(nx.complete_graph(4), t)) for t in (False, True)
    )
    assert verdict(plain, twisted) == "different"


def test_no_tries_left_is_unknown_never_a_guess() -> None:
    a, b = graph_wires(rook()), graph_wires(shrikhande())
    for other in (a, b):
        proof = prove(a, other, Clock(20, tries=0))
        assert proof.verdict == "unknown"
        assert proof.parts == {}


def test_time_limit_gives_what_was_settled() -> None:
    """The chip at the head is told from all else by refinement alone; the hard rest is not."""
    head: Wires = [("U", [("1", (0, 0)), ("2", "x")]), ("J", [("1", "x")])]
    a = [*head, *graph_wires(shrikhande())]
    proof = prove(a, shuffled(a, 5), Clock(20, tries=0))
    assert proof.verdict == "unknown"
    assert 0 in proof.parts
    assert 1 in proof.parts


# -- shapes of real circuits --------------------------------------------------------------------
def ring(size: int, start: int = 0) -> Wires:
    return [("R", [("end", start + i), ("end", start + (i + 1) % size)]) for i in range(size)]


def chain(size: int) -> Wires:
    return [("R", [("end", i), ("end", i + 1)]) for i in range(size)]


def matrix(rows: int, columns: int) -> Wires:
    """Keys with their diodes between rows and columns, all on one chip."""
    wires: list[tuple[str, list[tuple[str, object]]]] = []
    for r, c in product(range(rows), range(columns)):
        wires.append(("SW", [("end", f"c{c}"), ("end", (r, c))]))
        wires.append(("D", [("anode", (r, c)), ("cathode", f"r{r}")]))
    pins = [(f"{i}", f"r{i}") for i in range(rows)]
    pins += [(f"{rows + i}", f"c{i}") for i in range(columns)]
    wires.append(("U", [*pins]))
    return wires


@pytest.mark.parametrize(
    "wires",
    [
        [("C", [("end", "v"), ("end", "g")])] * 100,
        ring(400),
        chain(1001),
        matrix(8, 8),
        [*ring(50), *ring(50, 1000)],
    ],
    ids=["parallel", "ring", "chain", "keys", "two rings"],
)
def test_shapes_with_many_symmetries_are_same(wires: Wires) -> None:
    assert verdict(wires, shuffled(wires, 9)) == "same"


def test_one_ring_is_not_two() -> None:
    assert verdict(ring(100), [*ring(50), *ring(50, 1000)]) == "different"


def test_a_key_on_another_column_is_different() -> None:
    wires = matrix(6, 6)
    kind, pins = wires[0]
    changed = [(kind, [("end", "c3"), pins[1]]), *wires[1:]]
    assert verdict(wires, shuffled(changed, 4)) == "different"


def test_nothing_is_the_same_as_nothing() -> None:
    assert verdict([], []) == "same"
    assert verdict([], [("R", [])]) == "different"
