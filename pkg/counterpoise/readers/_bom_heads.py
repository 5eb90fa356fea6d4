"""What the columns of a BOM are called, and which column is which."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from counterpoise.readers._table import Row, bare_head

# Heads by column, the surest first, spelt as ``bare_head`` leaves them. From common exports; no
# standard fixes them.
HEADS: dict[str, tuple[str, ...]] = {
    "reference": (
        *("reference", "references", "ref", "refs", "refdes", "refdess", "designator"),
        *("designators", "partreference", "referencedesignator", "referencedesignators"),
        *("itemreference", "componentreference", "componentdesignator", "partdesignator"),
        *("referenz", "referenzen", "bezeichner", "repere", "repère", "location", "locations"),
    ),
    "quantity": (
        *("quantity", "qty", "qnty", "quant", "count", "numberofparts", "qtyperboard"),
        *("quantityperboard", "qtyboard", "qtyperpcb", "anzahl", "menge", "stück", "stueck"),
        *("qte", "qté", "quantité", "quantite", "cantidad", "amount", "total"),
    ),
    "value": ("value", "val", "partvalue", "nominal", "wert", "valeur", "comment", "designation"),
    "footprint": (
        *("footprint", "pcbfootprint", "footprintname", "landpattern", "pattern", "decal"),
        *("pcbdecal", "package", "packagefootprint", "casepackage", "case", "gehäuse", "boitier"),
        *("boîtier", "size"),
    ),
    "order_code": (
        *("mpn", "mpn1", "manufacturerpartnumber", "manufacturerpartnumber1", "mfrpartnumber"),
        *("mfgpartnumber", "mfrpn", "mfgpn", "manufacturerpn", "manufacturerpartno", "mfrpart"),
        *("mfgpart", "mfrpartno", "mfgpartno", "mfrno", "manufacturerpart", "ordercode"),
        *("herstellernummer", "bestellnummer", "partnumber", "partno", "pn"),
    ),
    "maker": (
        *("manufacturer", "manufacturer1", "manufacturername", "mfr", "mfg", "maker"),
        *("hersteller", "fabricant", "vendor"),
    ),
    "description": ("description", "desc", "partdescription", "details", "beschreibung"),
    "unfitted": (
        *("dnp", "dnf", "dni", "dns", "donotpopulate", "donotfit", "donotplace", "donotmount"),
        *("donotstuff", "donotinstall", "notfitted", "notpopulated", "notmounted", "unfitted"),
        *("nostuff", "nopop", "excludefrombom"),
    ),
    "fitted": ("fitted", "populate", "populated", "fit", "stuff", "assembled", "mount", "mounted"),
}
_SUPPLIER = re.compile(
    r"(?:supplier|distributor|lcsc|digikey|mouser|farnell|newark|arrow|jlc|jlcpcb)"
    r"(?:part|partnumber|partno|pn|no|number|sku|code|andref|ref)?\d?|sku|ordernumber|orderno"
)
_MAYBE_REFERENCE = ("part", "parts", "name", "names", "component", "components", "item", "items")
_REF = re.compile(r"[A-Za-z]{1,5}_?\d{1,5}[A-Za-z]?")
_FIRST = re.compile(r"[\s,;]+")


def head_kinds(cells: Sequence[str]) -> set[str]:
    """The columns that a row of heads names for certain."""
    known = {head: column for column, heads in HEADS.items() for head in heads}
    bare = [bare_head(cell) for cell in cells]
    return {known[head] for head in bare if head in known}


def is_head(cells: Sequence[str]) -> bool:
    """Whether a row looks like the head of a BOM: references, or what may hold them, and more."""
    kinds = head_kinds(cells)
    maybe = any(bare_head(cell) in _MAYBE_REFERENCE for cell in cells)
    return len(kinds - {"reference"}) >= (1 if "reference" in kinds else 2) and (
        "reference" in kinds or maybe
    )


def column_places(head: Row, rows: Sequence[Row]) -> dict[str, int]:
    """The index of each column of the table; the cells below settle heads of two meanings."""
    bare = [bare_head(cell) for cell in head.cells]
    places: dict[str, int] = {}
    for column, heads in HEADS.items():
        found = next((bare.index(name) for name in heads if name in bare), None)
        if found is not None and found not in places.values():
            places[column] = found
    if "reference" not in places:
        maybe = [index for index, name in enumerate(bare) if name in _MAYBE_REFERENCE]
        index = next((i for i in maybe if _mostly(rows, i, _is_refs)), None)
        if index is not None:
            places["reference"] = index
    counted = places.get("quantity")
    loose = counted is not None and bare[counted] in ("amount", "total")
    if loose and counted is not None and not _mostly(rows, counted, str.isdigit):
        del places["quantity"]
    supplier = next((i for i, name in enumerate(bare) if _SUPPLIER.fullmatch(name)), None)
    if supplier is not None and supplier not in places.values():
        places["supplier_code"] = supplier
    return places


def _mostly(rows: Sequence[Row], index: int, test: Callable[[str], bool]) -> bool:
    cells = [cell for row in rows if (cell := row.cell(index))]
    return bool(cells) and sum(test(cell) for cell in cells) * 2 > len(cells)


def _is_refs(cell: str) -> bool:
    return bool(_REF.fullmatch(_FIRST.split(cell)[0].split("-")[0]))
