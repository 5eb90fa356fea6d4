"""Boards of other people, against what was counted in them by hand and by independent scripts."""

from __future__ import annotations

import json
import math
import os
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from counterpoise.model.circuit import Circuit
from counterpoise.model.layout import Arc, Circle, Curve, Layout, Line, Polygon
from counterpoise.readers import board, netlist
from counterpoise.readers._board_shapes import arc_points
from counterpoise.readers._reading import Reading
from counterpoise.readers._source import Source

HERE = Path(__file__).resolve().parents[2]
BOARDS = Path(os.environ.get("COUNTERPOISE_BOARDS", HERE / "../shared/boards"))
TRUTHS = sorted(BOARDS.glob("*/truth.json"))

if not TRUTHS:
    pytest.skip(
        "no real boards here; COUNTERPOISE_BOARDS names their folder", allow_module_level=True
    )


@cache
def reading(truth: Path) -> Reading:
    return board.read(Source.of(truth.parent / facts(truth)["file"]))


@cache
def facts(truth: Path) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads(truth.read_text("utf-8"))
    return loaded


def layout(truth: Path) -> Layout:
    found = reading(truth).layout
    assert found is not None
    return found


def circuit(truth: Path) -> Circuit:
    found = reading(truth).circuit
    assert found is not None
    return found


each = pytest.mark.parametrize("truth", TRUTHS, ids=lambda truth: truth.parent.name)


@each
def test_counts(truth: Path) -> None:
    known, found = facts(truth), layout(truth)
    assert len(found.footprints) == known["footprints"]
    assert sum(bool(f.pads) for f in found.footprints) == known["footprints_with_pads"]
    assert sum(f.side == "back" for f in found.footprints) == known["back"]
    assert sum(f.angle % 90 != 0 for f in found.footprints) == known["odd_angles"]
    assert len(found.net_names) == known["nets"]
    assert len(found.copper_layers) == known["copper_layers"]
    assert found.thickness_mm == float(known["thickness_mm"])
    assert sum(isinstance(t.shape, Line) for t in found.tracks) == known["segments"]
    assert len(found.vias) == known["vias"]
    assert len(found.zones) == known["zones"]
    assert sum(zone.keepout is not None for zone in found.zones) == known["keepouts"]
    assert sum(bool(zone.fills) for zone in found.zones) == known["zones_filled"]
    counted = Counter(f.ref for f in found.footprints)
    assert {ref: n for ref, n in counted.items() if n > 1} == known["duplicate_refs"]
    # The note counts every pad without a net but unplated holes, paste alone among them.
    bare = [p for f in found.footprints for p in f.pads if p.net is None]
    plain = [p for p in bare if p.drill is None or p.drill.plated]
    assert len(plain) == known["copper_pads_without_net"]


@each
def test_the_box_of_the_outline(truth: Path) -> None:
    found = layout(truth)
    owned = [d for f in found.footprints for d in f.drawings]
    edges = [d.shape for d in (*found.drawings, *owned) if d.layer == "Edge.Cuts"]
    corners = [corner for edge in edges for corner in extent(edge)]
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    assert [min(xs), min(ys), max(xs), max(ys)] == pytest.approx(
        facts(truth)["outline_bbox_mm"], abs=0.005
    )


def extent(edge: Line | Arc | Circle | Polygon | Curve) -> list[tuple[float, float]]:
    """Points that bound a shape."""
    match edge:
        case Line(start, end):
            return [start, end]
        case Arc():
            return list(arc_points(edge))
        case Circle((x, y), radius):
            return [(x - radius, y - radius), (x + radius, y + radius)]
        case Polygon(points) | Curve(points):
            return list(points)


@each
def test_key_parts_are_where_and_wired_as_noted(truth: Path) -> None:
    for noted in (part for family in facts(truth)["parts"].values() for part in family):
        drawn = layout(truth).footprint(noted["ref"])
        part = circuit(truth).part(noted["ref"])
        assert drawn is not None
        assert part is not None
        assert drawn.at == pytest.approx(noted["at"][:2], abs=0.006)
        assert drawn.angle == noted["at"][2]
        for number, net in noted["pads"].items():
            if net:
                pin = part.pin(number)
                assert pin is not None
                assert pin.net == net.replace("{slash}", "/")


@each
def test_the_netlist_beside_it_joins_the_same_pins(truth: Path) -> None:
    beside = sorted(truth.parent.glob("*.net"))
    if not beside:
        pytest.skip("no netlist beside this board")
    listed = netlist.read(Source.of(beside[0])).circuit
    assert listed is not None
    drawn = circuit(truth)
    for part in listed.parts:
        own = drawn.part(part.ref)
        assert own is not None
        nets = {pin.number: pin.net for pin in part.pins if pin.net is not None}
        assert {n: p.net for n in nets if (p := own.pin(n)) is not None} == nets


@each
def test_tracks_end_on_pads_of_their_own_net(truth: Path) -> None:
    """A wrong turn or mirror would leave most track ends beside the pads they lead to."""
    found = layout(truth)
    ends: dict[str | None, list[tuple[float, float]]] = {}
    for track in found.tracks:
        ends.setdefault(track.net, []).extend((track.shape.start, track.shape.end))
    pads = [p for f in found.footprints for p in f.pads if p.net in ends and p.copper]
    reach = {id(p): max(p.size) / 2.0 + 0.01 for p in pads}
    hit = sum(any(math.dist(end, p.at) < reach[id(p)] for end in ends[p.net]) for p in pads)
    assert hit > 0.7 * len(pads)  # the rest are joined by a pour
