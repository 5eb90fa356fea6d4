"""Words that the forms of a comparison share."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from counterpoise.compare.result import Boundary, Comparison, Figures, Wiring
from counterpoise.model.report import Endurance
from counterpoise.model.verdicts import Finding
from counterpoise.reports._words import count, figure
from counterpoise.values.ranges import Estimate

Row = tuple[str, str, str, str]


def listed(words: Sequence[str]) -> str:
    """ "A", "A and B", "A, B and C"."""
    return "".join(words) if len(words) < 2 else f"{', '.join(words[:-1])} and {words[-1]}"


def runs(refs: Iterable[str]) -> list[str]:
    """Refs with runs of three or more drawn together: "C4 to C8"."""
    found: list[list[tuple[str, int, str]]] = []
    for ref in refs:
        match = re.fullmatch(r"(.*?)(\d+)", ref, re.ASCII)
        letters, number = (match[1], int(match[2])) if match else (ref, -1)
        last = found[-1][-1] if found else ("", -1, "")
        if number > 0 and last[0] == letters and last[1] == number - 1:
            found[-1].append((letters, number, ref))
        else:
            found.append([(letters, number, ref)])
    words: list[str] = []
    for run in found:
        words += [f"{run[0][2]} to {run[-1][2]}"] if len(run) > 2 else [r[2] for r in run]
    return words


def headline(wiring: Wiring) -> str:
    """The verdict on what had to stay, in one sentence."""
    what = {
        "all": "The two boards",
        "not power": "Apart from the power section, the two boards",
        "named": "Where the wiring had to stay ([compare] keep), the two boards",
    }[wiring.scope]
    if wiring.verdict == "same":
        parts = count(len(wiring.kept), "part")
        return f"{what} are the same circuit: {parts}, proven pin by pin."
    if wiring.verdict == "different":
        return f"{what} are not the same circuit: {count(len(wiring.differences), 'difference')}."
    settled = f"{wiring.settled} of {count(wiring.parts, 'part')}"
    return (
        f"Cannot judge in the time given whether the boards are the same circuit: {settled} are "
        "settled. Allow more with --seconds."
    )


def kept(wiring: Wiring) -> str:
    """ "Stayed: radio, encoder and 20 other parts (C1 to C14, …)."."""
    refs = words_of(wiring.kept)
    what = listed(wiring.kept_words)
    return f"Stayed: {what} ({refs})." if what else f"Stayed: {refs}."


def words_of(refs: Iterable[str]) -> str:
    """Refs as people list them."""
    return listed(runs(refs))


def replaced(wiring: Wiring) -> str:
    """ "boost converter and dry cell replaced by …", "" when nothing was."""
    went, came = wiring.replaced
    if went and came:
        return f"{listed(_counted(went))} replaced by {listed(_counted(came))}"
    if went:
        return f"{listed(_counted(went))} taken out"
    return f"{listed(_counted(came))} added" if came else ""


def _counted(words: tuple[str, ...]) -> list[str]:
    several = {word: words.count(word) for word in words}
    return [word if n == 1 else f"{n} x {word}" for word, n in several.items()]


def sources(edge: Boundary) -> str:
    """'"+3V3" came from U1 (boost converter); now "+3V0" comes from U3 (regulator)'."""
    old = f'"{edge.old_net}"' if edge.old_net else "an open pin"
    new = f'"{edge.new_net}"' if edge.new_net else "an open pin"
    was = listed(edge.old_sources) or "no power part"
    now = listed(edge.new_sources) or "no power part"
    return f"{old}, from {was}, is now {new}, from {now}"


def rows(comparison: Comparison) -> Iterator[Row]:
    """The ledger: what, old, new, change."""
    old, new = comparison.old, comparison.new
    if old.area and new.area:
        a, b = old.area.board_mm2, new.area.board_mm2
        ratio = f"x {b / a:.2f}" if a else ""
        yield "Board area", _cm2(a), _cm2(b), f"{_signed((b - a) / 100)} cm² ({ratio})"
        yield "Size", _size(old), _size(new), ""
    if comparison.mass_change and old.mass and new.mass:
        yield "Mass", _grams(old.mass), _grams(new.mass), _change(comparison.mass_change)
    yield from _counts(old, new)
    if hours(old.endurance) or hours(new.endurance):
        yield "Run time", hours(old.endurance) or "?", hours(new.endurance) or "?", ""


def _counts(old: Figures, new: Figures) -> Iterator[Row]:
    pairs = (
        ("Fitted parts", old.fitted, new.fitted),
        ("BOM lines", old.bom_lines, new.bom_lines),
        ("Stops", old.stops, new.stops),
        ("Cautions", old.cautions, new.cautions),
    )
    for name, a, b in pairs:
        yield name, str(a), str(b), f"{b - a:+d}" if a != b else ""


def hours(endurance: Endurance | None) -> str:
    """Run time in words, "" when it is not known."""
    if endurance is None or endurance.hours is None:
        return ""
    return f"{figure(endurance.hours.likely)} h"


def area_word(figures: Figures) -> str:
    """Board area of one board in words."""
    return _cm2(figures.area.board_mm2) if figures.area else "?"


def mass_word(figures: Figures) -> str:
    """Mass of one board in words."""
    return _grams(figures.mass) if figures.mass else "?"


def _cm2(mm2: float) -> str:
    return f"{figure(mm2 / 100, 4)} cm²"


def _size(figures: Figures) -> str:
    area = figures.area
    return f"{figure(area.width_mm, 4)} x {figure(area.height_mm, 4)} mm" if area else "?"


def _grams(mass: Estimate) -> str:
    return f"{figure(mass.likely)} g"


def _signed(value: float) -> str:
    return f"{'+' if value > 0 else ''}{figure(value)}"


def _change(change: Estimate) -> str:
    ends = f"{_signed(change.low)} to {_signed(change.high)} g"
    return f"{_signed(change.likely)} g ({ends})"


def finding_word(finding: Finding) -> str:
    """ "charge-current on U2"."""
    where = f" on {listed(runs(finding.subjects))}" if finding.subjects else ""
    return f"{finding.rule}{where}"


def findings_words(findings: Sequence[Finding]) -> list[str]:
    """One word group for each finding, like rules drawn together, in the given order."""
    by_rule: dict[str, list[str]] = {}
    for finding in findings:
        by_rule.setdefault(finding.rule, []).extend(finding.subjects[:1])
    return [
        f"{rule} ({', '.join(dict.fromkeys(refs))})" if refs else rule
        for rule, refs in by_rule.items()
    ]


def described(refs: Sequence[str], words: dict[str, str]) -> list[str]:
    """Refs with what they are, equal ones drawn together: "C15 and C16 (4u7)"."""
    alike: dict[str, list[str]] = {}
    for ref in refs:
        alike.setdefault(words.get(ref, ""), []).append(ref)
    return [
        f"{' '.join(runs(group))} ({word})" if word else " ".join(runs(group))
        for word, group in alike.items()
    ]
