"""What the scale said against the ledger, and what that teaches for the next revision."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.catalog.materials import material, triple
from counterpoise.estimates.mass import ledger
from counterpoise.model.report import Mass, MassItem
from counterpoise.model.weigh import Scale
from counterpoise.roles.board import Board
from counterpoise.values.ranges import Estimate


def weighed(board: Board, found: Mass) -> tuple[Scale, ...]:
    """Each stated weighing ([weighed] bare, assembled, total) beside the same sum of the ledger."""
    said = board.manifest.weighed
    bare = [i for i in found.items if i.kind == "bare"]
    assembled = [i for i in found.items if i.kind not in ("cell", "extra")]
    rows = (
        ("bare board", said.bare_g, bare),
        ("assembled board", said.assembled_g, assembled),
        ("all of it", said.total_g, list(found.items)),
    )
    stated = board.manifest.board.density_g_cm3
    return tuple(
        _row(what, grams, items, stated) for what, grams, items in rows if grams is not None
    )


def _row(what: str, grams: float, items: list[MassItem], stated: float | None) -> Scale:
    total = ledger(items).total
    says = " ".join(_says(what, grams, items, total, stated))
    return Scale(what, grams, total.low, total.likely, total.high, says)


def _says(
    what: str, grams: float, items: list[MassItem], total: Estimate, stated: float | None
) -> Iterator[str]:
    off = grams - total.likely
    if total.low <= grams <= total.high:
        yield f"within what was reckoned ({off:+.2f} g)."
    else:
        side = "heavier" if grams > total.high else "lighter"
        doubtful = sorted(items, key=lambda i: i.mass.low - i.mass.high)[:3]
        names = ", ".join(f"{i.ref} {i.name}".strip() for i in doubtful)
        yield f"{side} than the ledger allows ({off:+.2f} g); look at {names}."
    if what == "bare board":
        density = _density(grams, items, stated)
        if density is not None:
            yield f'For the next revision: board.toml: [board] density = "{density:.3g} g/cm^3".'


def _density(grams: float, items: list[MassItem], stated: float | None) -> float | None:
    """The laminate's density in g/cm³ that would make the ledger agree, when it is a likely one."""
    usual = triple(material("laminate"), "density")
    laminate = next((i for i in items if i.name == "laminate"), None)
    if laminate is None or laminate.mass.likely <= 0:
        return None
    others = sum(i.mass.likely for i in items if i is not laminate)
    density = (stated or usual.likely) * (grams - others) / laminate.mass.likely
    return density if 0.8 * usual.low <= density <= 1.2 * usual.high else None
