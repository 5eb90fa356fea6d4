"""The ledgers of the demo's boards against sums worked out another way, and the ways to shave,
applied to copies of their files."""

from __future__ import annotations

import csv
import math
import re
import shutil
from pathlib import Path

import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from commands import DEMO, DEMO_BOARDS
from counterpoise.cli._work import board_at
from counterpoise.estimates.mass import mass
from counterpoise.estimates.weigh import weigh
from counterpoise.geometry.pads import pad_shape
from counterpoise.geometry.strokes import path as points_of
from counterpoise.model.layout import Layout, Line
from counterpoise.model.report import Mass
from counterpoise.model.weigh import Shave, Weigh

# Outlines read off the board files by eye: rectangle less its corners, holes and slots (mm²).
CORNER = 4 - math.pi
OUTLINE = {
    "donor": 62 * 60 - CORNER * 1.5**2 - 4 * math.pi * 1.6**2,
    "rev-a": 36 * 58 - CORNER * 3**2 - math.pi * 2**2 - (3 * 6.8 + math.pi * 1.5**2),
    "rev-b": 36 * 54
    - CORNER * 4**2
    - math.pi * 2.2**2
    - math.pi * 2**2
    - 2 * (6.4 * 2.4 + math.pi * 1.2**2)
    - (3 * 6.8 + math.pi * 1.5**2)
    - (3 * 4 + math.pi * 1.5**2),
}
THICKNESS = {"donor": 1.6, "rev-a": 1.0, "rev-b": 1.0}
BESIDE = {
    "donor": 11.5 + 26 + 1.2,  # cell, shell, knob cap
    "rev-a": 3.8 + 10 + 1.2 + 4 * 0.25,  # and four screws
    "rev-b": 3.8 + 9.25 + 1.2 + 4 * 0.25,
}
# Grams of one part by footprint; common practice, no source, where not a body volume times density.
EACH = {
    "R_0402_1005Metric": 0.65e-3,
    "C_0402_1005Metric": 1.4e-3,
    "C_0603_1608Metric": 5.8e-3,
    "L_0402_1005Metric": 1.2e-3,
    "L_3.0x3.0mm": 60e-3,
    "LED_0603_1608Metric": 2e-3,
    "SOT-23-5": 15e-3,
    "SC-70-6": 6.5e-3,
    "QFN-40-1EP_6x6mm_P0.5mm": 95e-3,
    "Crystal_SMD_3225-4Pin_3.2x2.5mm": 16e-3,
    "Antenna_Chip_3216": 12e-3,
    "Balun_0805-6Pin": 4.7e-3,
    "USB_C_Receptacle_16P_TopMount": 0.9,
    "SW_Micro_12.8x5.8mm_RightAngle": 0.5,
    "SW_Tact_4.2x3.2mm": 30e-3,
    "SW_Slide_6.7x2.6mm": 0.2,
    "RotaryEncoder_11mm_Vertical": 5.0,
    "JST_PH_S2B-PH-SM4-TB": 0.18,
    "BatteryHolder_AAA_1x": 4.5,
    "PinHeader_1x05_P2.00mm": 0.3,
}


def ledger_of(folder: Path) -> Mass:
    found = mass(board_at(folder))
    assert isinstance(found, Mass)
    return found


def drills(name: str) -> list[tuple[float, float]]:
    """Every drill of the file as width and height, by its text alone."""
    text = (DEMO / name / f"{name}.kicad_pcb").read_text()
    body = text[text.index("(setup") :]
    body = body[re.search(r"\n  \((?:module|footprint) ", body).start() :]  # type: ignore[union-attr]
    found = []
    for match in re.finditer(r"\(drill (?:oval )?([\d.]+)(?: ([\d.]+))?", body):
        width = float(match[1])
        found.append((width, float(match[2] or width)))
    return found


def hole_mm2(width: float, height: float) -> float:
    short, long = sorted((width, height))
    return math.pi * short**2 / 4 + short * (long - short)


def copper_mm2(layout: Layout, name: str) -> float:
    """One union of all that is copper on a layer, less one union of all drills."""
    shapes: list[BaseGeometry] = [
        LineString(
            [t.shape.start, t.shape.end] if isinstance(t.shape, Line) else points_of(t.shape)
        ).buffer(t.width / 2)
        for t in layout.tracks
        if t.layer == name
    ]
    shapes += [Point(v.at).buffer(v.size / 2) for v in layout.vias]
    shapes += [pad_shape(p) for f in layout.footprints for p in f.pads if name in p.copper]
    for zone in layout.zones:
        shapes += [
            shapely.make_valid(Polygon(fill.points)).buffer(zone.grow_mm)
            for layer, fill in zone.fills
            if layer == name
        ]
    bored = [Point(v.at).buffer(v.drill / 2) for v in layout.vias]
    bored += [
        Point(p.drill.at).buffer(p.drill.width / 2)
        for f in layout.footprints
        for p in f.pads
        if p.drill is not None and p.drill.width == p.drill.height
    ]
    return float(shapely.union_all(shapes).difference(shapely.union_all(bored)).area)


