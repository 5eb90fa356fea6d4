"""The rule converter-feedback: what a divider sets against what the rail is meant to be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from counterpoise.catalog.rules import Rule
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.verdicts import (
    Fail,
    Limit,
    Measured,
    Pass,
    Severity,
    Skip,
    Unknown,
    Verdict,
)
from counterpoise.roles._rail_outputs import output_nets
from counterpoise.roles.board import Board
from counterpoise.roles.dividers import divided, halves, side_by_side
from counterpoise.roles.evidence import Known
from counterpoise.roles.facts import stating
from counterpoise.roles.paths import SOURCES, loads_on, marked_volts, node
from counterpoise.roles.wording import amount, listed, span
from counterpoise.values.ranges import Range

_FIGURES = "by figures from memory, or a part whose kind is not certain"
_NAME = "the rail's voltage is known by its name only"
_UNSURE = "whether it is a settable converter is not certain"


def converter_feedback(board: Board, rule: Rule) -> Iterator[Verdict]:
    """Compare Vref (1 + R1/R2) of each converter (V) with its rail's mark and its loads."""
    for part in board.parts_as(*SOURCES):
        pins = board.pins_for(part, "feedback")
        outputs = output_nets(board, part)
        if pins and outputs:
            yield _feedback(board, rule, part, pins[0].net, outputs[0], pins[0].label)
        elif pins:
            need = Need(
                f"which pin of {part.ref} is its output",
                "a card for it in cards/*.toml, beside board.toml, with pins.output",
            )
            yield Unknown(part.ref, (need,))


def _feedback(
    board: Board, rule: Rule, part: Part, net: str | None, output: str, label: str
) -> Verdict:
    reference = board.known(part, "reference")
    known = board.card(part.ref) is not None or isinstance(reference, Known)
    firm = board.role(part.ref).firm and known
    words = {"pin": label, "output": output}
    if net is None:
        doubt = "" if firm else _UNSURE
        return Fail((part.ref,), "open", words, nets=(output,), firm=firm, doubt=doubt)
    if net in node(board, output) or board.is_ground(net):
        return _undivided(board, rule, part, output, net, firm)
    above, below = halves(board, node(board, output), net)
    if not above or not below:
        return _half(board, part, net, words, firm, len(above), len(below))
    spread = rule.limit("tolerance").high
    top, bottom = (side_by_side(board, parts, spread) for parts in (above, below))
    if isinstance(top, Need) or isinstance(bottom, Need):
        return Unknown(part.ref, tuple(x for x in (top, bottom, reference) if isinstance(x, Need)))
    by = f"{listed(sorted(above))} over {listed(sorted(below))}"
    grounded = bool(board.pins_for(part, "ground"))
    if isinstance(reference, Need):
        ratio = divided(Range.of(1.0), *((top, bottom) if grounded else (bottom, top)))
        return _odd_reference(board, rule, part, output, ratio, by) or Unknown(
            part.ref, (reference,)
        )
    volts = divided(reference.value, top, bottom, grounded=grounded)
    return _judged(board, rule, part, output, _Made(volts, reference.firm and firm, by, reference))


def _odd_reference(
    board: Board, rule: Rule, part: Part, output: str, ratio: Range, by: str
) -> Fail | None:
    """A divider that meets the rail's mark only with a reference that no usual converter has."""
    mark = next((m for n in sorted(node(board, output)) if (m := marked_volts(n))), None)
    usual = rule.limit("usual-reference")
    if mark is None or usual.low * ratio.low <= mark <= usual.high * ratio.high:
        return None
    words = {
        "by": by,
        "output": output,
        "mark": amount(mark, "V"),
        "reference": amount(mark / ratio.middle, "V"),
        "usual": span(usual, "V"),
    }
    return Fail((part.ref,), "odd", words, (output,), severity=Severity.CAUTION, firm=False)


def _undivided(board: Board, rule: Rule, part: Part, output: str, net: str, firm: bool) -> Verdict:
    """The feedback pin straight on the output, or on ground."""
    reference = board.known(part, "reference")
    grounded = board.is_ground(net) and bool(board.pins_for(part, "ground"))
    if grounded and isinstance(reference, Known):
        words = {"pin": listed(p.label for p in board.pins_for(part, "feedback")), "output": output}
        return Fail((part.ref,), "grounded", words, nets=(net,), firm=firm)
    fixed = isinstance(board.known(part, "output"), Known)
    if grounded and not fixed:
        # Some settable ones take it for the choice of a fixed output, and fixed ones may want it.
        what = f"what {part.ref} is set to (its feedback pin is on ground)"
        return Unknown(part.ref, (Need(what, stating(part.ref, "output", "3.3 V")),))
    if fixed or isinstance(reference, Need):
        return Skip(f"{part.ref} has no divider: a fixed one")
    made = _Made(reference.value, reference.firm, "its reference alone", reference)
    return _judged(board, rule, part, output, made)


