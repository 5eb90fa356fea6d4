"""Second look at switches: which kind, where the words fit several."""

from __future__ import annotations

from collections.abc import Iterator

from counterpoise.model.circuit import Part
from counterpoise.roles.refdes import readings
from counterpoise.roles.scene import Scene
from counterpoise.roles.votes import Vote


def _open_vote(part: Part, scene: Scene) -> Vote | None:
    """The word that says "a switch" without saying which, the strongest kind of evidence first."""
    found = [
        v
        for v in scene.own.get(part.ref, ())
        if v.roles[0] == "unknown" and "slide-switch" in v.roles
    ]
    return next((v for v in found if v.source != "refdes"), found[0] if found else None)


def _feeds(part: Part, scene: Scene) -> str | None:
    """The cell or fuse that stands on one of the switch's nets."""
    for net in part.nets:
        if net in scene.grounds:
            continue
        for pin in scene.others(part, net):
            if scene.role(pin.ref) in ("cell", "fuse"):
                return pin.ref
    return None


def votes(part: Part, scene: Scene) -> Iterator[Vote]:
    """In series with the cell: stays where it is put. Between ground and a chip's pin: an input, of
    which the place alone does not tell whether it stays; the word's own kind of evidence is used
    then, so that it does not count as a second one."""
    word = _open_vote(part, scene)
    if word is None or scene.role(part.ref) != "unknown":
        return
    feeder = _feeds(part, scene)
    if feeder is not None:
        yield Vote(("slide-switch",), "shape", f"in series with {feeder}")
        return
    grounded = [n for n in part.nets if n in scene.grounds]
    live = [n for n in part.nets if n not in scene.grounds]
    to_chip = any(scene.is_chip(p.ref) for n in live for p in scene.others(part, n))
    if not to_chip or not grounded:
        yield from _half_wired(part, scene, word, grounded, live)
        return
    two = len(part.nets) == 2 and len({p.number for p in part.pins}) in (2, 4)
    kind = "push-switch" if two and "change-over-switch" not in word.roles[1:2] else ""
    if "change-over-switch" in word.roles and word.source != "refdes":
        kind = "change-over-switch"
    if kind and kind in word.roles:
        yield Vote(
            (kind,), word.source, f"{word.says}, between ground and a chip's pin", guess=True
        )


def _half_wired(
    part: Part, scene: Scene, word: Vote, grounded: list[str], live: list[str]
) -> Iterator[Vote]:
    """A switch of one contact that is shorted, or lacks one side: no less a switch for being wired
    wrongly. What stands in a supply line has two live ends and is left open."""
    led = [n for n in live if scene.others(part, n)]
    shorted = bool(grounded) and not live
    lone = (
        len(led) == 1
        and not grounded
        and any(scene.is_chip(p.ref) for p in scene.others(part, led[0]))
    )
    single = len({p.number for p in part.pins}) in (2, 4)
    # Letters alone tell a switch only where they mean nothing else: S may be a shield or a stand-off.
    told = word.source != "refdes" or readings(part.ref)[0] in ("SW", "BTN", "KEY")
    if single and (shorted or lone) and "push-switch" in word.roles and told:
        yield Vote(("push-switch",), word.source, f"{word.says}, one contact", guess=True)
        if word.source != "refdes":
            # Which switch it is stays open, but that it is one is told twice.
            yield from _by_letters(part)


def _by_letters(part: Part) -> Iterator[Vote]:
    letters, roles = readings(part.ref)
    if "push-switch" in roles:
        yield Vote(("push-switch",), "refdes", f"reference letters {letters}", guess=True)