@pytest.mark.parametrize("name", DEMO_BOARDS)
def test_ledger_by_hand(name: str) -> None:
    """Laminate = area x (thickness - 2 x 35 µm copper - 2 x 25 µm mask) x 1.85 g/cm³ to 0.5 %, copper
    = union x 35 µm x 8.96 g/cm³ to 1 %, the whole to 1 %. FR-4 1.85 g/cm³: laminate makers' data;
    copper 8.96 g/cm³: CRC Handbook of Chemistry and Physics, from memory."""
    found = ledger_of(DEMO / name)
    grams = {i.name: i.mass.likely for i in found.items if not i.ref}
    bored = sum(hole_mm2(*d) for d in drills(name))
    laminate = (OUTLINE[name] - bored) * (THICKNESS[name] - 0.07 - 0.05) * 1.85 / 1000
    assert grams["laminate"] == pytest.approx(laminate, rel=0.005)
    layout = board_at(DEMO / name).layout
    assert layout is not None
    copper = 0.0
    for layer in ("F.Cu", "B.Cu"):
        own = copper_mm2(layout, layer) * 0.035 * 8.96 / 1000
        assert grams[f"copper {layer}"] == pytest.approx(own, rel=0.01)
        copper += own
    mask = 2 * 0.9 * OUTLINE[name] * 0.025 * 1.3 / 1000
    assert grams["solder mask"] == pytest.approx(mask, rel=1e-3)
    legend = 2 * 0.03 * OUTLINE[name] * 0.017 * 1.35 / 1000
    walls = sum(math.pi * v.drill for v in layout.vias)
    pads = [p for f in layout.footprints for p in f.pads]
    plated = [p.drill for p in pads if p.drill is not None and p.drill.plated]
    walls += sum(math.pi * min(d.width, d.height) + 2 * abs(d.width - d.height) for d in plated)
    barrels = walls * THICKNESS[name] * 0.025 * 8.96 / 1000
    assert grams["plated holes"] == pytest.approx(barrels, rel=0.01)
    pasted = sum(pad_shape(p).area for p in pads if {"F.Paste", "B.Paste"} & set(p.layers))
    filled = sum(math.pi / 4 * d.width * d.height for d in plated)
    solder = (pasted * 0.12 * 0.5 + filled * THICKNESS[name] * 0.5) * 7.38 / 1000
    assert grams["solder"] == pytest.approx(solder, rel=0.03)
    with (DEMO / name / "bom.csv").open(newline="") as file:
        parts = sum(int(row["Qty"]) * EACH[row["Footprint"]] for row in csv.DictReader(file))
    assert sum(i.mass.likely for i in found.items if i.kind == "part") == pytest.approx(
        parts, rel=1e-3
    )
    finish = grams["finish on pads"]  # 10 mg: taken over
    whole = laminate + copper + mask + legend + barrels + solder + parts + BESIDE[name] + finish
    assert found.total.likely == pytest.approx(whole, rel=0.01)
    assert abs(found.total.likely - sum(i.mass.likely for i in found.items)) < 1e-3


def apply(folder: Path, way: Shave) -> None:
    """Do to the files what the way says."""
    manifest = folder / "board.toml"
    text = manifest.read_text()
    if way.change.startswith("order the board"):
        value = re.search(r'thickness = "([^"]+)"', way.how)
        assert value is not None
        text = re.sub(r'(?m)^thickness = "[^"]+"', f'thickness = "{value[1]}"', text)
    elif "pouch cell" in way.change:
        capacity, grams = re.findall(r'"([^"]+)"', way.how)
        text = re.sub(r'(?m)^capacity = "[^"]+"', f'capacity = "{capacity}"', text)
        text = re.sub(r'(?m)^mass = "3.0 g to 4.6 g"', f'mass = "{grams}"', text)
    elif way.change.startswith("wheel encoder"):
        for path in folder.iterdir():
            if path.suffix in (".kicad_pcb", ".net", ".csv"):
                old = path.read_text()
                path.write_text(old.replace("RotaryEncoder_11mm_Vertical", "Wheel_Horizontal"))
    else:
        raise AssertionError(f"no way is known to apply {way.change}")
    manifest.write_text(text)


@pytest.mark.parametrize("name", DEMO_BOARDS)
@pytest.mark.parametrize("place", [0, 1, 2])
def test_shaving_keeps_its_promise(name: str, place: int, tmp_path: Path) -> None:
    folder = tmp_path / name
    shutil.copytree(DEMO / name, folder)
    answer = weigh(board_at(folder))
    assert isinstance(answer, Weigh)
    assert list(answer.shave) == sorted(answer.shave, key=lambda w: -w.saves_g)
    way = answer.shave[place]
    apply(folder, way)
    saved = answer.mass.total.likely - ledger_of(folder).total.likely
    assert saved == pytest.approx(way.saves_g, rel=0.05), way.change


def test_cut_outs_stay_clear_and_weigh_what_they_say() -> None:
    """Each region offered lies on the board, clear of every part, track and hole."""
    from counterpoise.estimates._mass_board import copper_of
    from counterpoise.estimates._shave_arms import kept_whole
    from counterpoise.estimates.area import main_piece
    from counterpoise.geometry.empty import board_shape, empty_regions
    from counterpoise.geometry.outline import Piece

    board = board_at(DEMO / "donor")
    piece, layout = main_piece(board), board.layout
    assert isinstance(piece, Piece)
    assert layout is not None
    kept = kept_whole(board)
    grounds = frozenset(board.grounds)
    regions = empty_regions(
        layout, copper_of(board), piece, web=1.6, corner=1.0, least=12.0, kept=kept, ground=grounds
    )
    assert regions
    pads = shapely.union_all([pad_shape(p) for f in layout.footprints for p in f.pads])
    tracks = [
        LineString([t.shape.start, t.shape.end]) for t in layout.tracks if isinstance(t.shape, Line)
    ]
    rim = board_shape(piece).boundary
    for region in regions:
        assert region.shape.distance(pads) >= 0.75
        assert region.shape.distance(shapely.union_all(tracks)) >= 0.75
        assert region.shape.distance(rim) >= 1.6 - 0.02
        assert not any(region.shape.buffer(-0.01).intersects(k) for k in kept)
    for first in regions:
        for second in regions:
            assert first is second or first.shape.distance(second.shape) >= 1.5