def _half(
    board: Board,
    part: Part,
    net: str,
    words: dict[str, str],
    firm: bool,
    above: int,
    below: int,
) -> Verdict:
    """A divider without one half: a fault, unless something else than resistors stands there."""
    others = [
        p.ref
        for p in board.on_net(net)
        if p.ref != part.ref and board.role(p.ref).name not in ("capacitor", "test-point")
    ]
    unusual = [r for r in others if board.role(r).name != "resistor"]
    if unusual or len(others) > above + below:  # more resistors than these: some in a row
        need = Need(
            f"what {part.ref} is set to ({listed(others)} at its feedback pin)",
            stating(part.ref, "output", "3.3 V"),
        )
        return Unknown(part.ref, (need,))
    case = "open" if not above and not below else "no-top" if not above else "no-bottom"
    return Fail((part.ref,), case, words, nets=(net,), firm=firm, doubt="" if firm else _UNSURE)


@dataclass(frozen=True, slots=True)
class _Made:
    volts: Range
    firm: bool
    by: str
    reference: Known

    def words(self, output: str) -> dict[str, str]:
        """The words that each finding shares."""
        return {"made": span(self.volts, "V"), "by": self.by, "output": output}


def _judged(board: Board, rule: Rule, part: Part, output: str, made: _Made) -> Verdict:
    loads = {load.ref: board.known(load, "supply") for load in loads_on(board, node(board, output))}
    known = {ref: k for ref, k in sorted(loads.items()) if isinstance(k, Known)}
    inside = {ref: made.volts.within(k.value.low, k.value.high) for ref, k in known.items()}
    for ref, fits in inside.items():
        if fits is False:
            return _misfed(part, output, made, ref, known[ref])
    aim = _aim(board, part, output)
    found = _against_mark(rule, part, made, aim, output) if aim is not None else None
    if isinstance(found, Fail | Unknown):
        return found
    if None in inside.values() and not made.reference.value.sure:
        return Unknown(part.ref, (_narrower(part),))
    unknown = tuple(k for k in loads.values() if isinstance(k, Need))
    if found is not None or (loads and not unknown):
        return Pass(part.ref)
    wanted = Need(f"what {output} is meant to be", stating(part.ref, "output", "3.3 V"))
    return Unknown(part.ref, unknown or (wanted,))


def _aim(board: Board, part: Part, output: str) -> float | None:
    """Volts that the rail's name says, else those that the manifest states where no load tells."""
    names = sorted(node(board, output))
    mark = next((m for n in names if (m := marked_volts(n)) is not None), None)
    if mark is not None:
        return mark
    loads = loads_on(board, node(board, output))
    if loads and all(isinstance(board.known(load, "supply"), Known) for load in loads):
        return None
    stated = board.manifest.parts.get(part.ref)
    aim = stated.facts.get("output") if stated else None
    return aim.middle if isinstance(aim, Range) else None


def _narrower(part: Part) -> Need:
    return Need(f"the reference of {part.ref}", stating(part.ref, "reference", "0.5 V"))


def _misfed(part: Part, output: str, made: _Made, ref: str, known: Known) -> Fail:
    return Fail(
        (part.ref, ref),
        "load",
        {**made.words(output), "who": ref, "allowed": span(known.value, "V")},
        nets=(output,),
        measured=Measured(round(made.volts.middle, 4), "V"),
        limit=Limit(known.value.low, known.value.high, "V"),
        firm=made.firm and known.firm,
        doubt="" if made.firm and known.firm else _FIGURES,
    )


def _against_mark(rule: Rule, part: Part, made: _Made, mark: float, output: str) -> Verdict:
    off, far = rule.limit("off-mark").high, rule.limit("far-off-mark").high
    inside = made.volts.within(mark * (1 - off), mark * (1 + off))
    if inside is None and not made.reference.value.sure:
        return Unknown(part.ref, (_narrower(part),))
    if inside is not False:
        return Pass(part.ref)  # what straddles is the resistors' own tolerance
    # A small step off may be meant and the name be rounded; a large one is wrong either way.
    firm = made.firm and made.volts.within(mark * (1 - far), mark * (1 + far)) is False
    return Fail(
        (part.ref,),
        "mark",
        {**made.words(output), "mark": amount(mark, "V")},
        nets=(output,),
        measured=Measured(round(made.volts.middle, 4), "V"),
        limit=Limit(round(mark * (1 - off), 4), round(mark * (1 + off), 4), "V"),
        firm=firm,
        doubt=_FIGURES if not made.firm else "" if firm else _NAME,
    )
