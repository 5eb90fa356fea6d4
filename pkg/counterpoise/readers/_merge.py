"""One circuit out of the netlist, the layout, the BOM's marks and the manifest's word."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from counterpoise.model.bom import Bom
from counterpoise.model.circuit import Circuit, Part, Pin, PinKind
from counterpoise.model.layout import Layout
from counterpoise.model.manifest import Manifest
from counterpoise.readers._bom_heads import HEADS
from counterpoise.readers._marks import flag
from counterpoise.readers._table import bare_head
from counterpoise.values.partvalue import unfitted_text


def joined(netlist: Circuit | None, drawn: Circuit | None) -> Circuit | None:
    """The netlist's circuit, its gaps filled in from the layout's; or the only one there is."""
    if netlist is None or drawn is None:
        return netlist or drawn
    parts = tuple(_filled(part, drawn.part(part.ref)) for part in netlist.parts)
    return replace(netlist, parts=parts)


def _filled(part: Part, other: Part | None) -> Part:
    if other is None:
        return part
    numbers = {pin.number for pin in part.pins}
    pins = tuple(_filled_pin(pin, other.pin(pin.number)) for pin in part.pins)
    # A netlist may leave out pins that nothing is joined to; the land pattern still has them.
    bare = tuple(p for p in other.pins if p.net is None and p.number and p.number not in numbers)
    return replace(
        part,
        value=part.value or other.value,
        footprint=part.footprint or other.footprint,
        symbol=part.symbol or other.symbol,
        description=part.description or other.description,
        fields=MappingProxyType({**other.fields, **part.fields}),
        pins=pins + bare,
        fitted=part.fitted and other.fitted,
        bought=part.bought and other.bought,
    )


def _filled_pin(pin: Pin, other: Pin | None) -> Pin:
    if other is None or (pin.name and pin.kind is not PinKind.UNKNOWN):
        return pin
    kind = other.kind if pin.kind is PinKind.UNKNOWN else pin.kind
    return replace(pin, name=pin.name or other.name, kind=kind)


def with_fitted(
    circuit: Circuit | None, drawn: Circuit | None, bom: Bom | None, manifest: Manifest
) -> Circuit | None:
    """The circuit with each part's state settled: the manifest's word, else a "not fitted" mark of
    the netlist, the layout or the value's text, else the BOM's."""
    if circuit is None:
        return None
    unbought = _unfitted_in(bom)
    parts = tuple(
        part if fitted is part.fitted else replace(part, fitted=fitted)
        for part in circuit.parts
        for fitted in (_fitted(part, drawn.part(part.ref) if drawn else None, unbought, manifest),)
    )
    return circuit if parts == circuit.parts else replace(circuit, parts=parts)


def layout_as_fitted(layout: Layout | None, circuit: Circuit | None) -> Layout | None:
    """The layout with each footprint's state as the circuit has it; other footprints as drawn."""
    if layout is None or circuit is None:
        return layout
    footprints = tuple(
        replace(footprint, fitted=part.fitted)
        if (part := circuit.part(footprint.ref)) is not None and part.fitted != footprint.fitted
        else footprint
        for footprint in layout.footprints
    )
    changed = any(a is not b for a, b in zip(footprints, layout.footprints, strict=True))
    return replace(layout, footprints=footprints) if changed else layout


def _fitted(part: Part, other: Part | None, unbought: frozenset[str], manifest: Manifest) -> bool:
    stated = manifest.parts[part.ref].fitted if part.ref in manifest.parts else None
    if stated is not None:
        return stated
    seen = [part] if other is None else [part, other]
    if any(not p.fitted or unfitted_text(p.value) or _unfitted_field(p.fields) for p in seen):
        return False
    return part.ref not in unbought


def _unfitted_field(fields: Mapping[str, str]) -> bool:
    """A field such as "DNP" = "yes" or "Fitted" = "no", or a variant field that says DNP."""
    for name, text in fields.items():
        bare = bare_head(name)
        if bare in HEADS["unfitted"] and text.strip() and flag(text.strip(), False) is False:
            return True
        if bare in HEADS["fitted"] and flag(text.strip(), True) is False:
            return True
        if bare in ("config", "variant") and unfitted_text(text):
            return True
    return False


def _unfitted_in(bom: Bom | None) -> frozenset[str]:
    """The refs that the BOM marks as not fitted and that no row of it marks as fitted."""
    if bom is None:
        return frozenset()
    said = {
        want: {r for line in bom.lines if line.fitted is want for r in line.refs}
        for want in (True, False)
    }
    return frozenset(said[False] - said[True])
